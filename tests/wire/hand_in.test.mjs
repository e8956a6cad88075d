// Calls that come in a file, over the wire in both flavours: docs/protocol.md, 12, "Calls from a table's file".
import assert from "node:assert/strict";
import { test } from "node:test";
import { wire } from "../wire_client.mjs";
import { JsonLine } from "./json_line.mjs";
import { oneHub } from "./one_hub.mjs";
import { screen, Table } from "./table.mjs";

const limit = { timeout: 20_000 };
const hub = oneHub();
const { Reason, Verdict_Kind: Kind } = wire;
const device = "00000000000000a7";
const calls = (run, first, count) => Array.from({ length: count }, (_, i) => ({
    id: { run, number: first + i }, term: 1, mat: 1, bout: 1, entered: 1000 * (first + i),
    plain: first + i === 1 ? "PLAIN_CALLED" : (first + i) % 2 ? "PLAIN_MATE" : "PLAIN_HAJIME",
}));

let requests = 0;
async function openDesk() {
    const desk = await screen(hub.port, { setAside: true }, "ROLE_DESK", { device: "00000000000000d7", hand: "Renske" });
    desk.handIn = (value) => {
        const request = ++requests;
        desk.send({ case: "handIn", value: { request, device, hand: "Ngaio", ...value } });
        return desk.nextOf((message) => message.value.request === request);
    };
    return desk;
}

test("they wait for a decision, once, and their table finds them", limit, async () => {
    const run = "00000000000000b1";
    const desk = await openDesk();
    const looked = await desk.handIn({ calls: calls(run, 1, 3), onlyLook: true });
    assert.deepEqual([looked.case, looked.value.words], ["done", "The hub has none of these 3 calls yet."]);
    const { number } = await hub.ready();
    const done = await desk.handIn({ calls: calls(run, 1, 3), clock: { run, runMs: 4000, hubMs: 5000 } });
    assert.deepEqual([done.case, done.value.record], ["done", number + 1]); // one record: all or none
    const { value: aside } = await desk.next("setAside", ({ bouts }) => bouts.length > 0);
    assert.deepEqual(aside.bouts.map((one) => [one.device, one.hand, one.bout, one.calls.length]), [[device, "Ngaio", 1, 3]]);
    const again = await desk.handIn({ calls: calls(run, 1, 3) });
    assert.deepEqual([again.case, (await hub.ready()).number], ["done", number + 1]);

    const table = await Table.connect(hub.port, device, run);
    assert.deepEqual(table.client.welcome.runs.map(({ run: which, last }) => [which, last]), [[run, 3]]);
    table.client.send({ case: "submit", value: { call: calls(run, 2, 1)[0] } });
    const { value: verdict } = await table.client.next("verdict");
    assert.deepEqual([verdict.kind, verdict.record], [Kind.SET_ASIDE, number + 1]);
    const decided = ++requests;
    desk.send({ case: "decideSetAside", value: { request: decided, how: "HOW_TAKEN", into: 1, calls: calls(run, 1, 3).map(({ id }) => id), reason: "from its file" } });
    const taken = await desk.nextOf((message) => message.value.request === decided);
    assert.equal(taken.case, "done", taken.value.words);
    table.client.close();
    desk.close();
});

test("a gap, other content and another device are refused, and nothing of it is taken", limit, async () => {
    const run = "00000000000000b2";
    const desk = await openDesk();
    assert.equal((await desk.handIn({ calls: calls(run, 1, 2) })).case, "done");
    const { number } = await hub.ready();
    for (const [value, reason] of [
        [{ calls: calls(run, 4, 2) }, Reason.NUMBER_GAP],
        [{ calls: [{ ...calls(run, 2, 1)[0], entered: 7 }, ...calls(run, 3, 2)] }, Reason.OTHER_CONTENT],
        [{ calls: calls(run, 3, 1), device: "00000000000000ff" }, Reason.OTHER_CONTENT],
    ]) {
        const { case: kind, value: refusal } = await desk.handIn(value);
        assert.deepEqual([kind, refusal.reason], ["refusal", reason]);
        assert.match(refusal.words, /^[A-Z].*[.?]$/);
    }
    assert.equal((await hub.ready()).number, number);
    const hall = await screen(hub.port);
    hall.send({ case: "handIn", value: { request: 3, device, calls: calls(run, 3, 1) } });
    assert.equal((await hall.next("refusal")).value.reason, Reason.NOT_THE_DESK);
    hall.close();
    desk.close();
});

test("what can't be calls of one table ends the line, with the field", limit, async () => {
    const run = "00000000000000b3";
    const [one, two, three] = calls(run, 1, 3);
    for (const [change, place] of [
        [{ calls: [] }, "hand_in.calls"],
        [{ calls: calls(run, 1, 201) }, "hand_in.calls"],
        [{ calls: [one, three] }, "hand_in.calls"],
        [{ calls: [one, { ...two, id: { run: device, number: 2 } }] }, "hand_in.calls"],
        [{ calls: [{ ...one, term: 0 }] }, "hand_in.calls"],
        [{ calls: [one], device: "" }, "hand_in.device"],
        [{ calls: [one], hand: "x".repeat(41) }, "hand_in.hand"],
        [{ calls: [one], clock: { run: device } }, "hand_in.clock"],
    ]) {
        const desk = await openDesk();
        desk.send({ case: "handIn", value: { request: 1, device, hand: "", ...change } });
        const { value: goodbye } = await desk.next("goodbye");
        assert.equal(goodbye.reason, Reason.UNREADABLE);
        assert.ok(goodbye.words.includes(place), goodbye.words);
        desk.close();
    }
});

test("the same in JSON", limit, async () => {
    const run = "00000000000000b4";
    const line = await JsonLine.greeted(hub.port, { role: "ROLE_DESK", device: "00000000000000d8", hand: "Pia" });
    line.send("handIn", { request: 5, device, hand: "Ngaio", calls: calls(run, 1, 2) });
    assert.equal((await line.next("done")).request, 5);
    line.socket.terminate();
});
