// A desk and its screen over JSON, with nothing but a WebSocket, against the real hub. The clients (stranger_*.mjs)
// were written from docs/protocol.md, docs/journal.md and proto/ alone, by somebody who had read nothing else of the
// project, and were run against a hub only then. So each expectation here is a sentence of docs/protocol.md (or
// of docs/journal.md, where bytes are read).
import assert from "node:assert/strict";
import { join } from "node:path";
import { after, beforeEach, test } from "node:test";
import { demo } from "../crash/hub.mjs";
import { honbu, oneHub, scratch } from "./one_hub.mjs";
import { Desk } from "./stranger_desk.mjs";
import { json } from "./stranger_json.mjs";
import { Chain, readFact, readRecord, sha256 } from "./stranger_journal.mjs";
import { Line, newName, until } from "./stranger_line.mjs";
import { Screen } from "./stranger_screen.mjs";
import { Store, Table } from "./stranger_table.mjs";

const limit = { timeout: 60_000 };
const hub = oneHub({ more: ["--competition", demo, "--title", "Evening Cup"] });
const lines = [];
const folder = scratch({ after });
let desk, screen, line;

function opened(hello, ...parts) {
    const made = new Line({ url: `ws://127.0.0.1:${hub.port}/ws`, flavour: json, hello, parts });
    lines.push(made);
    made.start();
    return made;
}

async function seated(mat, hand) {
    const table = new Table({ device: newName(), mat, hand, store: new Store(join(folder, `${hand}.jsonl`)) });
    opened(() => table.hello(line.welcome.foldVersion), table);
    await until(`${hand}'s allotment`, () => table.allotment);
    await until(`${hand}'s first RunClock`, () => table.measured > 0);
    return table;
}

async function kinds(table, ...ids) {
    for (const id of ids) await until(`the verdict of call ${id.number}`, () => table.verdict(id));
    return ids.map((id) => table.verdict(id).kind);
}

// The sheet as it stands once record `number` has come.
const sheet = (bout, number) => until(`the sheet of bout ${bout}`, () => screen.sheets.get(bout)?.changed >= number && screen.sheets.get(bout));
const item = (number) => until(`result item ${number}`, () => screen.results.items.find((one) => one.number === number));
const win = (winner, way, white, blue) => ({ winner, way, regularMs: 240_000, decidedMs: 240_000, stoppedMs: 240_000, white, blue });

beforeEach(async () => {
    if (desk) return;
    desk = new Desk({ device: newName(), hand: "Renske" });
    screen = new Screen({ all: true, results: true, callList: true, sheets: [1, 2, 4, 5, 8, 9, 12, 15] });
    line = opened(() => desk.hello(), desk, screen);
    await until("views, sheets and the desk's own", () => screen.views.size === 3 && screen.sheets.size === 8 && desk.tables && desk.setAside);
});

after(() => Promise.all(lines.map((one) => one.stop())));

// docs/journal.md, section 4: three worked examples with their SHA-256.
test("the worked examples of the journal's page", () => {
    const bytes = (hex) => Buffer.from(hex.replace(/\s/g, ""), "hex");
    const first = bytes(`01000000 ${"00".repeat(32)} 00000000 0000000000000000 0000 00 01 efcdab8967452301 02000000 01000000 0000000000000000`);
    assert.equal(sha256(first).toString("hex"), "9e68791c609b86c970e8e588c5e445f05057c5c31a6ede09da53e72b0160b94b");
    const { fact, epoch, foldVersion, rate, number } = readRecord(first);
    assert.deepEqual([fact, epoch, foldVersion, rate, number], ["epoch began", "0123456789abcdef", 2, 1, 1]);

    const correction = bytes("364fb8e2917a0c5d 09000000 01000000 0100 01000000 72640100 00000000 00000000 22 364fb8e2917a0c5d 07000000 08 02 03");
    assert.equal(sha256(correction).toString("hex"), "438af0d0cddab19fa88c128a91328c5584f9f03a6462b22369172a9c584dbb08");
    const run = "5d0c7a91e2b84f36";
    const { number: nine, entered, what } = readFact(Buffer.concat([bytes("04"), correction])).call;
    assert.deepEqual([nine, entered, what], [9, 91250, { name: "replace", call: { run, number: 7 }, by: { name: "score", side: 2, level: 3 } }]);

    const decision = bytes("06 02 07000000 02000000 364fb8e2917a0c5d 03000000 364fb8e2917a0c5d 04000000 01000000 364fb8e2917a0c5d 70192c3f4ed56ba8 42ef0000 00000000 04 0900 6361626c65206f7574");
    assert.equal(sha256(decision).toString("hex"), "398ea547dbd2df9865f27db3fca4c9a18edae7104c79185c8617dd662284577f");
    const { into, calls, joined, reason } = readFact(decision);
    assert.deepEqual([into, calls.map((call) => call.number), reason], [7, [3, 4], "cable out"]);
    assert.deepEqual(joined, [{ run, earlier: "a86bd54e3f2c1970", there: 61250, here: 0, source: 4 }]);
});

test("section 14: zeros and empty lists are there, objects that are not are left out", () => {
    const { missing, differs, runs, earlierEpochs, hash, mats } = line.welcome;
    assert.deepEqual([missing, differs, runs, earlierEpochs, mats], [0, false, [], [], [1, 2, 3]]);
    assert.match(hash, /^[0-9a-f]{16}$/);
    const view = screen.views.get(1);
    assert.deepEqual([view.table, view.frames, "bout" in view], ["TABLE_LINE_NONE", [], false]);
    assert.deepEqual(view.next.map((head) => [head.bout, head.white.from, head.white.fromBout]), [[1, "FROM_PERSON", 0], [4, "FROM_PERSON", 0]]);
});

test("the desk sees who has a mat, decides what was set aside, and the chain tells all of it", limit, async () => {
    const first = await seated(1, "Ngaio");
    const there = await until("the table in reach and measured", () => desk.ofMat(1)?.measured && desk.ofMat(1));
    assert.deepEqual([there.line, there.device, there.hand, there.differs], ["TABLE_LINE_LIVE", first.device, "Ngaio", false]);
    assert.ok(Number.isInteger(there.offsetMs) && there.roundTripMs >= 0);
    const calls = [{ plain: "PLAIN_CALLED" }, { plain: "PLAIN_HAJIME" }, { score: { to: "SIDE_WHITE", level: "LEVEL_YUKO" } }];
    await kinds(first, ...calls.map((what) => first.call(1, what)));

    // A person said yes, and another table takes the mat; what the first one still sends is set aside.
    const second = await seated(2, "Mele");
    second.line.send("takeMat", { mat: 1, takeOver: true, hand: "Sefa" });
    const lost = await until("MatLost", () => first.lostMat);
    assert.deepEqual([lost.mat, lost.left], [1, false]);
    await until("the new hand", () => desk.ofMat(1).hand === "Sefa");
    const late = first.call(1, { score: { to: "SIDE_BLUE", level: "LEVEL_WAZA_ARI" } });
    const doubled = first.call(1, { plain: "PLAIN_MATE" });
    assert.deepEqual(await kinds(first, late, doubled), ["KIND_SET_ASIDE", "KIND_SET_ASIDE"]);
    const [aside] = await until("both in the list", () => desk.ofBout(1)[0]?.calls.length === 2 && desk.ofBout(1));
    const [score] = aside.calls;
    assert.deepEqual([aside.device, aside.hand, aside.mat, score.call.score], [first.device, "Ngaio", 1, { to: "SIDE_BLUE", level: "LEVEL_WAZA_ARI" }]);
    assert.match(score.words, /waza-ari/);
    assert.deepEqual(aside.calls.map((one) => one.call.id), [late, doubled]);

    const take = { how: "HOW_TAKEN", into: 1, calls: [late], reason: "the cable of mat 1 was out" };
    const early = await desk.command("decideSetAside", take);
    assert.deepEqual([early.kind, early.reason], ["refusal", "REASON_AT_THE_TABLE"]);
    const { term } = desk.ofMat(1);
    const gently = await desk.command("leaveMat", { mat: 1, term });
    assert.deepEqual([gently.kind, gently.reason], ["refusal", "REASON_MAT_HELD"]);
    const old = await desk.command("leaveMat", { mat: 1, byForce: true, term: term - 1 });
    assert.deepEqual([old.kind, old.reason], ["refusal", "REASON_CHANGED"]);
    const freed = await desk.command("leaveMat", { mat: 1, byForce: true, term });
    assert.equal(freed.kind, "done", freed.words);
    await until("the mat to be free", () => desk.ofMat(1).device === "" && screen.views.get(1).table === "TABLE_LINE_NONE");

    const done = await desk.command("decideSetAside", take);
    assert.equal(done.kind, "done", done.words);
    const taken = await sheet(1, done.record);
    assert.deepEqual([taken.atDesk, taken.lines.filter((one) => one.call === "waza-ari").length], [true, 1]);
    const again = await desk.command("decideSetAside", take);
    assert.deepEqual([again.kind, again.reason], ["refusal", "REASON_CHANGED"]);
    const dismissed = await desk.command("decideSetAside", { how: "HOW_DISMISSED", calls: [doubled], reason: "it was called once" });
    assert.equal(dismissed.kind, "done", dismissed.words);
    await until("nothing waits", () => desk.ofBout(1).length === 0);

    // The audit tells the decision as journal.md writes it.
    const { read } = await until("the record", () => desk.records.find(({ sent }) => sent.number === done.record));
    assert.deepEqual([read.fact, read.how, read.into, read.calls, read.reason], ["set aside decided", 2, 1, [late], take.reason]);
    assert.deepEqual([read.device, read.hand], [desk.device, "Renske"]);
    await Promise.all([first, second].map((table) => table.line.stop()));
});

test("a bout in no plan is typed at the table, and gets its place at the desk", limit, async () => {
    const table = await seated(3, "Ione");
    const bout = 0x8000_0000 + 1 + Math.floor(Math.random() * 0x7fff_fffe);
    const typed = { white: "Uma Neverby", blue: "Ida Nowhere", note: "cadets, pool A" };
    const ids = [table.call(bout, { plain: "PLAIN_CALLED" }, { typed }), table.call(bout, { plain: "PLAIN_HAJIME" })];
    assert.deepEqual(await kinds(table, ...ids), ["KIND_SET_ASIDE", "KIND_SET_ASIDE"]);
    const [aside] = await until("it in the list", () => desk.ofBout(bout)[0]?.calls.length === 2 && desk.ofBout(bout));
    assert.deepEqual([aside.typed, aside.head], [typed, undefined]);
    table.line.send("leaveMat", { mat: 3, term: desk.ofMat(3).term });
    await until("the mat to be left", () => table.lostMat?.left);
    const done = await desk.command("decideSetAside", { how: "HOW_TAKEN", into: 15, calls: ids, reason: "it was bout 15" });
    assert.equal(done.kind, "done", done.words);
    const placed = await sheet(15, done.record);
    assert.deepEqual(placed.lines.map((one) => one.call), ["called to the mat", "hajime"]);
    await table.line.stop();
});

test("a result from paper, put right, moved, exchanged and taken away: stream and sheets agree", limit, async () => {
    const paper = { bout: 9, from: "RESULT_FROM_PAPER", replaces: screen.sheets.get(9).resultNumber, changed: screen.sheets.get(9).changed, result: win("WINNER_BLUE", "WAY_WAZA_ARI", {}, { wazaAri: 1 }), reason: "the laptop was off" };
    const entered = await desk.command("enterResult", paper);
    assert.equal(entered.kind, "done", entered.words);
    const told = await item(entered.record);
    assert.deepEqual([told.bout.bout, told.words, told.from, told.replaces], [9, "blue wins by waza-ari, 4:00", "RESULT_FROM_PAPER", 0]);
    assert.equal(Buffer.from(told.result.rulesHash, "base64").length, 32); // "rules and fold are the hub's to fill in"
    const twice = await desk.command("enterResult", paper); // as after a broken line
    assert.deepEqual([twice.kind, twice.reason], ["refusal", "REASON_CHANGED"]);

    const right = await desk.command("enterResult", { ...paper, from: "RESULT_FROM_DESK", replaces: told.number, changed: told.number, result: win("WINNER_WHITE", "WAY_WAZA_ARI", { wazaAri: 1 }, {}), reason: "sides were mixed up" });
    assert.deepEqual([(await item(right.record)).replaces, screen.results.standing.get(9).result.winner], [told.number, "WINNER_WHITE"]);

    // It was bout 12, which has nothing yet: one item, and bout 9 has no result.
    const nine = await sheet(9, right.record);
    const moved = await desk.command("moveRecord", { from: 9, to: 12, fromChanged: nine.changed, toChanged: screen.sheets.get(12).changed, reason: "the number was misread" });
    assert.equal(moved.kind, "done", moved.words);
    const move = await item(moved.record);
    assert.deepEqual([move.bout.bout, move.from, move.noResult.bout, move.noResult.replaces], [12, "RESULT_FROM_OTHER_RECORD", 9, right.record]);
    assert.deepEqual([screen.results.standing.has(9), screen.results.standing.get(12).result.winner], [false, "WINNER_WHITE"]);

    // Bouts 9 and 12 have each other's: one item tells both.
    const other = await desk.command("enterResult", { bout: 9, from: "RESULT_FROM_PAPER", changed: moved.record, result: win("WINNER_BLUE", "WAY_IPPON", {}, { ippon: 1 }), reason: "second sheet" });
    const [from, to] = [await sheet(9, other.record), await sheet(12, moved.record)];
    const swap = await desk.command("moveRecord", { from: 9, to: 12, fromChanged: from.changed, toChanged: to.changed, reason: "sheets were swapped" });
    const swapped = await item(swap.record);
    const both = [swapped, swapped.also].map((one) => [one.bout.bout, one.number, one.replaces, one.result.winner]);
    assert.deepEqual(both.sort(), [[12, swap.record, moved.record, "WINNER_BLUE"], [9, swap.record, other.record, "WINNER_WHITE"]]);

    const away = await desk.command("enterResult", { bout: 12, from: "RESULT_FROM_DESK", replaces: swap.record, changed: swap.record, reason: "nobody fought" });
    const gone = await item(away.record);
    assert.deepEqual([gone.bout, gone.replaces], [12, swap.record]);
    const back = await desk.command("giveBack", { bout: 12, changed: away.record });
    assert.equal(back.kind, "done", back.words);

    for (const bout of [9, 12]) {
        const { resultNumber } = await sheet(bout, bout === 12 ? back.record : swap.record);
        assert.equal(screen.results.standing.get(bout)?.number ?? 0, resultNumber);
    }
    assert.deepEqual([screen.sheets.get(9).atDesk, screen.sheets.get(12).atDesk], [true, false]);
});

test("what the desk can't enter is refused with words, and nothing is recorded", limit, async () => {
    const at = desk.chain.number;
    const refused = async (kind, value) => {
        const answer = await desk.command(kind, value);
        assert.equal(answer.kind, "refusal");
        assert.ok(answer.words.length > 0);
        return answer.reason;
    };
    const result = win("WINNER_WHITE", "WAY_IPPON", { ippon: 1 }, {});
    assert.equal(await refused("enterResult", { bout: 999, from: "RESULT_FROM_PAPER", result, reason: "so" }), "REASON_NO_SUCH_BOUT");
    assert.equal(await refused("enterResult", { bout: 22, from: "RESULT_FROM_PAPER", result, reason: "so" }), "REASON_IMPOSSIBLE"); // nobody knows who fights there
    assert.equal(await refused("enterResult", { bout: 8, from: "RESULT_FROM_PAPER", reason: "so" }), "REASON_IMPOSSIBLE"); // there is none to take away
    assert.equal(await refused("enterResult", { bout: 8, from: "RESULT_FROM_PAPER", replaces: 3, result, reason: "so" }), "REASON_CHANGED");
    assert.equal(await refused("giveBack", { bout: 8 }), "REASON_CHANGED");
    assert.equal(desk.chain.number, at);
});

test("table and desk ask for each other", limit, async () => {
    const table = await seated(3, "Tavita");
    const told = [];
    table.line.parts.push({ hear: (kind, value) => { if (kind === "asked" || kind === "askAnswered") told.push({ kind, ...value }); } });
    table.line.send("ask", { mat: 3, to: "TO_DESK", about: "ABOUT_COME", words: "the clock of bout 6" });
    const asked = await until("the question", () => [...desk.asked.values()][0]);
    assert.deepEqual([asked.mat, asked.byDesk, asked.hand, asked.about, asked.words], [3, false, "Tavita", "ABOUT_COME", "the clock of bout 6"]);
    const heard = await until("that it was heard", () => told[0]);
    assert.deepEqual([heard.ask, heard.how, heard.shownTo], [asked.ask, "HOW_HEARD", 1]);
    line.send("answer", { ask: asked.ask, how: "HOW_COMING", words: "two minutes" });
    const coming = await until("an answer", () => told[1]);
    assert.deepEqual([coming.ask, coming.how, coming.hand, coming.words], [asked.ask, "HOW_COMING", "Renske", "two minutes"]);
    await until("it closed here too", () => desk.asked.size === 0);

    line.send("ask", { mat: 3, to: "TO_TABLE", about: "ABOUT_OTHER", words: "please confirm bout 6" });
    const question = await until("the desk's question", () => told.find((one) => one.kind === "asked"));
    assert.deepEqual([question.byDesk, question.hand, question.words], [true, "Renske", "please confirm bout 6"]);
    table.line.send("answer", { ask: question.ask, how: "HOW_NO", words: "the referees look at it again" });
    const no = await until("the table's answer", () => desk.answers.find((one) => one.ask === question.ask && one.how !== "HOW_HEARD"));
    assert.deepEqual([no.how, no.hand], ["HOW_NO", "Tavita"]);

    table.line.send("ask", { mat: 3, to: "TO_DESK", about: "ABOUT_OTHER", words: "never mind" });
    const third = await until("another question", () => [...desk.asked.values()][0]);
    await table.line.stop();
    await until("it gone with the line", () => desk.answers.some((one) => one.ask === third.ask && one.how === "HOW_GONE"));
});

test("the audit goes on after a broken line, its chain ends where the journal ends, and a changed byte is found", limit, async () => {
    line.cut();
    await until("the broken line", () => !line.live);
    await until("the line back", () => line.live && line.connections >= 2, 30_000);
    const done = await desk.command("enterResult", { bout: 5, from: "RESULT_FROM_PAPER", result: win("WINNER_WHITE", "WAY_IPPON", { ippon: 1 }, {}), reason: "paper" });
    assert.equal(done.kind, "done", done.words);
    await until("its record", () => desk.chain.number >= done.record);
    assert.equal(desk.broken, null);
    assert.deepEqual(screen.results.backwards, []);
    assert.deepEqual(desk.records.map(({ sent }) => sent.number), desk.records.map((_, at) => at + 1)); // each once, in order

    // Each call is in its record twice, as fields and as bytes.
    const verdicts = ["KIND_NONE", "KIND_APPLIED", "KIND_WITHOUT_EFFECT", "KIND_SET_ASIDE"];
    for (const { sent, read } of desk.records) {
        assert.deepEqual([read.received, verdicts[read.verdict], read.hand], [sent.received, sent.verdict, sent.hand]);
        assert.equal(read.device, sent.device || "0".repeat(16));
        assert.equal(read.fact === "call", Boolean(sent.call));
        if (!sent.call) continue;
        const { id, term, mat, bout, entered, back, seen } = sent.call;
        const { what, ...written } = read.call;
        assert.deepEqual(written, { ...id, term, mat, bout, entered, back, seen });
        assert.ok(sent.call[what.name] !== undefined || sent.call.plain === what.name, what.name);
    }

    // The hub's own program on the same journal, and the position that the next hello is compared with.
    const verify = honbu("journal", "verify", "--data", hub.data);
    assert.equal(verify.code, 0, verify.err);
    assert.ok(verify.out.includes(desk.chain.hash.toString("hex")), verify.out);
    assert.equal(line.position.hash, desk.chain.hash.subarray(0, 8).toString("hex"));

    // The checker itself: one bit in one record, and one record left out.
    const told = desk.records.map(({ sent }) => ({ number: sent.number, bytes: Buffer.from(sent.bytes, "base64"), hash: sent.hash }));
    const check = (records) => records.reduce((chain, { number, bytes, hash }) => { chain.add(number, bytes, hash); return chain; }, new Chain());
    assert.equal(check(told).number, told.length);
    const bent = told.map((one) => ({ ...one, bytes: Buffer.from(one.bytes) }));
    bent[2].bytes[37] ^= 1; // in `received`
    assert.throws(() => check(bent), /record 3 has not the hash/);
    bent[2].hash = sha256(bent[2].bytes).subarray(0, 8).toString("hex");
    assert.throws(() => check(bent), /record 4 does not go on from 3/);
    assert.throws(() => check(told.filter(({ number }) => number !== 3)), /after 2/);
});
