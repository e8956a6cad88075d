// The life of a table: no hub in reach, a reload, a crash of the browser, another device, a second tab,
// a disk that keeps nothing. Real hub, real journal, real pages (evening.mjs); a crash is SIGKILL.
//
// What is checked against: contest time runs from hajime to mate and stands in between (IJF Sport and
// Organisation Rules, "hajime", "mate"), so a clock that went through any of this must say exactly what the
// instants of the two presses say. A hold is yuko at 5, waza-ari at 10, ippon at 20 seconds
// (tests/conformance/2025_hold_steps_up.scenario names its sources). That a call counts once and in the order it was made
// is what our own docs promise (docs/table.md); the referee's arm goes up once: common practice, no source.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { require } from "../packages.mjs";
import { Client } from "../wire_client.mjs";
import { browserFlags, Hub, openBrowser, Operator, until, Watcher, watch } from "./evening.mjs";

const { chromium } = require("playwright-core");
const fourMinutes = 240_000;
const csv = `bout,mat,category,rules,time,round,white,white_club,blue,blue_club
1,1,women -70 kg,2025,4:00,semi-final,Tamsin Orrell,Castle Dojo,Ilse Vandermark,JC Lowgate
2,1,men +100 kg,2025,4:00,final,Bram Steenwerk,JC Lowgate,Otto Lindqvist,Harbour Judo
3,1,men -81 kg,2025,4:00,round 1,Paulo Ferraz,Castle Dojo,Jun Morioka,Harbour Judo
`;

let browser;
const complaints = [];

before(async () => { browser = await openBrowser(); });
after(async () => { await browser?.close(); });

const newContext = () => browser.newContext({ viewport: { width: 1366, height: 768 } });

async function newPage(context) {
    const page = await (context ?? await newContext()).newPage();
    watch(page, complaints);
    page.on("dialog", (dialog) => dialog.accept()); // "leave this page?" while a clock runs: yes
    return page;
}

// A hub of its own for each test, and pages of it.
async function begin(t, rate = 1) {
    const hub = await Hub.start({ csv, rate });
    t.after(() => hub.stop());
    const contexts = [];
    t.after(() => Promise.all(contexts.map((context) => context.close())));
    const open = async (path) => {
        const page = await newPage();
        contexts.push(page.context());
        if (path) await page.goto(hub.address + path);
        return page;
    };
    const sit = async () => Operator.sit(await open(), hub, 1);
    return { hub, open, sit };
}

async function callNext(operator) {
    await operator.page.getByTestId("next-bout").click();
    await operator.page.getByTestId("key-hajime").waitFor();
}

// Types on a page that may not show a table at all.
async function keysOf(page, rate) {
    const operator = new Operator(page, rate);
    operator.cdp = await page.context().newCDPSession(page);
    return operator;
}

const indicator = (page) => page.getByTestId("indicator").textContent();
const says = (page, words) => until(`the table to say ${words}`, async () => words.test(await indicator(page)));
const hasEveryCall = (page) => says(page, /^Live.*The hub has every call/);
const ms = async (page) => Number(await page.getByTestId("clock").getAttribute("data-ms"));
const count = (page, id) => page.getByTestId(id).textContent().then(Number);

function shows(page, id, number) {
    return until(`${id} to be ${number}`, async () => (await count(page, id)) === number);
}

// The calls in the hub's journal, as they stand there.
async function journal(hub) {
    const text = await hub.tool("journal", "show");
    const line = /^\d+ +\S+ +mat (\d+) +bout (\d+) {2}(.+?) {2}(applied|without effect|set aside).*run (\w+)\/(\d+)\)$/;
    return text.split("\n").map((each) => line.exec(each)).filter((found) => found).map(
        ([, mat, bout, words, verdict, run, number]) =>
            ({ mat: Number(mat), bout: Number(bout), words, verdict, run, number: Number(number) }));
}

// A run that goes on where another ended first records how their clocks meet; nobody pressed that.
const isJoint = ({ words }) => words.startsWith("clocks joined");

async function assertJournal(hub, bout, words) {
    const all = (await journal(hub)).filter((call) => call.bout === bout);
    const calls = all.filter((call) => !isJoint(call));
    const joints = all.filter(isJoint).map(({ run }) => run);
    assert.equal(new Set(joints).size, joints.length, "no run joins its clock twice");
    assert.deepEqual(calls.map((call) => call.words), words, `the calls of bout ${bout} in the journal`);
    assert.deepEqual(calls.filter((call) => call.verdict !== "applied"), []);
    const each = new Set(calls.map((call) => `${call.run}/${call.number}`));
    assert.equal(each.size, calls.length, "no call stands there twice");
    return calls;
}

// What was pressed, as the table lists it.
async function rowsOf(page) {
    const rows = await page.getByTestId("call-row").evaluateAll((all) => all.map((row) =>
        `${row.dataset.run}/${row.dataset.number} ${row.querySelector(".call-words").textContent}`
        + ` ${row.querySelector(".call-clock").textContent} ${row.dataset.standing}`));
    return rows.filter((row) => !row.includes("clocks joined"));
}

// The clock of a bout that was stopped once: the instants of the two presses say what it must show.
function assertGone(shown, hajime, mate, rate = 1) {
    const due = fourMinutes - (mate - hajime) * rate;
    assert.ok(Math.abs(shown - due) < 1000, `the clock stands at ${shown} ms; by the presses it is ${due} ms`);
}

// Two running clocks, looked at as nearly together as the machine allows.
function runTogether(one, other) {
    return until("both clocks to run within a second", async () => {
        const [a, b] = await Promise.all([ms(one), ms(other)]);
        return Math.abs(a - b) < 1000;
    });
}

// Both say that the clock stands, and where: to the millisecond. (A page writes its words and then, with the
// next picture, its figures; whoever looks in between reads an older figure.)
async function standAlike(one, other) {
    for (const each of [one, other]) await each.getByText("the clock stands").waitFor();
    let shown;
    await until("both clocks to stand alike", async () => {
        shown = await Promise.all([ms(one), ms(other)]);
        return shown[0] === shown[1];
    }).catch((error) => { throw new Error(`${error.message}; they stand at ${shown.join(" and ")} ms`); });
    return shown[0];
}

// Everything that a screen shows of the bout, clocks to the millisecond.
async function standsOn(watcher) {
    const { bout, white, blue, clock, hold, golden, words, winners } = await watcher.look();
    return { bout, white, blue, clock, hold, golden, words, winners };
}

test("the table's own board goes on without a hub, and keys typed in it count", async (t) => {
    const rate = 10;
    const { hub, open, sit } = await begin(t, rate);
    const operator = await sit();
    const [screen] = await Promise.all([operator.page.context().waitForEvent("page"),
        operator.page.getByTestId("open-board").click()]);
    watch(screen, complaints);
    const table = await Watcher.on("table", operator.page, "body");
    await callNext(operator);
    const board = await Watcher.on("table's own board", screen, "body");
    const typing = await keysOf(screen, rate);

    const hajime = Date.now() + 300;
    await operator.press("hajime", hajime);
    await says(operator.page, /^Live/);
    await hub.kill();
    await says(operator.page, /^Working alone/);
    const osaekomi = Math.max(Date.now() + 50, hajime + 1500); // 15 seconds of the bout later
    await typing.press("osaekomi_blue", osaekomi);
    for (const [level, is] of [["a running hold", (seen) => seen.hold?.side === "blue" && seen.hold.ms > 0],
        ["yuko", (seen) => seen.blue.yuko === 1], ["waza-ari", (seen) => seen.blue.waza_ari === 1 && seen.blue.yuko === 0],
        ["ippon", (seen) => seen.blue.ippon === 1 && seen.winners.join() === "blue"]]) {
        for (const watcher of [table, board]) await watcher.sees(level, (seen) => (is(seen) ? "" : JSON.stringify(seen)));
    }
    // The clock stands since the hold's twentieth second, so both must say the same to the millisecond.
    await until("both to stand alike", async () =>
        JSON.stringify(await standsOn(table)) === JSON.stringify(await standsOn(board)));
    assert.equal((await board.look()).stale, false, "it needs no hub to be live");
    const held = await ms(screen);
    assertGone(held, hajime, osaekomi + 20_000 / rate, rate);

    await hub.again();
    await hasEveryCall(operator.page);
    await assertJournal(hub, 1, ["called to the mat", "hajime", "osaekomi by blue"]);
    const fed = await open("/board.html?mat=1");
    await shows(fed, "score-ippon-blue", 1);
    await until("the hub's board to say the same", async () => (await ms(fed)) === held);

    // Its picture must not look alive when the page that draws it has gone.
    await operator.page.reload();
    await until("the own board to say that it is old", async () =>
        /Not live/.test(await screen.locator(".stale").textContent().catch(() => "")));
});

test("a reload in the middle of a hold changes nothing", async (t) => {
    const { hub, open, sit } = await begin(t);
    const operator = await sit();
    const { page } = operator;
    const board = await open("/board.html?mat=1");
    await callNext(operator);
    const hajime = Date.now() + 100;
    await operator.press("hajime", hajime);
    await operator.press("waza_ari_white");
    await operator.press("osaekomi_blue");
    await hasEveryCall(page);
    const rows = await rowsOf(page);
    assert.equal(rows.length, 4);
    await page.reload();
    await page.getByTestId("key-mate").waitFor();
    operator.cdp = await page.context().newCDPSession(page);
    assert.deepEqual(await rowsOf(page), rows);
    await hasEveryCall(page);
    await runTogether(page, board);
    for (const each of [page, board]) await shows(each, "score-yuko-blue", 1); // the hold's fifth second
    await operator.press("toketa");
    const mate = Date.now() + 15;
    await operator.press("mate", mate);
    assertGone(await standAlike(page, board), hajime, mate);
    for (const each of [page, board]) {
        await shows(each, "score-waza_ari-white", 1);
        await shows(each, "score-yuko-blue", 1);
    }
    await hasEveryCall(page);
    await assertJournal(hub, 1, ["called to the mat", "hajime", "waza-ari to white", "osaekomi by blue", "toketa", "mate"]);
    assert.equal(await page.getByTestId("trouble").count(), 0);
});

test("two whole bouts without a hub: every call arrives once, in order", async (t) => {
    const rate = 10;
    const { hub, open, sit } = await begin(t, rate);
    const desk = await open("/desk.html");
    const operator = await sit();
    await hub.kill();
    await says(operator.page, /^Working alone.*no calls kept/);
    const bouts = [
        ["called to the mat", "hajime", "waza-ari to blue", "mate", "hajime", "ippon to white", "sore-made", "kachi",
            "confirmed: white, ippon"],
        ["called to the mat", "hajime", "shido to white", "ippon to blue", "sore-made", "kachi", "confirmed: blue, ippon"]];
    const keys = { "waza-ari to blue": "waza_ari_blue", "ippon to white": "ippon_white", "shido to white": "shido_white",
        "ippon to blue": "ippon_blue", "sore-made": "sore_made" };
    let made = 0;
    for (const words of bouts) {
        for (const word of words) {
            if (word === "called to the mat") await callNext(operator);
            else if (word.startsWith("confirmed")) await operator.press("confirm");
            else await operator.press(keys[word] ?? word);
            made += 1;
            await says(operator.page, new RegExp(`^Working alone.* ${made} calls? kept here`));
        }
    }
    assert.deepEqual(await journal(hub), [], "the hub has none of it yet");
    await hub.again();
    await hasEveryCall(operator.page);
    const calls = [...await assertJournal(hub, 1, bouts[0]), ...await assertJournal(hub, 2, bouts[1])];
    assert.deepEqual((await journal(hub)).map((call) => call.number), calls.map((_, i) => i + 1));
    const rows = desk.getByTestId("finished-row");
    await until("both results at the desk", async () => (await rows.count()) === 2);
    assert.match(await rows.nth(0).textContent(), /Otto Lindqvist.*blue wins by ippon/s); // newest on top
    assert.match(await rows.nth(1).textContent(), /Ilse Vandermark.*white wins by ippon/s);
});

test("another device takes the mat: it goes on, and the first changes nothing any more", async (t) => {
    const { hub, open, sit } = await begin(t);
    const board = await open("/board.html?mat=1");
    const desk = await open("/desk.html");
    const first = await sit();
    await callNext(first);
    const hajime = Date.now() + 100;
    await first.press("hajime", hajime);
    await first.press("yuko_white");
    await hasEveryCall(first.page);

    const page = await open("/table.html?mat=1");
    await page.getByTestId("take-1").click();
    await page.getByTestId("question").waitFor();
    await first.press("shido_blue");
    await shows(board, "shido-blue", 1); // before the yes the first one has the mat
    await page.getByTestId("take-over").click();
    await page.getByTestId("key-mate").waitFor();
    const second = await keysOf(page, 1);
    await says(first.page, /^Not in charge/);
    for (const key of ["waza_ari_white", "ippon_blue", "start"]) await first.press(key);
    await first.page.keyboard.press("Backspace");
    assert.equal(await first.page.getByTestId("key-mate").count(), 0, "and it has no keys");

    await hasEveryCall(page);
    await runTogether(page, board);
    const mate = Date.now() + 15;
    await second.press("mate", mate);
    assertGone(await standAlike(page, board), hajime, mate);
    for (const each of [page, board]) {
        await shows(each, "score-yuko-white", 1);
        await shows(each, "shido-blue", 1);
    }
    for (const key of ["hajime", "ippon_blue", "sore_made", "kachi", "confirm"]) await second.press(key);
    await desk.getByTestId("finished-row").waitFor();
    await hasEveryCall(page);
    const calls = await assertJournal(hub, 1, ["called to the mat", "hajime", "yuko to white", "shido to blue", "mate", "hajime",
        "ippon to blue", "sore-made", "kachi", "confirmed: blue, ippon"]);
    assert.equal(new Set(calls.slice(0, 4).map((call) => call.run)).size, 1);
    assert.equal(new Set(calls.slice(4).map((call) => call.run)).size, 1);
    assert.notEqual(calls[0].run, calls[4].run);
    await says(first.page, /^Not in charge/);
});

test("a second tab of the same table does not score; going on there is a person's choice", async (t) => {
    const { hub, open, sit } = await begin(t);
    const board = await open("/board.html?mat=1");
    const first = await sit();
    await callNext(first);
    await first.press("hajime");
    await hasEveryCall(first.page);
    const tab = await newPage(first.page.context());
    await tab.goto(`${hub.address}/table.html?mat=1`);
    await tab.getByTestId("other-page").waitFor();
    const second = await keysOf(tab, 1);
    await second.press("ippon_white");
    await second.press("mate");
    // The first goes on meanwhile.
    await first.press("yuko_blue");
    await shows(board, "score-yuko-blue", 1);
    await hasEveryCall(first.page);

    await tab.getByTestId("go-on-here").click();
    await tab.getByTestId("key-mate").waitFor();
    await first.page.getByText("goes on in another window").waitFor();
    await first.press("waza_ari_white");
    await shows(tab, "score-yuko-blue", 1); // what the first one recorded while this one was asking
    await second.press("shido_white");
    await shows(board, "shido-white", 1);
    await second.press("mate");
    await standAlike(tab, board);
    await hasEveryCall(tab);
    await assertJournal(hub, 1, ["called to the mat", "hajime", "yuko to blue", "shido to white", "mate"]);
    assert.equal(await tab.getByTestId("trouble").count(), 0);
});

test("a call struck in the list or taken back by backspace goes from board and hall", async (t) => {
    const { open, sit } = await begin(t);
    const operator = await sit();
    const { page } = operator;
    const screens = [await open("/board.html?mat=1"), await open("/hall.html")];
    await callNext(operator);
    for (const key of ["hajime", "yuko_white", "waza_ari_blue", "shido_white"]) await operator.press(key);
    const scores = async (yuko, wazaAri, shido) => {
        for (const screen of [page, ...screens]) {
            const mat = screen === screens[1] ? screen.getByTestId("mat-1") : screen;
            await shows(mat, "score-yuko-white", yuko);
            await shows(mat, "score-waza_ari-blue", wazaAri);
            await shows(mat, "shido-white", shido);
        }
    };
    await scores(1, 1, 1);
    await page.getByTestId("call-row").filter({ hasText: /waza-ari blue/ }).getByTestId("strike").click();
    await scores(1, 0, 1);
    await page.keyboard.press("Backspace"); // the newest call that still counts
    await scores(1, 0, 0);
    await page.keyboard.press("Backspace");
    await scores(0, 0, 0);
    // A strike is a call too, and can be struck itself.
    await page.getByTestId("call-row").filter({ hasText: /strike: waza-ari blue/ }).getByTestId("strike").click();
    await scores(0, 1, 0);
});

const score = (page, level, side, number) => shows(page, `score-${level}-${side}`, number);
const row = (page, words) => page.getByTestId("call-row").filter({ hasText: words }).last(); // the oldest with these words

async function correct(page, words, deed) {
    await row(page, words).getByTestId("correct").click();
    await page.getByTestId(`do-${deed}`).click();
}

// A wrong winner is put right before the referees leave, and majority of three is final (docs/rules.md, section
// 7.4, names the books); what was called is then another call at the same instant.
test("what a call really was is set right on it, and goes to board and hub", async (t) => {
    const { hub, open, sit } = await begin(t);
    const operator = await sit();
    const { page } = operator;
    const board = await open("/board.html?mat=1");
    await callNext(operator);
    for (const key of ["hajime", "yuko_white", "mate"]) await operator.press(key);
    await correct(page, /yuko white/, "replace:waza_ari_white");
    for (const each of [page, board]) {
        await score(each, "waza_ari", "white", 1);
        await score(each, "yuko", "white", 0);
    }
    await correct(page, /waza-ari white/, "give");
    for (const each of [page, board]) await score(each, "waza_ari", "blue", 1);
    await page.keyboard.press("Backspace"); // takes the last correction back, not the call
    for (const each of [page, board]) {
        await score(each, "waza_ari", "white", 1);
        await score(each, "waza_ari", "blue", 0);
    }
    const stood = await standAlike(page, board);
    await page.getByTestId("more").click();
    await page.getByTestId("more-set_clock").click();
    await page.getByTestId("asked-text").fill("9:99");
    await page.keyboard.press("Enter");
    assert.match(await page.getByTestId("more-answer").textContent(), /minutes:seconds/);
    await page.getByTestId("asked-text").fill("3:21");
    await page.keyboard.press("Enter");
    for (const each of [page, board]) {
        await until("the clock to be set", async () => (await each.getByTestId("clock").textContent()) === "3:21");
    }
    assert.notEqual(stood, await ms(page));
    await hasEveryCall(page);
    assert.deepEqual((await journal(hub)).filter(({ verdict }) => verdict !== "applied"), []);
    assert.equal(await page.getByTestId("trouble").count(), 0);
});

test("after kachi a bout is opened again with a reason, and the desk gets the result that follows", async (t) => {
    const { open, sit } = await begin(t);
    const operator = await sit();
    const { page } = operator;
    const desk = await open("/desk.html");
    await callNext(operator);
    for (const key of ["hajime", "ippon_white", "sore_made", "kachi"]) await operator.press(key);
    await page.getByTestId("readback").waitFor();
    await page.keyboard.press("Backspace");
    await until("words why not", async () => /open the bout again/.test(await page.getByTestId("answer").textContent()));
    assert.equal(await page.getByTestId("strike").count(), 0, "nothing is struck after kachi");
    await operator.press("confirm");
    const rows = desk.getByTestId("finished-row");
    await until("the result at the desk", async () => (await rows.count()) === 1);
    assert.match(await rows.first().textContent(), /white wins by ippon/);
    await page.getByTestId("open-again").click();
    await page.getByTestId("say-reopen:majority").click();
    // Until the next one the bout has none: the desk neither counts the old result nor hides that it was told.
    await until("the result to be taken back", async () => (await rows.first().getAttribute("data-fate")) === "taken_back");
    assert.match(await rows.first().textContent(), /Does not stand any more/);
    assert.equal(await desk.locator(".count").textContent(), "0");
    await correct(page, /ippon white/, "give");
    for (const key of ["kachi", "confirm"]) await operator.press(key);
    await until("the new result at the desk", async () => (await rows.count()) === 2);
    assert.match(await rows.first().textContent(), /blue wins by ippon/); // newest on top
    assert.match(await rows.nth(1).textContent(), /Replaced by a later result/);
    assert.equal(await desk.locator(".count").textContent(), "1");
});

// docs/protocol.md, 13: a question is a word between people, and the bout goes on whatever is answered.
test("what the desk asks stands at the table until it is answered, and takes nothing away", async (t) => {
    const { hub, sit } = await begin(t);
    const { page, press } = await sit().then((operator) => ({ page: operator.page, press: (key) => operator.press(key) }));
    await page.getByTestId("next-bout").click();
    await page.getByTestId("key-hajime").waitFor();
    await press("hajime");
    const desk = await Client.connect(Number(new URL(hub.address).port), { role: "ROLE_DESK", device: "00000000000000d1", hand: "Sefa" });
    const told = (kind, fits) => until(`the desk to hear ${kind}`, async () => desk.heard.some((one) => one.case === kind && fits(one.value)));
    desk.send({ case: "ask", value: { mat: 1, to: "TO_TABLE", about: "ABOUT_COME", words: "after this bout" } });
    await page.getByTestId("asked").waitFor();
    assert.match(await page.getByTestId("asked").textContent(), /The desk \(Sefa\) asks you to come: after this bout/);
    await press("waza_ari_white");
    await shows(page, "score-waza_ari-white", 1);
    await page.getByTestId("answer-2").click(); // AskAnswered.HOW_COMING
    await told("askAnswered", ({ how }) => how === 2);
    assert.equal(await page.getByTestId("asked").count(), 0);
    await shows(page, "score-waza_ari-white", 1);
    desk.close();
});

test("a hajime that was missed is offered, and one press puts it where it belongs", async (t) => {
    const rate = 10;
    const { open, sit } = await begin(t, rate);
    const operator = await sit();
    const { page } = operator;
    const board = await open("/board.html?mat=1");
    await callNext(operator);
    const osaekomi = Date.now() + 50;
    await operator.press("osaekomi_white", osaekomi);
    await operator.press("toketa", osaekomi + 300); // three seconds of the bout
    await page.getByTestId("offer").click();
    await page.getByTestId("offer").waitFor({ state: "detached" });
    const mate = Date.now() + 50;
    await operator.press("mate", mate);
    assertGone(await standAlike(page, board), osaekomi, mate, rate);
});

test("a device that keeps nothing says so, and the hub gets every call", async (t) => {
    const { hub, open } = await begin(t);
    const board = await open("/board.html?mat=1");
    const page = await open();
    await page.addInitScript(() => {
        IDBFactory.prototype.open = () => { throw new Error("no room on this disk"); };
    });
    const operator = await Operator.sit(page, hub, 1);
    await callNext(operator);
    for (const key of ["hajime", "yuko_white", "mate"]) await operator.press(key);
    await says(page, /^Not kept on this device/);
    assert.match(await page.getByTestId("trouble").textContent(), /not kept.*no room on this disk.*on paper/i);
    await shows(board, "score-yuko-white", 1);
    await until("the hub to have them", async () => (await journal(hub)).length === 4);
    await assertJournal(hub, 1, ["called to the mat", "hajime", "yuko to white", "mate"]);
    await standAlike(page, board);
});

test("a disk that is full for a while: said, sent all the same, and kept later", async (t) => {
    const { hub, open } = await begin(t);
    const page = await open();
    const operator = await Operator.sit(page, hub, 1);
    await callNext(operator);
    await hasEveryCall(page);
    await page.evaluate(() => {
        const { add } = IDBObjectStore.prototype;
        IDBObjectStore.prototype.add = function put(...words) {
            if (globalThis.diskIsFull) throw new Error("the disk is full");
            return add.apply(this, words);
        };
        globalThis.diskIsFull = true;
    });
    await operator.press("hajime");
    await operator.press("shido_blue");
    await says(page, /^Not kept on this device/);
    await until("the hub to have them", async () => (await journal(hub)).length === 3);
    await page.evaluate(() => { globalThis.diskIsFull = false; });
    await hasEveryCall(page);
    assert.equal(await page.getByTestId("trouble").count(), 0);
    const rows = await rowsOf(page);
    await page.reload();
    await page.getByTestId("key-mate").waitFor();
    assert.deepEqual(await rowsOf(page), rows, "what was kept late is there after a reload");
    await hasEveryCall(page);
    await assertJournal(hub, 1, ["called to the mat", "hajime", "shido to blue"]);
});

// A browser as a process of our own, so that it can be killed as a power cut would.
async function powerOn(profile) {
    const process = spawn("/usr/bin/chromium", ["--headless=new", "--remote-debugging-port=0", "--window-size=1366,768",
        `--user-data-dir=${profile}`, ...browserFlags, "about:blank"], { detached: true, stdio: ["ignore", "ignore", "pipe"] });
    const ended = new Promise((end) => process.on("exit", end));
    let said = "";
    process.stderr.on("data", (text) => { said += text; });
    const address = await until("the browser to listen", () => /DevTools listening on (\S+)/.exec(said)?.[1]);
    const connection = await chromium.connectOverCDP(address);
    const powerOff = async () => {
        globalThis.process.kill(-process.pid, "SIGKILL"); // its own group: the browser and its children
        await ended;
        await connection.close().catch(() => undefined);
    };
    return { context: connection.contexts()[0], powerOff };
}

test("the browser is killed while the hub is away: a new one brings the calls back and sends them", async (t) => {
    const { hub, open } = await begin(t);
    const board = await open("/board.html?mat=1");
    const profile = await mkdtemp(join(tmpdir(), "honbu-evening-profile-"));
    t.after(() => rm(profile, { recursive: true, force: true, maxRetries: 5 }));
    const before = await powerOn(profile);
    const operator = await Operator.sit(await newPage(before.context), hub, 1);
    await callNext(operator);
    const hajime = Date.now() + 50;
    await operator.press("hajime", hajime);
    await hasEveryCall(operator.page);
    await hub.kill();
    await says(operator.page, /^Working alone/);
    await operator.press("waza_ari_white");
    await operator.press("shido_blue");
    const rows = operator.page.getByTestId("call-row");
    await until("the calls to be kept", async () =>
        (await rows.count()) === 4 && (await rows.evaluateAll((all) => all.every((row) => row.dataset.saved === "true"))));
    await says(operator.page, /2 calls kept here/);
    await before.powerOff();
    await hub.again();
    assert.equal((await journal(hub)).length, 2);

    const again = await powerOn(profile);
    t.after(again.powerOff);
    const page = await newPage(again.context);
    await page.goto(`${hub.address}/table.html?mat=1`);
    await page.getByTestId("key-mate").waitFor();
    await hasEveryCall(page);
    await runTogether(page, board);
    const mate = Date.now() + 15;
    await (await keysOf(page, 1)).press("mate", mate);
    assertGone(await standAlike(page, board), hajime, mate);
    for (const each of [page, board]) {
        await shows(each, "score-waza_ari-white", 1);
        await shows(each, "shido-blue", 1);
    }
    await hasEveryCall(page);
    await assertJournal(hub, 1, ["called to the mat", "hajime", "waza-ari to white", "shido to blue", "mate"]);
});

test("the pages complained of nothing", () => assert.deepEqual(complaints, []));
