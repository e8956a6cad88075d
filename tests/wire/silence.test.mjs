// Whoever says nothing is let go, and whoever does not read is not waited for: docs/protocol.md, 2, 9 and 10. This is
// the one test that takes its 10 s.
import assert from "node:assert/strict";
import { test } from "node:test";
import { wire } from "../wire_client.mjs";
import { competition, scratch, serve } from "./one_hub.mjs";
import { frame, hallHello, op, RawLine, toHub } from "./raw_line.mjs";
import { dealtWith, screen } from "./table.mjs";

const { Reason } = wire;

test("a client that says nothing is let go, and one that gives any sign of life stays", { timeout: 60_000 }, async (t) => {
    const folder = scratch(t);
    const hub = await serve(t, `${folder}/data`, { more: ["--competition", competition(folder)] });
    const speaking = await screen(hub.port, { allMats: true }); // answers each heartbeat of the hub with one
    const greeted = await RawLine.webSocket(hub.port);
    greeted.write(frame(op.binary, hallHello));
    assert.equal((await greeted.message()).case, "welcome");
    const dumb = await RawLine.webSocket(hub.port); // not even a hello
    const pinging = await RawLine.webSocket(hub.port); // 1: pings count as a sign of life
    pinging.write(frame(op.binary, hallHello));
    assert.equal((await pinging.message()).case, "welcome");
    const beat = setInterval(() => pinging.write(frame(op.ping, "")), 1_000);
    t.after(() => clearInterval(beat));
    for (const line of [greeted, dumb]) {
        const { messages, code } = await line.goodbye();
        assert.deepEqual(messages.map((message) => [message.case, message.value.reason, message.value.comeBack]),
            [["goodbye", Reason.SILENT, true]]);
        assert.equal(code, 1008); // 9
    }
    await dealtWith(speaking);
    assert.equal(speaking.heard.some((message) => message.case === "goodbye"), false);
    // The pinging one was there as early as the silent ones, and is still.
    clearInterval(beat);
    pinging.write(frame(op.binary, toHub("clockAsk", { sent: 7 })));
    for (;;) {
        const { kind, payload } = await pinging.frame();
        if (kind === op.pong) continue;
        const { case: said } = wire.fromBinary(wire.ToClientSchema, payload).kind;
        assert.notEqual(said, "goodbye");
        if (said === "clockAnswer") break;
    }
});

test("a client that does not read is told so, and nobody waits for it", { timeout: 60_000 }, async (t) => {
    const folder = scratch(t);
    // An allotment of so many bouts has some 50,000 bytes; a few hundred of them are more than a socket's buffers hold.
    const hub = await serve(t, `${folder}/data`, { more: ["--competition", competition(folder, { bouts: 600 })] });
    const other = await screen(hub.port, { allMats: true });
    const slow = await RawLine.webSocket(hub.port);
    slow.write(frame(op.binary, toHub("hello", { schema: 2, role: "ROLE_TABLE", device: "00000000000000aa", run: "00000000000000aa", foldVersion: other.welcome.foldVersion })));
    assert.equal((await slow.message()).case, "welcome");
    slow.write(frame(op.binary, toHub("takeMat", { mat: 1 })));
    const { value: allotment } = await slow.message();
    assert.equal(allotment.bouts.length, 600);
    slow.socket.pause();
    // Each comes back with an allotment. 1,000 of these are more than the hub could have sent unread.
    const again = frame(op.binary, toHub("takeMat", { mat: 1 }));
    for (let i = 0; i < 1_000; ++i) {
        slow.write(again);
        if (i % 50 === 0) await dealtWith(other); // others are answered meanwhile
    }
    slow.socket.resume();
    const { messages, code } = await slow.goodbye();
    const goodbye = messages.pop();
    assert.deepEqual([goodbye.case, goodbye.value.reason, goodbye.value.comeBack, code], ["goodbye", Reason.TOO_SLOW, true, 1008]);
    assert.ok(messages.length < 1_000); // what waited was given up for the goodbye
    for (const message of messages) assert.equal(message.value.bouts.length, 600); // and what did come was whole
    assert.equal(other.heard.some((message) => message.case === "goodbye"), false);
});
