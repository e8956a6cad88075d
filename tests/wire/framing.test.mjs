// Frames, by hand over a plain socket: what RFC 6455 asks of a server when it reads, and how it closes. Section beside
// each check; close codes: 7.4.1 and docs/protocol.md, 9.
import assert from "node:assert/strict";
import { test } from "node:test";
import { wire } from "../wire_client.mjs";
import { oneHub } from "./one_hub.mjs";
import { frame, hallHello, handshakeLines, op, RawLine, request, toHub } from "./raw_line.mjs";

const hub = oneHub();
const limit = { timeout: 20_000 };
const { Reason } = wire;

const hex = (text) => Buffer.from(text.replaceAll(" ", ""), "hex");
const clockAsk = (sent) => toHub("clockAsk", { sent });

// A line on which the hello has been said and answered.
async function greeted() {
    const line = await RawLine.webSocket(hub.port);
    line.write(frame(op.binary, hallHello));
    assert.equal((await line.message()).case, "welcome");
    return line;
}

// Asks for the time: answered if the hub still understands what comes.
async function understands(line, sent) {
    line.write(frame(op.binary, clockAsk(sent)));
    const { case: kind, value } = await line.message();
    assert.equal(kind, "clockAnswer");
    assert.equal(value.sent, sent);
}

// Sends these bytes: the hub must fail the connection with one of these codes. Another client must not notice.
async function closes(codes, bytes, why) {
    const [line, other] = [await greeted(), await greeted()];
    line.write(bytes);
    const { code, messages } = await line.goodbye();
    assert.ok([codes].flat().includes(code), `${why}: closed with ${code} instead of ${codes}`);
    assert.equal(messages.at(-1)?.case, "goodbye", `${why}: no goodbye before the close`); // docs/protocol.md, 9
    assert.notEqual(messages.at(-1).value.words, "");
    await understands(other, 1);
    other.close();
    return messages;
}

// ToHub of exactly this many bytes: a ClockAsk and an unknown field, which is passed over (docs/protocol.md, 1).
function askOfSize(sent, size) {
    const ask = clockAsk(sent);
    const filler = Buffer.alloc(size - ask.length, 0);
    const field = 1000; // length-delimited: a key of two bytes, then the length (Protocol Buffers, "Encoding")
    const varint = (value) => (value < 128 ? [value] : [(value & 127) | 128, ...varint(value >> 7)]);
    const key = varint((field << 3) | 2);
    for (let content = filler.length; content >= 0; --content) {
        const head = Buffer.from([...key, ...varint(content)]);
        if (head.length + content === filler.length) return Buffer.concat([ask, head, filler.subarray(head.length)]);
    }
    throw new Error(`no message of ${size} bytes`);
}

test("a frame that is not masked closes the connection", limit, async () => {
    // 5.1: a server MUST close then, and may say 1002.
    await closes(1002, frame(op.binary, clockAsk(1), { mask: null }), "unmasked message");
    await closes(1002, hex("89 05 48 65 6c 6c 6f"), "the unmasked ping of 5.7");
    await closes(1002, hex("81 05 48 65 6c 6c 6f"), "the unmasked text of 5.7");
    await closes(1002, frame(op.close, hex("03e8"), { mask: null }), "unmasked close");
});

test("any masking key is undone", limit, async () => {
    const line = await greeted(); // 5.3
    for (const mask of ["00000000", "ffffffff", "37fa213d", "00ff00ff"]) {
        line.write(frame(op.binary, clockAsk(4242), { mask: hex(mask) }));
        assert.equal((await line.message()).value.sent, 4242, mask);
    }
    line.close();
});

test("a message in fragments is one message", limit, async () => {
    const line = await RawLine.webSocket(hub.port);
    const mid = (bytes) => frame(op.continuation, bytes, { fin: false });
    // 5.4: first with the opcode, then continuations, the last with FIN.
    line.write(frame(op.binary, hallHello.subarray(0, 1), { fin: false }));
    line.write(mid(hallHello.subarray(1, 3)));
    line.write(frame(op.continuation, hallHello.subarray(3)));
    assert.equal((await line.message()).case, "welcome");
    // Fragments may be empty.
    const ask = clockAsk(70_000);
    line.write(Buffer.concat([frame(op.binary, "", { fin: false }), mid(ask), mid(""), frame(op.continuation, "")]));
    assert.equal((await line.message()).value.sent, 70_000);
    // Byte by byte, each in a frame of its own.
    line.write(Buffer.concat([...ask].map((byte, i) =>
        frame(i === 0 ? op.binary : op.continuation, [byte], { fin: i === ask.length - 1 }))));
    assert.equal((await line.message()).value.sent, 70_000);
    line.close();
});

test("frames arrive however the network cuts them", limit, async () => {
    // A TCP stream has no boundaries (RFC 9293, 3.1 "stream of octets"): frames in pieces, and many in one piece.
    const line = await greeted();
    const bytes = frame(op.binary, askOfSize(7, 200));
    line.socket.setNoDelay(true);
    for (const byte of bytes) {
        await new Promise((written) => line.socket.write(Buffer.from([byte]), written));
    }
    assert.equal((await line.message()).value.sent, 7);
    line.write(Buffer.concat(Array.from({ length: 300 }, (_, i) => frame(op.binary, clockAsk(i + 1)))));
    for (let i = 1; i <= 300; ++i) assert.equal((await line.message()).value.sent, i);
    line.close();
});

test("ping is answered by a pong with the same content", limit, async () => {
    const line = await greeted();
    line.write(hex("89 85 37 fa 21 3d 7f 9f 4d 51 58")); // 5.7: a masked ping "Hello"
    const pong = await line.frame();
    assert.deepEqual(pong, { fin: true, reserved: 0, kind: op.pong, payload: Buffer.from("Hello") }); // 5.5.3
    for (const size of [0, 1, 125]) { // 5.5: up to 125 bytes
        const payload = Buffer.alloc(size, 0xa5);
        line.write(frame(op.ping, payload));
        assert.deepEqual(await line.frame(), { fin: true, reserved: 0, kind: op.pong, payload });
    }
    line.write(frame(op.pong, "nobody asked")); // 5.5.3: a pong nobody asked for wants no answer
    await understands(line, 3);
    line.close();
});

test("ping before the hello is answered too", limit, async () => {
    const line = await RawLine.webSocket(hub.port);
    line.write(frame(op.ping, "early"));
    assert.equal((await line.frame()).kind, op.pong);
    line.close();
});

test("ping between fragments is answered at once, and the message goes on", limit, async () => {
    const line = await greeted();
    const ask = clockAsk(99);
    line.write(frame(op.binary, ask.subarray(0, 2), { fin: false })); // 5.4: control frames may come in between
    line.write(frame(op.ping, "between"));
    const pong = await line.frame();
    assert.deepEqual([pong.kind, pong.payload.toString()], [op.pong, "between"]);
    line.write(frame(op.pong, ""));
    line.write(frame(op.continuation, ask.subarray(2)));
    assert.equal((await line.message()).value.sent, 99);
    line.close();
});

test("close is answered by close with the same code, and the hub ends the connection", limit, async () => {
    for (const code of [1000, 1001, 1008, 3000, 4999]) { // 7.4.2: 3000 to 4999 are for everybody
        const line = await greeted();
        const payload = Buffer.alloc(2);
        payload.writeUInt16BE(code);
        line.write(frame(op.close, Buffer.concat([payload, Buffer.from("bye, ça suffit")])));
        const answer = await line.goodbye(); // 5.5.1, and 7.1.1: the server ends it
        assert.deepEqual([answer.code, answer.messages], [code, []]);
    }
    const line = await greeted();
    line.write(frame(op.close)); // 5.5.1: no code need be given
    assert.equal((await line.goodbye()).code ?? 1000, 1000);
});

test("what follows a close counts no more", limit, async () => {
    const line = await greeted();
    line.write(Buffer.concat([frame(op.close, hex("03e8")), frame(op.binary, clockAsk(1)), frame(op.ping, "x")]));
    const { code, messages } = await line.goodbye(); // 5.5.1: after a close no more is sent, 1.4: and none is read
    assert.deepEqual([code, messages], [1000, []]);
});

test("a close frame that says nothing proper is an error", limit, async () => {
    await closes(1002, frame(op.close, hex("03")), "5.5.1: a body begins with two bytes of code");
    for (const code of ["0000", "03e7", "03ec", "03ed", "03ee", "03f7"]) { // 0, 999, 1004, 1005, 1006, 1015
        await closes(1002, frame(op.close, hex(code)), `7.4: ${parseInt(code, 16)} may not be sent`);
    }
    await closes([1002, 1007], frame(op.close, hex("03e8 c328")), "5.5.1 and 8.1: the reason is UTF-8");
});

test("reserved bits and opcodes are an error", limit, async () => {
    for (const reserved of [1, 2, 4]) { // 5.2: no extension was agreed on
        await closes(1002, frame(op.binary, clockAsk(1), { reserved }), `bit ${reserved}`);
        await closes(1002, frame(op.ping, "x", { reserved }), `bit ${reserved} of a ping`);
    }
    for (const kind of [3, 4, 5, 6, 7, 0xb, 0xc, 0xd, 0xe, 0xf]) { // 5.2
        await closes(1002, frame(kind, clockAsk(1)), `opcode ${kind}`);
    }
});

test("fragments out of order are an error", limit, async () => {
    // 5.4: a continuation continues something, and nothing else begins before the end.
    await closes(1002, frame(op.continuation, clockAsk(1)), "nothing to continue");
    await closes(1002, Buffer.concat([frame(op.binary, "a", { fin: false }), frame(op.binary, "b")]), "new in the middle");
    await closes(1002, Buffer.concat([frame(op.binary, clockAsk(1)), frame(op.continuation, "")]), "after the end");
});

test("control frames are short and whole", limit, async () => {
    // 5.5: at most 125 bytes, never in fragments.
    await closes(1002, frame(op.ping, Buffer.alloc(126)), "ping of 126 bytes");
    await closes(1002, frame(op.pong, Buffer.alloc(70_000)), "pong of 70,000 bytes");
    await closes(1002, frame(op.close, Buffer.concat([hex("03e8"), Buffer.alloc(124, 0x61)])), "close of 126 bytes");
    await closes(1002, frame(op.ping, "x", { fin: false }), "ping in fragments");
    await closes(1002, frame(op.close, hex("03e8"), { fin: false }), "close in fragments");
});

test("a length is written the shortest way", limit, async () => {
    const ask = clockAsk(1); // 5.2: the minimal number of bytes, and the highest bit of 64 is 0
    await closes(1002, frame(op.binary, ask, { length: [126, Buffer.from([0, ask.length])] }), "16 bits for a small one");
    await closes(1002, frame(op.binary, ask, { length: [127, Buffer.from([0, 0, 0, 0, 0, 0, 0, ask.length])] }), "64 bits for a small one");
    const much = Buffer.alloc(64 * 1024 + 1);
    await closes([1002, 1009], frame(op.binary, much, { length: [127, hex("8000000000000001")] }), "highest bit");
});

test("a text message is told that this hub reads binary ones", limit, async () => {
    // 7.4.1, 1003: a type of data it can't accept.
    for (const bytes of [hex("81 85 37 fa 21 3d 7f 9f 4d 51 58"), hex("01 83 37 fa 21 3d 7f 9f 4d 80 82 37 fa 21 3d 5b 95")]) { // 5.7, the second with its mask
        const [goodbye] = await closes(1003, bytes, "text");
        assert.equal(goodbye.case, "goodbye");
        assert.equal(goodbye.value.reason, Reason.UNREADABLE);
        assert.match(goodbye.value.words, /binary/);
    }
});

test("a text message that is not UTF-8 closes the connection", limit, async () => {
    // 8.1 and 5.6; 7.4.1: 1007 for such content, and 1003 for any text here. Samples: RFC 3629, 3 and 10.
    for (const bytes of ["ff", "c080", "eda080", "f4908080", "e282"]) {
        await closes([1007, 1003], frame(op.text, hex(bytes)), `text ${bytes}`);
    }
});

test("a message of 64 KiB is read, however it comes", limit, async () => {
    const line = await greeted();
    const most = 64 * 1024; // docs/protocol.md, 1 and 10
    line.write(frame(op.binary, askOfSize(1, most)));
    assert.equal((await line.message()).value.sent, 1);
    const ask = askOfSize(2, most);
    line.write(Buffer.concat([frame(op.binary, ask.subarray(0, 40_000), { fin: false }), frame(op.continuation, ask.subarray(40_000))]));
    assert.equal((await line.message()).value.sent, 2);
    for (const size of [125, 126, 127, 65_535]) { // 5.2: where the lengths change their form
        line.write(frame(op.binary, askOfSize(size, size)));
        assert.equal((await line.message()).value.sent, size);
    }
    line.close();
});

// docs/protocol.md, 9: a goodbye with its reason comes before the close, whatever is too big.
async function tooBig(bytes, why) {
    const messages = await closes(1009, bytes, why); // 7.4.1
    assert.deepEqual(messages.map((message) => [message.case, message.value.reason, message.value.comeBack]),
        [["goodbye", Reason.TOO_BIG, false]], why);
    assert.match(messages[0].value.words, /64 KiB/);
}

test("a bigger message is told so", limit, async () => {
    const over = askOfSize(1, 64 * 1024 + 1);
    for (const [bytes, why] of [
        [frame(op.binary, over), "one frame"],
        [Buffer.concat([frame(op.binary, over.subarray(0, 60_000), { fin: false }), frame(op.continuation, over.subarray(60_000))]), "fragments"],
        [Buffer.concat([frame(op.binary, over.subarray(0, 60_000), { fin: false }), frame(op.continuation, over.subarray(60_000), { fin: false })]), "fragments without an end"],
        [frame(op.binary, over, { length: [127, hex("00000000000a0000")] }), "640 KiB announced, of which little comes"],
        [frame(op.binary, Buffer.alloc(900_000)), "900 kB"],
        [frame(op.text, Buffer.alloc(70_000, 0x61)), "text"],
    ]) {
        await tooBig(bytes, why);
    }
});

test("a message bigger by far is closed at once", limit, async () => {
    // docs/protocol.md, 9: what says that it has more than 1 MiB is closed at once, without a goodbye.
    await closes(1009, frame(op.binary, Buffer.alloc(3_000_000)), "3 MB"); // 7.4.1
    const over = Buffer.alloc(64 * 1024 + 1);
    await closes(1009, frame(op.binary, over, { length: [127, hex("0000000040000000")] }), "1 GiB announced, of which little comes");
});

test("the close frame after a goodbye carries the beginning of its words", limit, async () => {
    const line = await greeted();
    line.write(frame(op.binary, hex("ff")));
    const { messages, code, words } = await line.goodbye();
    assert.equal(code, 1007);
    assert.ok(words.length > 0 && messages[0].value.words.startsWith(words), words); // docs/protocol.md, 9
});

test("a client that leaves without a word bothers nobody", limit, async () => {
    const other = await greeted();
    for (const bytes of [frame(op.binary, clockAsk(1)).subarray(0, 3), frame(op.binary, clockAsk(1), { fin: false }), Buffer.alloc(0)]) {
        const line = await greeted();
        line.write(bytes);
        line.socket.end(); // 7.1.4: the TCP connection may just end
        await line.ended();
        const torn = await greeted();
        torn.write(bytes);
        torn.socket.resetAndDestroy();
        await understands(other, 5);
    }
    const early = await RawLine.open(hub.port);
    early.write(request("/ws", handshakeLines).slice(0, 40));
    early.socket.end();
    await early.ended();
    await understands(other, 6);
    other.close();
});
