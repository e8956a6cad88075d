// The main job on real input: published bouts played through the real table page against the real hub
// and journal, with board, hall and desk open beside it; and a kill -9 in the middle of a hold.
//
// The bouts are tests/conformance files (sources there): E30 (Tokyo 2020, 16:41 in all), E12 (both
// disqualified, Duesseldorf 2018), B9 (five yuko against a waza-ari, London 2012 as explained), and a hold
// that steps up through its levels. Played at a rehearsal rate, so that it does not take the evening.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Hub, openBrowser, Operator, pause, seen, until, watch } from "./evening.mjs";
import { readBout, unmet } from "./worked_bout.mjs";

const rate = 10;
const bouts = ["2018_e30_played_out", "2018_e12_both_hansoku_make", "2009_b9_waza_ari_beats_yuko", "2025_hold_steps_up"];
const csv = `bout,mat,category,rules,time,round,white,white_club,blue,blue_club
1,1,women -70 kg,2018,4:00,semi-final,Tamsin Orrell,Castle Dojo,Ilse Vandermark,JC Lowgate
2,1,men +100 kg,2018,4:00,final,Bram Steenwerk,JC Lowgate,Otto Lindqvist,Harbour Judo
3,1,men -81 kg,2009,5:00,round 1,Paulo Ferraz,Castle Dojo,Jun Morioka,Harbour Judo
4,1,women -57 kg,2025,4:00,round 1,Nadia Belkacem,Harbour Judo,Freya Holt,Castle Dojo
5,1,women -57 kg,2025,4:00,final,winner of 4,,Sanne Kuiper,JC Lowgate
6,2,men -60 kg,2025,4:00,round 1,Leo Marchetti,Castle Dojo,Tim Aldous,JC Lowgate
`;

let hub;
let browser;
let operator;
const pages = {};
const complaints = [];

before(async () => {
    hub = await Hub.start({ csv, rate });
    browser = await openBrowser();
    const open = async (path) => {
        const context = await browser.newContext({ viewport: { width: 1366, height: 768 } });
        const page = await context.newPage();
        watch(page, complaints);
        if (path) await page.goto(hub.address + path);
        return page;
    };
    pages.table = await open();
    pages.board = await open("/board.html?mat=1");
    pages.hall = await open("/hall.html");
    pages.desk = await open("/desk.html");
    operator = await Operator.sit(pages.table, hub, 1);
});

after(async () => {
    await browser?.close();
    await hub?.stop();
});

const board = () => pages.board.locator("body");
const hall = () => pages.hall.getByTestId("mat-1");

// Plays a worked bout and looks at board and hall wherever the file says what is to be seen.
async function play(bout) {
    await pages.table.getByTestId("next-bout").click();
    await until("the board to show who fights", async () =>
        (await pages.board.getByTestId("words").textContent()) === "called to the mat");
    const begun = Date.now() + 300;
    const wall = (at) => begun + at / rate;
    // Whole milliseconds are rounded down twice on the way, so what stops a clock comes a tenth of a
    // second of the bout later than hajime would have it; `unmet` knows.
    const press = (step) => operator.press(step.key, wall(step.at + (step.key === "hajime" ? 0 : 100)));
    let running = false;
    for (const step of bout.steps) {
        if (step.key) {
            await press(step);
            running = ["hajime", "toketa", "osaekomi_white", "osaekomi_blue"].includes(step.key)
                || (running && !/^(mate|ippon|sore_made|kachi)/.test(step.key));
            continue;
        }
        const left = wall(step.at) - Date.now();
        if (left > 0) await pause(left);
        bout.standing = step.facts.includes("standing") || step.facts.includes("time up") || !running;
        for (const [name, root] of [["board", board()], ["hall", hall()]]) {
            for (const fact of step.facts) {
                // What a running hold shows for an instant only is looked at where it lasts.
                if (/\.\d/.test(fact)) continue;
                await until(`${bout.name} line ${step.line} on the ${name}: ${fact}`, async () => {
                    const why = unmet(fact, await seen(root), bout);
                    play.why = why;
                    return why === "" || undefined;
                }, 4000).catch((error) => assert.fail(`${error.message}; ${play.why}`));
            }
        }
    }
    const text = bout.steps.some((step) => step.key === "kachi") ? "" : "kachi";
    if (text) await operator.press("kachi");
    await pages.table.getByTestId("readback").waitFor();
    const readback = await pages.table.getByTestId("readback").textContent();
    await operator.press("confirm");
    return readback;
}

const finished = (number) => pages.desk.locator(`[data-testid="finished-row"][data-bout="${number}"]`);

test("every screen says in large letters that this is a rehearsal", async () => {
    for (const [name, page] of Object.entries(pages)) {
        const words = await page.locator("body").textContent();
        assert.match(words, /10 times faster/, name);
    }
});

test("E30: golden score, 16:41 in all", async () => {
    const readback = await play(await readBout(bouts[0]));
    assert.match(readback, /white wins by waza-ari, 4:00 \+ golden score 12:41 = 16:41\. Winner: Tamsin Orrell/);
    const row = finished(1);
    await row.waitFor();
    assert.match(await row.textContent(), /Tamsin Orrell.*Ilse Vandermark.*16:41/s);
});

test("E12: both disqualified, nobody wins", async () => {
    const readback = await play(await readBout(bouts[1]));
    assert.match(readback, /Bout 2: both lose, 1:40\.$/);
    await finished(2).waitFor();
    assert.equal(await finished(2).getByTestId("winner").count(), 0);
    assert.match(await finished(2).getByTestId("words").textContent(), /both lose/);
});

test("B9: one waza-ari against five yuko, in the rules of 2009", async () => {
    await play(await readBout(bouts[2]));
    await finished(3).waitFor();
    assert.match(await finished(3).getByTestId("words").textContent(), /blue wins by waza-ari, 5:00/);
});

test("kill -9 in the middle of a hold: the table goes on, nothing is lost, nothing doubled", async () => {
    const bout = await readBout(bouts[3]);
    await pages.table.getByTestId("next-bout").click();
    await until("the board to show who fights", async () =>
        (await pages.board.getByTestId("words").textContent()) === "called to the mat");
    const begun = Date.now() + 300;
    const wall = (at) => begun + at / rate;
    await operator.press("hajime", wall(0));
    await operator.press("osaekomi_blue", wall(60_000));
    await until("yuko by the hold on the board", async () => (await seen(board())).blue.yuko === 1);
    const acknowledged = await hub.tool("journal", "show").catch(() => "");
    await hub.kill();
    // The table's own screen goes on through the levels with no hub in reach.
    await until("waza-ari at the table", async () => (await seen(pages.table.locator("body"))).blue.waza_ari === 1);
    await until("the board to say that it is not live", async () =>
        (await pages.board.getByTestId("stale").count()) > 0);
    await until("ippon at the table", async () => (await seen(pages.table.locator("body"))).blue.ippon === 1);
    await operator.press("sore_made", wall(83_000));
    assert.match(await pages.table.getByTestId("indicator").textContent(), /alone/i);
    await hub.again();
    for (const step of bout.steps.filter((s) => s.facts && s.at >= 80_000)) {
        bout.standing = true;
        for (const [name, root] of [["board", board()], ["hall", hall()]]) {
            for (const fact of step.facts) {
                await until(`${fact} on the ${name} after the restart`, async () =>
                    unmet(fact, await seen(root), bout) === "" || undefined);
            }
        }
    }
    await operator.press("kachi");
    await operator.press("confirm");
    await finished(4).waitFor();
    assert.match(await finished(4).getByTestId("words").textContent(), /blue wins by ippon, 1:20/);
    // The winner's name is known where it is waited for.
    await until("the next bout's name", async () =>
        /Freya Holt/.test(await pages.board.locator("body").textContent()) || undefined);

    await until("the table to have an answer for every call", async () =>
        /^live/i.test(await pages.table.getByTestId("indicator").textContent()) || undefined);
    assert.equal((await hub.tool("journal", "verify")).includes("damaged"), false);
    const lines = (await hub.tool("journal", "show")).trim().split("\n");
    for (const line of acknowledged.trim().split("\n").filter(Boolean)) {
        assert.ok(lines.includes(line), `acknowledged before the crash and missing after it: ${line}`);
    }
    const words = ["hajime", "osaekomi", "sore-made", "kachi", "confirmed"];
    for (const word of words) {
        const count = lines.filter((line) => /bout 4\b/.test(line) && line.includes(word)).length;
        assert.equal(count, 1, `${word} of bout 4 stands ${count} times in the journal`);
    }
});

test("the pages complained of nothing", () => assert.deepEqual(complaints, []));

test("SIGTERM stops the hub cleanly", async () => {
    assert.deepEqual(await hub.stop(), { code: 0, signal: null });
});
