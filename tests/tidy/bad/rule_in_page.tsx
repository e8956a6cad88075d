// as: clients/web/src/pages/sample.tsx
// expect: rule_in_page=10
const bout = 240000;
const hold = 20_000;
const yuko_hold = 15000;
const old_hold = 25e3;
if (white.shido === 3) end();
if (blue.waza_ari >= 2) end();
if (white.wazaAri > blue.wazaAri) lead();
if (2 <= view.shido.length) end();
if (side.score[ippon] > 1) end();
const winner = state.white.yuko != state.blue.yuko;
const shown = white.shido === 0 ? "" : white.shido;
const retry = 2000;
const says = "shido === 3 at 240000";
