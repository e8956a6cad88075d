// Whatever a client sends, or doesn't: the hub goes on, says why it closes, and everybody else notices nothing.
//
// Close codes: RFC 6455, 7.4.1. Reasons: proto/honbu/v1/hub.proto.
import assert from "node:assert/strict";
import { connect } from "node:net";
import { test } from "node:test";
import { require } from "../packages.mjs";
import { demo, scratch, serve } from "./hub.mjs";
import { Table } from "./table.mjs";

const { WebSocket } = require("ws");

// The client's half of RFC 6455, 1.3, with this hub's subprotocol.
const handshake = (host) =>
  `GET /ws HTTP/1.1\r\nHost: ${host}\r\nConnection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\n` +
  "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\nSec-WebSocket-Protocol: honbu.v1.proto\r\n\r\n";

// A frame as clients send it, with a mask of zeros (RFC 6455, 5.2). Payloads up to 125 bytes.
const frame = (opcode, payload) => Buffer.concat([Buffer.from([0x80 | opcode, 0x80 | payload.length, 0, 0, 0, 0]), payload]);

async function start(t) {
  const hub = await serve(t, scratch(t), { more: ["--competition", demo] });
  hub.host = `127.0.0.1:${hub.port}`;
  const table = await Table.connect(hub.port, "00000000000000aa");
  // Everybody else: a table that still gets what it asks for.
  hub.stillServes = async (mat) => {
    const before = table.terms.length;
    table.takeOver(mat);
    assert.ok(await table.until(() => table.terms.length > before), "another table was cut off");
    assert.equal(await (await fetch(`${hub.url}/healthz`)).text(), "ok\n");
  };
  return hub;
}

// A connection on which bytes can be sent as they are. `ended` gives all that came.
function raw(hub) {
  const socket = connect(hub.port, "127.0.0.1");
  const parts = [];
  socket.on("data", (part) => parts.push(part));
  socket.on("error", () => {});
  socket.ended = new Promise((resolve) => socket.on("close", () => resolve(Buffer.concat(parts))));
  return socket;
}

// The same, after the handshake.
async function upgraded(hub) {
  const socket = raw(hub);
  socket.write(handshake(hub.host));
  const answer = await new Promise((resolve) => socket.once("data", resolve));
  // The example of RFC 6455, 1.3.
  assert.match(answer.toString("latin1"), /^HTTP\/1\.1 101 [^]*Sec-WebSocket-Accept: s3pPLMBiTxaQ9kYGzzhZRbK\+xOo=\r\n/);
  return socket;
}

// Opens a WebSocket, does something with it, and says with which code and reason the hub closed.
function closeAfter(hub, act) {
  return new Promise((resolve, reject) => {
    const socket = new WebSocket(`ws://${hub.host}/ws`, "honbu.v1.proto");
    let last = Buffer.alloc(0);
    socket.on("error", reject);
    socket.on("open", () => act(socket));
    socket.on("message", (message) => (last = message));
    // A goodbye is field 9 of ToClient (0x4a, a length), and its reason the first field in it (0x08).
    socket.on("close", (code) => resolve({ code, reason: last[0] === 0x4a && last[2] === 0x08 ? last[3] : 0 }));
  });
}

test("pages of other places don't get in, and no answer is a 101", async (t) => {
  const hub = await start(t);
  for (const [headers, status] of [
    [{ origin: "http://evil.example" }, 403],
    [{ origin: "null" }, 403],
    [{ origin: `http://${hub.host}` }, 101],
  ]) {
    const got = await new Promise((resolve) => {
      const socket = new WebSocket(`ws://${hub.host}/ws`, "honbu.v1.proto", { headers });
      socket.on("unexpected-response", (_, response) => resolve(response.statusCode));
      socket.on("open", () => (socket.close(), resolve(101)));
      socket.on("error", () => {});
    });
    assert.equal(got, status, headers.origin);
  }
});

test("what can't be read is answered with a reason", async (t) => {
  const hub = await start(t);
  const cases = [
    ["not a message", (s) => s.send(Buffer.from([0xff, 0xff, 0xff])), { code: 1007, reason: 1 }],
    ["text", (s) => s.send("hello"), { code: 1003, reason: 1 }],
    ["too big", (s) => s.send(Buffer.alloc(70_000)), { code: 1009, reason: 9 }],
    ["no hello first", (s) => s.send(Buffer.from([0x3a, 0x00])), { code: 1008, reason: 2 }],
  ];
  for (const [what, act, expected] of cases) {
    assert.deepEqual(await closeAfter(hub, act), expected, what);
    await hub.stillServes(1);
  }
});

// RFC 6455: 5.1 a frame without a mask; 5.2 an unknown opcode, reserved bits, a length beyond all bounds; 5.5.1 a close
// with half a code. Each ends its own connection.
test("broken frames end the connection and nothing else", { timeout: 60_000 }, async (t) => {
  const hub = await start(t);
  const broken = [
    [Buffer.from([0x82, 0x01, 0x00]), 1002], // protocol error
    [frame(0x3, Buffer.from("x")), 1002],
    [Buffer.from([0xf2, 0x80, 0, 0, 0, 0]), 1002],
    [Buffer.from([0x82, 0xff, 0x7f, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0, 0, 0, 0]), 1009], // too big
    [frame(0x8, Buffer.from([0x03])), 1002],
  ];
  for (const [bytes, code] of broken) {
    const socket = await upgraded(hub);
    socket.write(bytes);
    const got = await socket.ended;
    // The goodbye (docs/protocol.md, 9), one frame with 7 or 16 bits of length, and then the close.
    const sent = got.subarray(got.indexOf("\r\n\r\n") + 4);
    assert.equal(sent[0], 0x82, "a binary message");
    const close = sent.subarray(sent[1] < 126 ? 2 + sent[1] : 4 + sent.readUInt16BE(2));
    assert.equal(close[0], 0x88, "a close frame");
    assert.equal(close.readUInt16BE(2), code);
    await hub.stillServes(2);
  }
});

test("broken HTTP is refused, and nobody can be slow at it", { timeout: 60_000 }, async (t) => {
  const hub = await start(t);
  const cases = [
    ["no HTTP at all\r\n\r\n", /^HTTP\/1\.1 400 /],
    ["GET / HTTP/1.1\r\n\r\n", /^HTTP\/1\.1 400 /], // RFC 9112, 3.2: one Host
    [`GET / HTTP/1.1\r\nHost: ${hub.host}\r\nX: ${"x".repeat(20_000)}\r\n\r\n`, /^HTTP\/1\.1 400 /],
    [`POST / HTTP/1.1\r\nHost: ${hub.host}\r\nContent-Length: 500000\r\n\r\n${"x".repeat(500_000)}`, /^HTTP\/1\.1 405 /],
    ["GET / HT", /^$/], // and then nothing: cut off in the end
  ];
  for (const [bytes, answer] of cases) {
    const socket = raw(hub);
    socket.write(bytes);
    assert.match((await socket.ended).toString("latin1"), answer);
  }
  await hub.stillServes(1);
});

test("a page that says nothing more is told so and let go", { timeout: 60_000 }, async (t) => {
  const hub = await start(t);
  const silent = await closeAfter(hub, () => {});
  assert.deepEqual(silent, { code: 1008, reason: 13 });
});

// They never read what they are sent. Memory stays bounded (the system's own buffers aside), and nobody waits for them.
test("clients that ask and don't read are cut off", { timeout: 120_000 }, async (t) => {
  const hub = await start(t);
  const hello = frame(0x2, Buffer.from([0x0a, 0x04, 0x08, 0x01, 0x10, 0x02])); // schema 1, a board
  const asks = Buffer.alloc(64 * 1024, frame(0x2, Buffer.from([0x12, 0x02, 0x08, 0x01]))); // ClockAsk
  const pings = Buffer.alloc(64 * 1024, frame(0x9, Buffer.alloc(122)));
  for (const flood of [asks, pings]) {
    const whole = flood.subarray(0, flood.length - (flood.length % (flood === asks ? 10 : 128)));
    const socket = await upgraded(hub);
    socket.pause();
    socket.write(hello);
    const more = () => {
      while (!socket.destroyed && socket.write(whole));
    };
    socket.on("drain", more);
    more();
    await hub.stillServes(1);
    await socket.ended;
    await hub.stillServes(2);
  }
});
