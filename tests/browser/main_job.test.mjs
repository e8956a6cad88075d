// The main job on real input: published bouts played through the real table page against the real hub
// and journal, with board, hall and desk open beside it; and a kill -9 in the middle of a hold.
//
// The bouts are tests/conformance files (sources there): E30 (Tokyo 2020, 16:41 in all), E12 (both
// disqualified, Duesseldorf 2018), B9 (five yuko against a waza-ari, London 2012 as explained), and a hold
// that steps up through its levels. Played at a rehearsal rate, so that it does not take the evening.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Hub, openBrowser, Operator, pause, until, Watcher, watch } from "./evening.mjs";
import { readBout, unmet } from "./worked_bout.mjs";

const rate = 10;
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
let screens;
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
    screens = {
        table: await Watcher.on("table", pages.table, "body"),
        board: await Watcher.on("board", pages.board, "body"),
        hall: await Watcher.on("hall", pages.hall, '[data-testid="mat-1"]'),
    };
});

after(async () => {
    await browser?.close();
    await hub?.stop();
});

async function onBoth(what, why) {
    await screens.board.sees(what, why);
    await screens.hall.sees(what, why);
}

async function callNextBout(number) {
    await pages.table.getByTestId("next-bout").click();
    await onBoth(`bout ${number}`, (seen) =>
        (seen.words === "called to the mat" && seen.bout.includes(`bout ${number}`) ? "" : JSON.stringify(seen)));
}

// Plays the steps, the instants counted from `begun`, and has board and hall looked at wherever the file
// says what is to be seen. Whole milliseconds are rounded down twice on the way, so what stops a clock
// comes a tenth of a second of the bout later than hajime would have it; `unmet` knows.
async function play(bout, steps, begun) {
    const wall = (at) => begun + at / rate;
    let running = false;
    for (const step of steps) {
        if (step.key) {
            await operator.press(step.key, wall(step.at + (step.key === "hajime" ? 0 : 100)));
            running = /^(hajime|toketa|osaekomi)/.test(step.key)
                || (running && !/^(mate|ippon|sore_made|kachi)/.test(step.key));
            continue;
        }
        const left = wall(step.at) - Date.now();
        if (left > 0) await pause(left);
        bout.standing = step.facts.includes("standing") || step.facts.includes("time up") || !running;
        const facts = step.facts.filter((fact) => !/\.\d/.test(fact)); // a running clock is seen now and then
        await onBoth(`${bout.name} line ${step.line}`, (seen) =>
            facts.map((fact) => unmet(fact, seen, bout)).find((why) => why) ?? "");
    }
}

async function confirm() {
    await operator.press("kachi");
    await pages.table.getByTestId("readback").waitFor();
    const readback = await pages.table.getByTestId("readback").textContent();
    await operator.press("confirm");
    return readback;
}

const finished = (number) => pages.desk.locator(`[data-testid="finished-row"][data-bout="${number}"]`);

async function playWhole(name, number) {
    const bout = await readBout(name);
    await callNextBout(number);
    await play(bout, bout.steps.filter((step) => step.key !== "kachi"), Date.now() + 300);
    return confirm();
}

test("every screen says in large letters that this is a rehearsal", async () => {
    for (const [name, page] of Object.entries(pages)) {
        const words = await page.locator("body").textContent();
        assert.match(words, /10 times faster/, name);
    }
});

test("E30: golden score, 16:41 in all", async () => {
    const readback = await playWhole("2018_e30_played_out", 1);
    assert.match(readback, /white wins by waza-ari, 4:00 \+ golden score 12:41 = 16:41\. Winner: Tamsin Orrell/);
    await finished(1).waitFor();
    assert.match(await finished(1).textContent(), /Tamsin Orrell.*Ilse Vandermark.*16:41/s);
});

test("E12: both disqualified, nobody wins", async () => {
    const readback = await playWhole("2018_e12_both_hansoku_make", 2);
    assert.match(readback, /Bout 2: both lose, 1:40\. Both were given hansoku-make: nobody wins\.$/);
    await finished(2).waitFor();
    assert.equal(await finished(2).getByTestId("winner").count(), 0);
    assert.match(await finished(2).getByTestId("words").textContent(), /both lose/);
});

test("B9: one waza-ari against five yuko, in the rules of 2009", async () => {
    await playWhole("2009_b9_waza_ari_beats_yuko", 3);
    await finished(3).waitFor();
    assert.match(await finished(3).getByTestId("words").textContent(), /blue wins by waza-ari, 5:00/);
});

test("kill -9 in the middle of a hold: the table goes on, nothing is lost, nothing doubled", async () => {
    const bout = await readBout("2025_hold_steps_up");
    await callNextBout(4);
    const begun = Date.now() + 300;
    // Up to and with the yuko that the hold gives at its fifth second.
    await play(bout, bout.steps.filter((step) => step.at <= 65_000), begun);
    const acknowledged = await pages.table.locator('[data-testid="call-row"][data-verdict="applied"]').count();
    assert.ok(acknowledged >= 3, "called, hajime and osaekomi have their answer");
    const before = await hub.tool("journal", "show");
    await hub.kill();
    // The table's own screen goes on through the levels with no hub in reach; the board says that it is old.
    await screens.table.sees("waza-ari by the hold", (seen) => (seen.blue.waza_ari === 1 ? "" : JSON.stringify(seen)));
    await screens.table.sees("ippon by the hold", (seen) => (seen.blue.ippon === 1 ? "" : JSON.stringify(seen)));
    await screens.board.sees("that it is not live", (seen) => (seen.stale ? "" : JSON.stringify(seen)));
    await operator.press("sore_made", begun + 83_000 / rate);
    assert.match(await pages.table.getByTestId("indicator").textContent(), /alone/i);
    await hub.again();
    await play(bout, bout.steps.filter((step) => step.facts && step.at >= 80_000), begun);
    await confirm();
    await finished(4).waitFor();
    assert.match(await finished(4).getByTestId("words").textContent(), /blue wins by ippon by hold, 1:20/);
    // A desk that opens only now gets all results from the restarted hub, names and all.
    const late = await browser.newPage();
    await late.goto(`${hub.address}/desk.html`);
    const first = late.locator('[data-testid="finished-row"][data-bout="1"]');
    await first.waitFor();
    assert.match(await first.textContent(), /Tamsin Orrell.*Ilse Vandermark.*16:41/s);
    await late.close();
    await until("the winner's name where it is waited for", async () =>
        /Freya Holt/.test(await pages.board.locator("body").textContent()) || undefined);
    await until("the table to have an answer for every call", async () =>
        /^live/i.test(await pages.table.getByTestId("indicator").textContent()) || undefined);

    const after = (await hub.tool("journal", "show")).trim().split("\n");
    for (const line of before.trim().split("\n")) {
        assert.ok(after.includes(line), `acknowledged before the crash and missing after it: ${line}`);
    }
    for (const word of ["hajime", "osaekomi", "sore-made", "kachi", "confirmed"]) {
        const lines = after.filter((line) => /bout 4\b/.test(line) && line.includes(word));
        assert.equal(lines.length, 1, `${word} of bout 4 stands ${lines.length} times in the journal`);
    }
    assert.match(await hub.tool("journal", "replay"), /Freya Holt.*confirmed: blue wins by ippon by hold, 1:20/);
    assert.equal(await pages.table.getByTestId("trouble").count(), 0, "hub and table see the same state");
});

test("the pages complained of nothing", () => assert.deepEqual(complaints, []));

test("SIGTERM stops the hub cleanly", async () => {
    assert.deepEqual(await hub.stop(), { code: 0, signal: null });
});
