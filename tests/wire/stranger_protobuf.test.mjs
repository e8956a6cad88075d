// A screen and a table without an engine over protobuf, against the real hub. The clients (stranger_*.mjs) were
// written from docs/protocol.md, docs/journal.md and proto/ alone, by somebody who had read nothing else of the
// project, and were run against a hub only then. So each expectation here is a sentence of docs/protocol.md, and
// its section is named.
import assert from "node:assert/strict";
import { join } from "node:path";
import { after, beforeEach, test } from "node:test";
import { oneHub, scratch } from "./one_hub.mjs";
import { demo } from "../crash/hub.mjs";
import { json } from "./stranger_json.mjs";
import { Line, newName, until } from "./stranger_line.mjs";
import { protobuf } from "./stranger_protobuf.mjs";
import { Screen, clockTexts, drawMat } from "./stranger_screen.mjs";
import { Store, Table } from "./stranger_table.mjs";

const limit = { timeout: 60_000 };
// A rehearsal, so that a hold of twenty seconds takes one.
const hub = oneHub({ more: ["--competition", demo, "--title", "Evening Cup", "--rehearsal-rate", "20"] });
const lines = [];
let hall, hallLine;

function opened(flavour, hello, ...parts) {
    const line = new Line({ url: `ws://127.0.0.1:${hub.port}/ws`, flavour, hello, parts });
    lines.push(line);
    line.start();
    return line;
}

// The fold version that a table's hello has to name is in every welcome: a hall screen has asked for it.
async function seated(mat, hand, { device = newName(), file = join(folder, `${hand}.jsonl`) } = {}) {
    const table = new Table({ device, mat, hand, store: new Store(file) });
    opened(protobuf, () => table.hello(hallLine.welcome.foldVersion), table);
    await until(`${hand}'s allotment`, () => table.allotment);
    await until(`${hand}'s first RunClock`, () => table.measured > 0);
    return table;
}

async function kept(table, ...ids) {
    for (const id of ids) await until(`the verdict of call ${id.number}`, () => table.verdict(id));
    return ids.map((id) => table.verdict(id).kind);
}

async function leaves(table) {
    table.line.send("leaveMat", { mat: table.mat });
    await until("MatLost", () => table.lostMat?.left);
}

const shownAs = (mat, phase) => until(`mat ${mat} in ${phase}`, () => hall.mat(mat)?.phase === phase);

const folder = scratch({ after });

beforeEach(async () => {
    if (hall) return;
    hall = new Screen({ all: true, results: true, callList: true, sheets: [1, 2, 3, 4] });
    hallLine = opened(protobuf, () => ({ role: "ROLE_HALL" }), hall);
    await until("a view of each mat", () => hall.views.size === 3);
});

after(() => Promise.all(lines.map((line) => line.stop())));

test("the bytes of section 11: a hall's hello, and signs of life", () => {
    const hex = (message) => Buffer.from(protobuf.encode(message)).toString("hex");
    assert.equal(hex({ hello: { schema: 2, role: "ROLE_HALL" } }), "0a0408021003");
    assert.equal(hex({ heartbeat: {} }), "3a00");
    assert.deepEqual(protobuf.decode(Buffer.from("4200", "hex"), true), { heartbeat: {} });
});

test("the view of section 11 at hub time 691000, and the clocks of section 6", () => {
    const board = (white) => ({ white, blue: {} });
    const frames = [
        { from: 684100, why: "WHY_CALL", clock: { running: true, down: true, ms: 224500 }, hold: { running: true, ms: 0 }, ...board({}) },
        { from: 689100, why: "WHY_HOLD_LEVEL", clock: { running: true, down: true, ms: 219500 }, hold: { running: true, ms: 5000 }, ...board({ yuko: 1 }) },
        { from: 694100, why: "WHY_HOLD_LEVEL", clock: { running: true, down: true, ms: 214500 }, hold: { running: true, ms: 10000 }, ...board({ wazaAri: 1 }) },
        { from: 704100, why: "WHY_HOLD_ENDED", clock: { down: true, ms: 204500 }, pastHold: { ms: 20000 }, ...board({ ippon: 1 }) },
    ];
    const bout = { bout: 1, levels: ["LEVEL_IPPON", "LEVEL_WAZA_ARI", "LEVEL_YUKO"] };
    const at = (now) => drawMat({ mat: 1, table: "TABLE_LINE_LIVE", bout, frames, next: [] }, now);
    const pick = ({ white, hold, pastHold, contest }) => [white, hold ?? pastHold, contest];
    assert.deepEqual(pick(at(691000)), ["0 0 1 s0", "0:06", "3:38"]);
    assert.deepEqual(pick(at(600000)), ["0 0 0 s0", "0:00", "3:45"]); // none yet: the first, and never below 0
    assert.deepEqual(pick(at(689100)), ["0 0 1 s0", "0:05", "3:40"]); // "not later than now"
    assert.deepEqual(pick(at(800000)), ["1 0 0 s0", "0:20", "3:25"]); // stands

    const texts = (frame, now) => clockTexts({ from: 1000, ...frame }, now);
    assert.deepEqual(texts({ clock: { running: true, down: true, ms: 500 } }, 1499), { contest: "0:01" });
    assert.deepEqual(texts({ clock: { running: true, down: true, ms: 500 } }, 1500), { contest: "0:00" });
    assert.deepEqual(texts({ clock: { running: true, down: true, ms: 500 } }, 9000), { contest: "0:00" });
    assert.deepEqual(texts({ clock: { running: true, down: false, ms: 59_001 } }, 1998), { contest: "0:59" });
    assert.deepEqual(texts({ clock: { running: true, down: false, ms: 59_001 } }, 1999), { contest: "1:00" });
    // A countdown for a missing athlete runs while the contest clock stands: each row has its own `running`.
    const waiting = { clock: { running: false, down: true, ms: 240_000 }, absence: { running: true, leftMs: 30_000 } };
    assert.deepEqual(texts(waiting, 11_500), { contest: "4:00", missing: "0:20" });
});

test("both flavours give the same welcome and views", limit, async () => {
    const other = new Screen({ all: true, callList: true, sheets: [1, 4] });
    const line = opened(json, () => ({ role: "ROLE_HALL" }), other);
    await until("the views in JSON", () => other.views.size === 3 && other.callList && other.sheets.size === 2);
    const { hubMs: one, ...welcome } = hallLine.welcome;
    const { hubMs: two, ...again } = line.welcome;
    assert.ok(one > 0 && two >= one);
    assert.deepEqual(again, welcome);
    for (const mat of [1, 2, 3]) assert.deepEqual(other.views.get(mat), hall.views.get(mat));
    assert.deepEqual(other.callList, hall.callList);
    for (const bout of [1, 4]) assert.deepEqual(other.sheets.get(bout), hall.sheets.get(bout));
    assert.equal(welcome.title, "Evening Cup");
    await line.stop();
});

test("a hold runs through its frames on a screen by itself, and a table without an engine confirms", limit, async () => {
    const table = await seated(1, "Ngaio");
    const before = hall.results.items.length;
    assert.equal(hall.mat(1).bout, undefined); // absent before the first bout is called
    const called = [{ plain: "PLAIN_CALLED" }, { plain: "PLAIN_HAJIME" }, { osaekomi: "SIDE_WHITE" }].map((what) => table.call(1, what));
    assert.deepEqual(await kept(table, ...called), ["KIND_APPLIED", "KIND_APPLIED", "KIND_APPLIED"]);
    hall.shown.length = 0;
    await until("the end of the hold", () => hall.mat(1).phase === "PHASE_STOPPED");

    // Nothing was called meanwhile; each step came when its frame began. A machine that is busy may come too late for
    // one, but never out of order, and never misses the last.
    const seen = [];
    for (const { mat, white } of hall.shown) if (mat === 1 && seen.at(-1) !== white) seen.push(white);
    const steps = ["0 0 0 s0", "0 0 1 s0", "0 1 0 s0", "1 0 0 s0"];
    assert.deepEqual(seen, steps.filter((white) => seen.includes(white)));
    assert.equal(seen.at(-1), steps.at(-1));
    const view = hall.views.get(1);
    const drawn = view.frames.slice(0, 4).map((frame) => drawMat(view, frame.from));
    assert.deepEqual(drawn.map(({ why, white }) => [why, white]), [["WHY_CALL", steps[0]], ["WHY_HOLD_LEVEL", steps[1]], ["WHY_HOLD_LEVEL", steps[2]], ["WHY_HOLD_ENDED", steps[3]]]);
    assert.deepEqual(drawn.map(({ hold, pastHold }) => hold ?? pastHold), ["0:00", "0:05", "0:10", "0:20"]);
    const { words, winner, final } = hall.mat(1);
    assert.equal(words, "white wins by ippon by hold");
    assert.deepEqual([winner, final], [undefined, false]); // decided, but not announced

    assert.deepEqual(await kept(table, table.call(1, { plain: "PLAIN_SORE_MADE" }), table.call(1, { plain: "PLAIN_KACHI" })), ["KIND_APPLIED", "KIND_APPLIED"]);
    await shownAs(1, "PHASE_ANNOUNCED");
    assert.deepEqual([hall.mat(1).winner, hall.mat(1).final], ["WINNER_WHITE", false]);
    assert.equal(hall.callList.mats[0].on.bout, 1);
    const result = table.confirmation(hall.views.get(1), { means: "MEANS_HOLD", points: 10 });
    const confirmed = table.call(1, { confirm: result });
    assert.deepEqual(await kept(table, confirmed), ["KIND_APPLIED"]);
    await shownAs(1, "PHASE_CONFIRMED");
    assert.equal(hall.mat(1).final, true);

    const item = await until("the result", () => hall.results.items[before]);
    assert.deepEqual([item.number, item.mat, item.bout.bout, item.from], [table.verdict(confirmed).record, 1, 1, "RESULT_FROM_TABLE"]);
    assert.match(item.words, /^white wins by ippon by hold, \d:\d\d$/);
    assert.deepEqual(item.result, { ...item.result, ...result });
    await until("the sheet's result", () => hall.sheets.get(1).resultNumber === item.number);
    assert.deepEqual(hall.sheets.get(1).result, item.result);
    const lines = hall.sheets.get(1).lines.map((line) => line.call);
    assert.deepEqual(lines.filter(Boolean), ["called to the mat", "hajime", "osaekomi", "sore-made", "kachi", "confirmed"]);
    await until("the call list without it", () => !hall.callList.mats[0].on && hall.callList.mats[0].next[0].bout === 4);
    assert.deepEqual([...table.verdicts.values()].map((verdict) => verdict.stateDiffers), Array(6).fill(false)); // `seen` 0
    await leaves(table);
    await table.line.stop();
});

test("what a broken line kept back is sent again, older runs first, and counts once", limit, async () => {
    const device = newName();
    const table = await seated(2, "Mele", { device });
    await kept(table, table.call(2, { plain: "PLAIN_CALLED" }), table.call(2, { plain: "PLAIN_HAJIME" }));

    // The line breaks with calls under way: whether they were written, the table can't know.
    table.call(2, { score: { to: "SIDE_BLUE", level: "LEVEL_YUKO" } });
    table.line.cut();
    table.call(2, { plain: "PLAIN_MATE" });
    await until("the table back", () => table.line.connections === 2 && table.waiting() === 0, 30_000);
    assert.ok(table.resent > 0);
    assert.deepEqual(table.refusals, []);

    // Its page dies with a call in storage that was never sent; the next page of the same device is another run.
    table.line.cut();
    table.call(2, { plain: "PLAIN_HAJIME" });
    await table.line.stop();
    const file = table.store.path;
    const page = await seated(2, "Mele", { device, file });
    assert.equal(page.resent, 1);
    await until("every verdict", () => page.verdict({ run: table.run, number: 5 }));
    const [mate] = await kept(page, page.call(2, page.joint(table.run)), page.call(2, { plain: "PLAIN_MATE" })).then((kinds) => kinds.slice(-1));
    assert.equal(mate, "KIND_APPLIED");
    const counted = () => hall.sheets.get(2)?.lines.map((line) => line.call).filter((call) => call && !call.includes("clock"));
    await until("the sheet", () => counted()?.length === 6);
    assert.deepEqual(counted(), ["called to the mat", "hajime", "yuko", "mate", "hajime", "mate"]);
    await page.line.stop();
    await until("the mat to be shown as out of reach", () => hall.mat(2).line.startsWith("table out of reach"));
});

test("handing over: the next table finds the bout where it stood, and a screen that was away misses no result", limit, async () => {
    const first = await seated(3, "Sefa");
    await kept(first, first.call(3, { plain: "PLAIN_CALLED" }), first.call(3, { plain: "PLAIN_HAJIME" }), first.call(3, { score: { to: "SIDE_BLUE", level: "LEVEL_WAZA_ARI" } }), first.call(3, { plain: "PLAIN_MATE" }));
    const second = new Table({ device: newName(), mat: 3, hand: "Ione", store: new Store(join(folder, "Ione.jsonl")) });
    const line = opened(protobuf, () => second.hello(hallLine.welcome.foldVersion), second);
    const held = await until("a refusal", () => second.refusals[0]);
    assert.equal(held.reason, "REASON_MAT_HELD");

    first.line.send("leaveMat", { mat: 3, term: first.allotment.term });
    const left = await until("MatLost", () => first.lostMat);
    assert.deepEqual([left.mat, left.left], [3, true]);
    await until("a free mat", () => hall.mat(3).line === "no table");
    assert.equal(hall.mat(3).phase, "PHASE_STOPPED");
    line.send("takeMat", { mat: 3 }); // without force
    await until("the allotment", () => second.allotment && second.measured > 0);
    assert.equal(second.allotment.term, first.allotment.term + 1);
    assert.equal(second.given(3).calls.length, 4);

    const stood = hall.mat(3).contest;
    const joint = second.call(3, second.joint(first.run));
    const finish = [{ plain: "PLAIN_HAJIME" }, { score: { to: "SIDE_BLUE", level: "LEVEL_WAZA_ARI" } }, { plain: "PLAIN_SORE_MADE" }, { plain: "PLAIN_KACHI" }];
    assert.deepEqual(await kept(second, joint, ...finish.map((what) => second.call(3, what))), Array(5).fill("KIND_APPLIED"));
    await shownAs(3, "PHASE_ANNOUNCED");
    assert.ok(hall.mat(3).contest <= stood);
    assert.equal(hall.mat(3).winner, "WINNER_BLUE");
    const announced = hall.views.get(3);

    // The screen's line breaks; the result comes meanwhile. A screen that is not live shows so and stands still.
    const before = hall.results.items.length;
    hallLine.cut();
    await until("the broken line", () => !hallLine.live);
    const old = hall.mat(3);
    assert.equal(old.live, false);
    await kept(second, second.call(3, { confirm: second.confirmation(announced, { means: "MEANS_CALLED", points: 10 }) }));
    await until("the screen back", () => hallLine.live, 30_000);
    const item = await until("the item", () => hall.results.items[before]);
    assert.deepEqual([item.bout.bout, item.result.winner, hall.results.items.length], [3, "WINNER_BLUE", before + 1]);
    await shownAs(3, "PHASE_CONFIRMED");
    assert.deepEqual([hall.warnings, hall.results.backwards], [[], []]);
    await line.stop();
});

test("a joint says how two runs' clocks meet, and contest time goes on by it", limit, async () => {
    const first = await seated(1, "Lupe");
    const hajime = [first.call(4, { plain: "PLAIN_CALLED" }, { entered: 1000 }), first.call(4, { plain: "PLAIN_HAJIME" }, { entered: 2000 })];
    assert.deepEqual(await kept(first, ...hajime), ["KIND_APPLIED", "KIND_APPLIED"]);
    await leaves(first); // in the middle of the fight

    const second = await seated(1, "Vaea");
    const clock = second.allotment.clocks.find(({ run }) => run === first.run);
    assert.ok(clock.runMs > 0 && clock.hubMs > 0);
    const joint = { earlier: first.run, there: 10_000, here: 50, source: "SOURCE_TYPED" };
    const calls = [second.call(4, { joint }, { entered: 60 }), second.call(4, { plain: "PLAIN_MATE" }, { entered: 1050 })];
    assert.deepEqual(await kept(second, ...calls), ["KIND_APPLIED", "KIND_APPLIED"]);
    await until("the mate", () => hall.views.get(1).number === second.verdict(calls[1]).record);
    // Hajime at 2000 and mate at 10000 + (1050 - 50) of the first run: nine seconds of four minutes.
    assert.deepEqual([hall.mat(1).phase, hall.mat(1).contest, hall.views.get(1).frames[0].regularMs], ["PHASE_STOPPED", "3:51", 9000]);
    await Promise.all([first, second].map((table) => table.line.stop()));
});
