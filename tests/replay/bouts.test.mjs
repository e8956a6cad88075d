// Worked bouts with published rules, through the program as a stranger would: lines in, lines out. The numbers of the
// bouts and of their sources are those of docs/rules.md.
import assert from "node:assert/strict";
import { test } from "node:test";
import { hajime, kachi, mate, ms, osaekomi, replay, score, shido, soreMade, steps, toketa } from "./replay.mjs";

const side = (given) => ({ ippon: 0, wazaAri: 0, yuko: 0, koka: 0, shido: 0, hansokuMake: false, ...given });

// What the last line must say of who won and when.
function check({ end }, { winner, way, decided, regular, golden = "0:00", points }) {
  const { result } = end;
  assert.equal(result.winner, winner);
  assert.equal(result.way, way);
  assert.equal(result.decidedMs, ms(decided));
  assert.equal(result.regularMs, ms(regular));
  assert.equal(result.goldenMs, ms(golden));
  assert.equal(end.totalMs, ms(regular) + ms(golden));
  if (points !== undefined) assert.equal(result.points, points);
}

// E1, source S15a: two waza-ari are ippon again from 2018.
test("E1: two waza-ari end the bout", () => {
  const told = steps([
    { rules: "2018", timeMs: 240_000 },
    hajime("0:00"), score("0:50", "SIDE_WHITE", "LEVEL_WAZA_ARI"), score("2:40", "SIDE_WHITE", "LEVEL_WAZA_ARI"),
    soreMade("2:43"), kachi("2:45"),
  ]);
  assert.equal(told.code, 0);
  assert.deepEqual(told.terms,
    { rules: "2018", title: "Rules of 2018-2024", timeMs: 240_000, goldenMs: 0, whiteWord: "white", blueWord: "blue" });
  check(told, { winner: "WINNER_WHITE", way: "WAY_WAZA_ARI_AWASETE_IPPON", decided: "2:40", regular: "2:40" });
  const [, first, second] = told.happened;
  assert.equal(first.board.decided, false);
  assert.equal(first.remainingMs, ms("3:10"));
  assert.deepEqual(first.board.white, side({ wazaAri: 1 }));
  assert.equal(second.board.decided, true);
  assert.equal(second.state, "decided");
  assert.deepEqual(told.happened.map((step) => step.state), ["fighting", "fighting", "decided", "over", "announced"]);
});

// E30, source S39a: the times are those of Tokyo 2020, women -70 kg, semi-final: golden score 12:41, total 16:41. Which
// score decided and the pause before golden score are ours.
test("E30: golden score has no limit, and the clock and the result say so", () => {
  const told = steps([hajime("0:00"), hajime("4:10"), score("16:51", "SIDE_WHITE", "LEVEL_WAZA_ARI"), soreMade("16:54")],
    "--rules", "2018", "--time", "seniors women");
  assert.equal(told.code, 0);
  check(told, { winner: "WINNER_WHITE", way: "WAY_WAZA_ARI", decided: "12:41", regular: "4:00", golden: "12:41" });
  assert.equal(told.end.totalMs, ms("16:41"));
  assert.equal(told.end.decidedAt, ms("16:51"));
  assert.match(told.end.words, /4:00 \+ golden score 12:41 = 16:41$/);
  const [, timeUp, golden] = told.happened;
  assert.equal(timeUp.why, "WHY_TIME_UP");
  assert.equal(timeUp.at, ms("4:00"));
  assert.equal("call" in timeUp, false);
  assert.equal(golden.board.goldenScore, true);
  assert.equal(golden.goldenMs, 0);
  assert.equal("remainingMs" in golden, false); // without a limit there is nothing left to run
});

// A5, sources S1 (article 19 b) and S5: an own waza-ari and the opponent's third shido together win.
test("A5: sogo-gachi", () => {
  const told = steps([
    hajime("0:00"), score("0:30", "SIDE_WHITE", "LEVEL_WAZA_ARI"), mate("1:00"), shido("1:00", "SIDE_BLUE"),
    hajime("1:00"), mate("2:00"), shido("2:00", "SIDE_BLUE"), hajime("2:00"), mate("3:00"), shido("3:00", "SIDE_BLUE"),
    soreMade("3:00"),
  ], "--rules", "2003", "--time", "5:00");
  assert.equal(told.code, 0);
  check(told, { winner: "WINNER_WHITE", way: "WAY_SOGO_GACHI", decided: "3:00", regular: "3:00" });
  assert.equal(told.happened.find((step) => step.board.decided).at, ms("3:00"));
});

// F9, source S54: shido 2 to 1 at time decide nothing; in golden score white's third is hansoku-make.
const f9 = [
  hajime("0:00"), mate("0:40"), shido("0:42", "SIDE_WHITE"), hajime("0:45"), mate("1:25"), shido("1:27", "SIDE_BLUE"),
  hajime("1:30"), mate("2:10"), shido("2:12", "SIDE_WHITE"), hajime("2:15"), hajime("4:25"), mate("6:25"),
  shido("6:28", "SIDE_WHITE"), soreMade("6:32"),
];
test("F9: the third shido in golden score", () => {
  const told = steps(f9, "--rules", "2025", "--time", "4:00");
  assert.equal(told.code, 0);
  check(told, { winner: "WINNER_BLUE", way: "WAY_HANSOKU_MAKE_BY_SHIDO", decided: "2:00", regular: "4:00", golden: "2:00" });
  const timeUp = told.happened.find((step) => step.why === "WHY_TIME_UP");
  assert.equal(timeUp.board.decided, false);
  assert.deepEqual([timeUp.board.white, timeUp.board.blue], [side({ shido: 2 }), side({ shido: 1 })]);
  assert.equal(told.end.result.white.hansokuMake, true);
  assert.match(told.end.because, /^Shido 3 of white is hansoku-make\.$/);
});

test("F9 for people: what a volunteer reads", () => {
  const { code, out } = replay(f9, "--rules", "2025");
  assert.equal(code, 0);
  assert.match(out, /^Rules 2025 \(Rules from 2025\), 4:00, golden score without limit\.$/m);
  assert.match(out, /^ +4:15\.000 +0:00 +0 0 0 2 +0 0 0 1 +stopped +time is up: golden score\n +follows$/m);
  assert.match(out, /^ +6:28\.000 +GS 2:00 +13 {2}0 0 0 H +0 0 0 1 +decided +shido to white: blue wins by\n +hansoku-make \(shido\)$/m);
  assert.match(out, /^Result: blue wins by hansoku-make \(shido\), 4:00 \+ golden score 2:00 = 6:00$/m);
  assert.match(out, /^ +Shido 3 of white is hansoku-make\.$/m);
  assert.match(out, /^Decided at 2:00 of golden score, instant 6:28\.000\.$/m);
});

// The rule sets differ, not the calls. A hold of 16 s: yuko in 2009 (15 s, S50, S51), waza-ari in 2018 (10 s, S35, S39a)
// and from 2025 (10 s, S20a).
test("the same calls under other rules", () => {
  const calls = [hajime("0:00"), osaekomi("0:10", "SIDE_BLUE"), toketa("0:26"), mate("0:30")];
  const board = (rules) => steps(calls, "--rules", rules).end.result.blue;
  assert.deepEqual(board("2009"), side({ yuko: 1 }));
  assert.deepEqual(board("2018"), side({ wazaAri: 1 }));
  assert.deepEqual(board("2025"), side({ wazaAri: 1 }));
});

test("the words of the sides are those of the rules", () => {
  const calls = [hajime("0:00"), score("0:10", "SIDE_BLUE", "LEVEL_IPPON")];
  const { terms, end } = steps(calls, "--rules", "youth-decision");
  assert.ok(end.words.startsWith(`${terms.blueWord} wins by ippon`));
});

test("a hold's levels and the end of time come by themselves", () => {
  const told = steps([hajime("0:00"), osaekomi("0:10", "SIDE_WHITE")], "--rules", "2025", "--until", "1:00");
  const came = told.happened.filter((step) => step.why !== undefined).map((step) => [step.why, step.at, step.board.hold?.reached]);
  // Yuko after 5 s (S18b, S20a), waza-ari after 10 s and ippon after 20 s (S20a).
  assert.deepEqual(came.slice(0, 2), [["WHY_HOLD_LEVEL", 15_000, "LEVEL_YUKO"], ["WHY_HOLD_LEVEL", 20_000, "LEVEL_WAZA_ARI"]]);
  assert.deepEqual([came[2][0], came[2][1]], ["WHY_HOLD_ENDED", 30_000]);
  check(told, { winner: "WINNER_WHITE", way: "WAY_IPPON", decided: "0:30", regular: "0:30" });
  assert.equal(told.end.result.means, "MEANS_HOLD");
  assert.equal(told.end.until, 60_000);

  const undecided = steps([hajime("0:00")], "--until", "4:00");
  assert.equal(undecided.happened.at(-1).why, "WHY_TIME_UP");
  assert.equal(undecided.end.result.winner, "WINNER_UNDECIDED");
  const earlier = steps([hajime("0:00")], "--until", "3:59");
  assert.equal(earlier.happened.length, 1);
  assert.equal(earlier.end.result.regularMs, ms("3:59"));
});

// A throw effective at the signal counts (S6, article 14); both are told once, in that order.
test("a score with the signal comes before it", () => {
  const told = steps([hajime("0:00"), score("4:00", "SIDE_BLUE", "LEVEL_WAZA_ARI"), soreMade("4:03")], "--rules", "2018");
  assert.deepEqual(told.happened.map((step) => step.why ?? step.words),
    ["hajime", "waza-ari to blue", "WHY_TIME_UP", "sore-made"]);
  assert.equal(told.happened[1].board.decided, false);
  check(told, { winner: "WINNER_BLUE", way: "WAY_WAZA_ARI", decided: "4:00", regular: "4:00" });
});
