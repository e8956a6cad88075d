// The desk over the wire, with the real hub: docs/protocol.md, 12 and 13, as a client sees them. What each decision does to
// the bouts is for tests/unit/hub_desk_test.cpp; here a command must get its answer, and the results stream must tell it.
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { test } from "node:test";
import { wire } from "../wire_client.mjs";
import { oneHub } from "./one_hub.mjs";
import { Table, screen } from "./table.mjs";

const limit = { timeout: 20_000 };
const hub = oneHub();
const { AskAnswered_How: How, About, Reason, ResultFrom, Winner } = wire;

let requests = 0;
// A desk that writes, and its commands: the answer is the one with the same request.
async function openDesk(device) {
    const desk = await screen(hub.port, { results: true }, "ROLE_DESK", { device, hand: "Renske", page: "desk.test" });
    desk.ask = async (kind, value) => {
        const request = ++requests;
        desk.send({ case: kind, value: { request, ...value } });
        return desk.nextOf((message) => message.value.request === request);
    };
    return desk;
}

test("a result from paper is told, put right, and taken away", limit, async () => {
    const desk = await openDesk("00000000000000e1");
    const paper = { winner: "WINNER_BLUE", way: "WAY_WAZA_ARI", regularMs: 240_000, white: {}, blue: { wazaAri: 1 } };
    const first = { bout: 1, from: "RESULT_FROM_PAPER", result: paper, reason: "the laptop was off" };
    const done = await desk.ask("enterResult", first);
    assert.equal(done.case, "done", done.value.words);
    const { value: told } = await desk.next("finished");
    assert.deepEqual([told.number, told.bout.bout, told.result.winner, told.from, told.replaces, told.reason], [done.value.record, 1, Winner.BLUE, ResultFrom.PAPER, 0, "the laptop was off"]);
    assert.equal(told.result.rulesHash.length, 32); // the hub's to fill in

    // Sent once more, as after a broken line.
    const twice = await desk.ask("enterResult", first);
    assert.deepEqual([twice.case, twice.value.reason], ["refusal", Reason.CHANGED]);

    const right = await desk.ask("enterResult", { bout: 1, from: "RESULT_FROM_DESK", replaces: told.number, result: { ...paper, winner: "WINNER_WHITE", white: { wazaAri: 1 }, blue: {} }, reason: "white and blue were mixed up" });
    assert.equal(right.case, "done", right.value.words);
    const { value: corrected } = await desk.next("finished");
    assert.deepEqual([corrected.result.winner, corrected.from, corrected.replaces], [Winner.WHITE, ResultFrom.DESK, told.number]);

    const away = await desk.ask("enterResult", { bout: 1, from: "RESULT_FROM_DESK", replaces: corrected.number, reason: "it was bout 4" });
    assert.equal(away.case, "done", away.value.words);
    const { value: none } = await desk.next("reopened");
    assert.deepEqual([none.number, none.bout, none.replaces, none.reason], [away.value.record, 1, corrected.number, "it was bout 4"]);
    desk.close();
});

test("what only the desk may is refused to others, and what can't be ends the line", limit, async () => {
    const hall = await screen(hub.port);
    hall.send({ case: "giveBack", value: { request: 9, bout: 1 } });
    const { value: refusal } = await hall.next("refusal");
    assert.deepEqual([refusal.reason, refusal.request], [Reason.NOT_THE_DESK, 9]);
    hall.close();

    for (const [kind, value, place] of [ // each field by its name in hub.proto
        ["enterResult", { bout: 1, from: "RESULT_FROM_PAPER" }, "enter_result.reason"],
        ["enterResult", { bout: 1, from: "RESULT_FROM_TABLE", reason: "so" }, "enter_result.from"],
        ["decideSetAside", { how: "HOW_TAKEN", reason: "so", calls: [{ run: "00000000000000e2", number: 1 }] }, "decide_set_aside.into"],
        ["moveRecord", { from: 1, reason: "so" }, "move_record.to"],
        ["openBout", {}, "open_bout.bout"],
        ["ask", { mat: 1, to: "TO_DESK", about: "ABOUT_OTHER", words: "x".repeat(201) }, "ask.words"],
        ["answer", { ask: 1, how: "HOW_GONE" }, "answer.how"],
    ]) {
        const desk = await openDesk("00000000000000e3");
        desk.send({ case: kind, value });
        const { value: goodbye } = await desk.next("goodbye");
        assert.equal(goodbye.reason, Reason.UNREADABLE);
        assert.ok(goodbye.words.startsWith(place), goodbye.words);
        desk.close();
    }
});

test("table and desk ask for each other, and a mat is handed over", limit, async () => {
    const desk = await openDesk("00000000000000e4");
    const table = await Table.sit(hub.port, "00000000000000f1", 2);
    table.client.send({ case: "ask", value: { mat: 2, to: "TO_DESK", about: "ABOUT_COME", words: "the clock of bout 4" } });
    const { value: heard } = await table.client.next("askAnswered");
    assert.deepEqual([heard.how, heard.shownTo], [How.HEARD, 1]);
    const { value: asked } = await desk.next("asked");
    assert.deepEqual([asked.ask, asked.mat, asked.byDesk, asked.hand, asked.about, asked.words], [heard.ask, 2, false, "Ngaio", About.COME, "the clock of bout 4"]);
    desk.send({ case: "answer", value: { ask: asked.ask, how: "HOW_COMING", words: "in a minute" } });
    const { value: answered } = await table.client.next("askAnswered");
    assert.deepEqual([answered.ask, answered.how, answered.hand, answered.words], [asked.ask, How.COMING, "Renske", "in a minute"]);

    table.client.send({ case: "leaveMat", value: { mat: 2 } });
    const { value: lost } = await table.client.next("matLost");
    assert.deepEqual([lost.mat, lost.left], [2, true]);
    const next = await Table.sit(hub.port, "00000000000000f2", 2); // without force
    assert.equal(next.allotment.term, 2);

    // The desk frees it after a person's yes only.
    desk.send({ case: "leaveMat", value: { mat: 2 } });
    assert.equal((await desk.next("refusal")).value.reason, Reason.MAT_HELD);
    desk.send({ case: "leaveMat", value: { mat: 2, byForce: true } });
    const { value: freed } = await next.client.next("matLost");
    assert.deepEqual([freed.mat, freed.left], [2, false]);
    for (const one of [desk, table, next]) one.close();
});

// docs/journal.md, 3 and 4: each record's bytes begin with its number and the SHA-256 of the record before. Node's own
// SHA-256 is the outside check.
test("the audit stream is the journal's chain, and goes on where it was left", limit, async () => {
    const read = async (wish, last) => {
        const desk = await screen(hub.port, { audit: true, ...wish }, "ROLE_DESK", { device: "00000000000000e5" });
        const records = [];
        while (records.at(-1)?.number !== last) records.push((await desk.next("record")).value);
        const { hash } = desk.welcome;
        desk.close();
        return { records, hash };
    };
    const { number } = await hub.ready();
    const { records, hash } = await read({}, number);
    assert.deepEqual(records.map((record) => record.number), Array.from({ length: number }, (_, i) => i + 1));
    let before = Buffer.alloc(32);
    for (const record of records) {
        const bytes = Buffer.from(record.bytes);
        assert.equal(bytes.readUInt32LE(0), record.number);
        assert.deepEqual(bytes.subarray(4, 36), before, `record ${record.number}`);
        before = createHash("sha256").update(bytes).digest();
        assert.equal(record.hash, before.subarray(0, 8).toString("hex"));
        assert.ok(record.words.length > 0);
    }
    assert.equal(hash, records.at(-1).hash); // of the welcome: the same position
    assert.match(records[0].words, /^(\S+ +)?epoch [0-9a-f]{16} began/);
    const later = await read({ auditAfter: number - 2 }, number);
    assert.deepEqual(later.records.map((record) => record.number), [number - 1, number]);
});

test("what was set aside is shown, and counts or not as the desk decides", limit, async () => {
    const table = await Table.sit(hub.port, "00000000000000a5", 3);
    const [bout] = table.allotment.bouts.filter(({ white, blue }) => white.person && blue.person).map((one) => one.bout);
    await table.confirm(bout);
    const other = await Table.connect(hub.port, "00000000000000a6");
    other.allotment = table.allotment; // as if it still had the mat
    const late = other.call(bout, { reopen: "GROUND_SLIP" });
    assert.equal((await other.verdict(other.submit(late))).kind, wire.Verdict_Kind.SET_ASIDE);

    const desk = await screen(hub.port, { setAside: true }, "ROLE_DESK", { device: "00000000000000e6" });
    const { value: shown } = await desk.next("setAside", ({ bouts }) => bouts.some((one) => one.device === "00000000000000a6"));
    const item = shown.bouts.find((one) => one.device === "00000000000000a6");
    assert.deepEqual([item.mat, item.bout, item.calls.length, item.calls[0].kind], [3, bout, 1, wire.Verdict_Kind.SET_ASIDE]);
    assert.deepEqual([item.calls[0].call.id.run, item.calls[0].call.what.case], [late.id.run, "reopen"]);

    const decide = async (request) => {
        desk.send({ case: "decideSetAside", value: { request, how: "HOW_DISMISSED", calls: [late.id], reason: "this table had lost its mat" } });
        return desk.nextOf((message) => message.value.request === request);
    };
    assert.equal((await decide(1)).case, "done");
    await desk.next("setAside", ({ bouts }) => !bouts.some((one) => one.device === "00000000000000a6"));
    const twice = await decide(2);
    assert.deepEqual([twice.case, twice.value.reason], ["refusal", Reason.CHANGED]);
    for (const one of [table, other, desk]) one.close();
});
