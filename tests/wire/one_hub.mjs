// One hub for all tests of a file, and competitions made for tests.
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before } from "node:test";
import { demo, scratch, serve } from "../crash/hub.mjs";

export { honbu, program, scratch, serve } from "../crash/hub.mjs";

// Filled in before the first test.
export function oneHub({ more = ["--competition", demo, "--title", "Evening Cup"] } = {}) {
    const hub = {};
    const endings = [];
    before(async () => {
        const whole = { after: (end) => endings.unshift(end) };
        const data = scratch(whole);
        Object.assign(hub, { data }, await serve(whole, data, { more }));
    });
    after(async () => {
        hub.child?.kill("SIGTERM");
        await hub.ended;
        for (const end of endings) await end();
    });
    return hub;
}

// A competition file with so many bouts on each of so many mats, bout numbers running on from mat to mat; `more` are
// further lines.
export function competition(folder, { mats = 1, bouts = 3, more = [] } = {}) {
    const lines = ["bout,mat,category,rules,time,round,white,white_club,blue,blue_club"];
    for (let mat = 1; mat <= mats; ++mat) {
        for (let i = 1; i <= bouts; ++i) {
            const bout = (mat - 1) * bouts + i;
            lines.push(`${bout},${mat},women -57 kg,2025,4:00,round 1,Wanda Pell ${bout},Dojo Fernhill,Bice Moro ${bout},Judo Saltmarsh`);
        }
    }
    const file = join(folder, "competition.csv");
    writeFileSync(file, [...lines, ...more, ""].join("\n"));
    return file;
}
