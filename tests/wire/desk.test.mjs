// The desk over the wire, with the real hub: docs/protocol.md, 12 and 13, as a client sees them. What each decision does to
// the bouts is for tests/unit/hub_desk_test.cpp; here a command must get its answer, and the results stream must tell it.
import assert from "node:assert/strict";
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
