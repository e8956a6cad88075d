// Hello and welcome, hub time, and how the hub parts from a client that is not understood: docs/protocol.md, section
// beside each check. Close codes: RFC 6455, 7.4.1.
import assert from "node:assert/strict";
import { randomBytes } from "node:crypto";
import { test } from "node:test";
import { Client, wire } from "../wire_client.mjs";
import { oneHub } from "./one_hub.mjs";
import { frame, hallHello, op, RawLine, toHub } from "./raw_line.mjs";
import { dealtWith, screen } from "./table.mjs";

const hub = oneHub();
const limit = { timeout: 20_000 };
const { Reason } = wire;
const tableHello = { schema: 2, role: "ROLE_TABLE", device: "1b7f3c9a60d2e845", run: "5d0c7a91e2b84f36", foldVersion: 2, hand: "Ngaio" };

// What comes back for these messages, sent one after another.
async function parting(...messages) {
    const line = await RawLine.webSocket(hub.port);
    for (const bytes of messages) line.write(frame(op.binary, bytes));
    return line.goodbye();
}

// Said goodbye to with this reason and code (section 9), and not served before.
async function partedWith(reason, code, ...messages) {
    const parted = await parting(...messages);
    const goodbye = parted.messages.at(-1);
    assert.equal(goodbye?.case, "goodbye");
    assert.deepEqual([goodbye.value.reason, goodbye.value.comeBack, parted.code], [reason, false, code], goodbye.value.words);
    assert.match(goodbye.value.words, /^[A-Za-z].{10,}\.$/);
    return { words: goodbye.value.words, before: parted.messages.slice(0, -1).map((message) => message.case) };
}

test("a screen is greeted", limit, async () => {
    const { welcome } = await screen(hub.port); // 3
    const ready = await hub.ready();
    assert.equal(welcome.schema, 2);
    assert.match(welcome.epoch, /^[0-9a-f]{16}$/); // 1: a name
    assert.deepEqual([welcome.epoch, welcome.number], [ready.epoch, ready.number]);
    assert.equal(welcome.rehearsalRate, 1);
    assert.equal(welcome.title, "Evening Cup");
    assert.deepEqual(welcome.mats, [1, 2, 3]);
    assert.deepEqual(welcome.runs, []);
});

test("the bytes of the worked example are greeted, by this schema's number and by the one before", limit, async () => {
    for (const hello of ["0a0408021003", "0a0408011003"]) { // 11
        const line = await RawLine.webSocket(hub.port);
        line.write(frame(op.binary, Buffer.from(hello, "hex")));
        assert.equal((await line.message()).case, "welcome");
        line.close();
    }
});

test("every screen's role is greeted", limit, async () => {
    for (const role of ["ROLE_BOARD", "ROLE_HALL", "ROLE_DESK", "ROLE_SET_UP"]) {
        (await screen(hub.port, undefined, role)).close();
    }
});

test("unknown fields are passed over", limit, async () => {
    const line = await RawLine.webSocket(hub.port); // 1
    const later = Buffer.from("f87f01", "hex"); // field 2047, a number
    const inside = Buffer.concat([hallHello.subarray(2), later]);
    line.write(frame(op.binary, Buffer.concat([Buffer.from([0x0a, inside.length]), inside, later])));
    assert.equal((await line.message()).case, "welcome");
    line.close();
});

test("hello comes first", limit, async () => {
    for (const [kind, value] of [
        ["clockAsk", { sent: 1 }], ["subscribe", { allMats: true }], ["takeMat", { mat: 1 }], ["heartbeat", {}],
        ["runClock", { run: tableHello.run, runMs: 1, hubMs: 1 }],
        ["leaveMat", { mat: 1 }], ["ask", { mat: 1, to: "TO_DESK", about: "ABOUT_COME" }], ["answer", { ask: 1, how: "HOW_YES" }],
        ["openBout", { bout: 1 }], ["giveBack", { bout: 1 }], ["moveRecord", { from: 1, to: 2, reason: "so" }],
        ["enterResult", { bout: 1, from: "RESULT_FROM_PAPER", reason: "so" }],
        ["decideSetAside", { how: "HOW_DISMISSED", calls: [{ run: tableHello.run, number: 1 }], reason: "so" }],
        ["submit", { call: { id: { run: tableHello.run, number: 1 }, term: 1, mat: 1, bout: 1, plain: "PLAIN_CALLED" } }],
    ]) {
        const { before } = await partedWith(Reason.HELLO_FIRST, 1008, toHub(kind, value), hallHello); // 3
        assert.deepEqual(before, [], kind); // 9: after a goodbye the hub reads nothing more
    }
});

test("a second hello makes nobody else of a client", limit, async () => {
    const client = await screen(hub.port);
    client.send({ case: "hello", value: tableHello }); // 3: sent once
    client.send({ case: "takeMat", value: { mat: 1 } });
    await client.next("refusal", (value) => value.reason === Reason.NOT_A_TABLE);
    client.close();
});

test("another schema is told so, whatever else its hello says", limit, async () => {
    for (const schema of [0, 3, 4_000_000_000]) { // 3: this one and the one before are taken
        await partedWith(Reason.OTHER_SCHEMA, 1008, toHub("hello", { ...tableHello, schema, device: "something else" }));
    }
});

test("a table with another engine is told so", limit, async () => {
    const { welcome } = await screen(hub.port);
    await partedWith(Reason.OTHER_FOLD, 1008, toHub("hello", { ...tableHello, foldVersion: welcome.foldVersion + 1 })); // 9
    await partedWith(Reason.OTHER_FOLD, 1008, toHub("hello", { ...tableHello, foldVersion: 0 }));
});

test("a hello with a field out of range is told which", limit, async () => {
    for (const [field, change] of [ // 1 (names), 3 (the table of fields)
        ["role", { role: "ROLE_NONE" }], ["role", { role: 6 }],
        ["device", { device: "" }], ["device", { device: "0000000000000000" }], ["device", { device: "1B7F3C9A60D2E845" }],
        ["device", { device: "1b7f3c9a60d2e84" }], ["run", { run: "" }], ["run", { run: "5d0c7a91e2b84f36 " }],
        ["hand", { hand: "x".repeat(41) }], ["hand", { hand: "ç".repeat(21) }], ["hand", { hand: "two\nlines" }], ["hand", { hand: "\u007f" }],
        ["seen_epoch", { seenEpoch: "yesterday" }], ["seen_hash", { seenHash: "0" }], ["seen_hash", { seenHash: "E3B0C44298FC1C14" }],
        ["page", { page: "p".repeat(81) }], ["page", { page: "a page\nof two lines" }], ["token", { token: "t".repeat(201) }],
    ]) {
        const { words } = await partedWith(Reason.UNREADABLE, 1007, toHub("hello", { ...tableHello, ...change }));
        assert.match(words, new RegExp(`\\b${field}\\b`), JSON.stringify(change)); // 9: the words name the field
    }
});

test("a hand of 40 bytes is taken", limit, async () => {
    for (const hand of ["x".repeat(40), "ç".repeat(20), ""]) {
        (await Client.connect(hub.port, { ...tableHello, hand })).close();
    }
});

test("bytes that are no message are told so, and the others go on", limit, async () => {
    const other = await screen(hub.port, { allMats: true });
    for (const bytes of ["ff", "0a", "0a05ffffffffff", "08", "", "0a07080110011a01ff", "f87f01", "0a0408011003f8"]) {
        const message = Buffer.from(bytes, "hex"); // 9; the last but one: a kind nobody knows, 1
        await partedWith(Reason.UNREADABLE, 1007, message);
        const { before } = await partedWith(Reason.UNREADABLE, 1007, hallHello, message);
        assert.deepEqual(before, ["welcome"]);
    }
    for (let i = 0; i < 50; ++i) { // noise of any kind; a seed is not needed, the words say what was sent
        const bytes = randomBytes(1 + (i % 40));
        const parted = await parting(Buffer.concat([bytes, Buffer.from([0xff])])); // ends in the middle of a number
        assert.equal(parted.messages.at(-1)?.case, "goodbye", bytes.toString("hex"));
    }
    await dealtWith(other);
    assert.equal(other.heard.some((message) => message.case === "goodbye"), false);
    other.close();
});

test("a subscription has at most 64 mats, and mats have numbers from 1 to 65535", limit, async () => {
    const mats = (count) => Array.from({ length: count }, (_, i) => i + 1);
    const good = await screen(hub.port, { mats: mats(64) }); // 5 and 10
    for (const mat of [1, 2, 3]) await good.next("mat", (view) => view.mat === mat);
    good.close();
    for (const wrong of [mats(65), [0], [65_536]]) {
        const { words } = await partedWith(Reason.UNREADABLE, 1007, hallHello, toHub("subscribe", { mats: wrong }));
        assert.match(words, /subscribe\.mats/);
    }
});

test("the clock is answered with the same number and the hub's time", limit, async () => {
    const client = await screen(hub.port); // 4
    let before = client.welcome.hubMs;
    for (const sent of [0, 1, 127, 128, 4_294_967_295, 7]) {
        client.send({ case: "clockAsk", value: { sent } });
        const { value } = await client.next("clockAnswer");
        assert.equal(value.sent, sent);
        assert.ok(value.hubMs >= before, `${value.hubMs} after ${before}`); // 1: hub time never goes back
        before = value.hubMs;
    }
    // Several at once come back in order.
    for (const sent of [5, 4, 3]) client.send({ case: "clockAsk", value: { sent } });
    for (const sent of [5, 4, 3]) assert.equal((await client.next("clockAnswer")).value.sent, sent);
    client.close();
});

test("only tables take mats and send calls", limit, async () => {
    for (const [role, words] of [["ROLE_BOARD", /table/], ["ROLE_HALL", /table/], ["ROLE_DESK", /run of its own/]]) { // 12: a desk with a run does
        const client = await screen(hub.port, undefined, role);
        const { number } = await hub.ready();
        client.send({ case: "takeMat", value: { mat: 1 } });
        assert.equal((await client.next("refusal")).value.reason, Reason.NOT_A_TABLE); // 9
        client.send({ case: "submit", value: { call: { id: { run: tableHello.run, number: 1 }, term: 1, mat: 1, bout: 1, plain: "PLAIN_CALLED" } } });
        const { value } = await client.next("refusal");
        assert.equal(value.reason, Reason.NOT_A_TABLE);
        assert.match(value.words, words);
        await dealtWith(client); // a refusal ends nothing
        assert.equal((await hub.ready()).number, number); // and changes nothing
        client.close();
    }
});

test("a refusal about a call names the call", limit, async () => {
    const client = await screen(hub.port, undefined, "ROLE_DESK");
    client.send({ case: "submit", value: { call: { id: { run: tableHello.run, number: 1 }, term: 1, mat: 1, bout: 1, plain: "PLAIN_CALLED" } } });
    const { value } = await client.next("refusal");
    assert.equal(value.reason, Reason.NOT_A_TABLE);
    assert.deepEqual([value.call?.run, value.call?.number], [tableHello.run, 1]); // hub.proto, Refusal: "if it was about a call"
    client.close();
});
