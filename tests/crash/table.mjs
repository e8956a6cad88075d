// A table that does no more than take mats: each taking is one record, and its allotment the acknowledgement.
//
// Writes and reads the few messages by hand from the field numbers of proto/honbu/v1/hub.proto, with the encoding of
// the Protocol Buffers documentation ("Encoding": a key is field << 3 | type; 0 is a varint, 2 is length-delimited).
import { require } from "../packages.mjs";

const { WebSocket } = require("ws");

const field = { hello: 1, takeMat: 4, heartbeat: 7, leaveMat: 8, welcome: 1, allotment: 3, refusal: 5, goodbye: 9 };

function varint(value) {
  const bytes = [];
  for (; value > 127; value = Math.floor(value / 128)) bytes.push((value % 128) | 128);
  return Buffer.from([...bytes, value]);
}
const number = (key, value) => Buffer.concat([varint(key << 3), varint(value)]);
const bytes = (key, value) => Buffer.concat([varint((key << 3) | 2), varint(value.length), value]);
const text = (key, value) => bytes(key, Buffer.from(value));

// Every field of a message, by number; the last one counts.
function read(message) {
  const fields = {};
  let at = 0;
  const next = () => {
    let value = 0;
    for (let scale = 1; ; scale *= 128) {
      const byte = message[at++];
      value += (byte & 127) * scale;
      if (byte < 128) return value;
    }
  };
  while (at < message.length) {
    const key = next();
    if ((key & 7) === 0) fields[key >> 3] = next();
    else {
      const size = next();
      fields[key >> 3] = message.subarray(at, (at += size));
    }
  }
  return fields;
}

export class Table {
  // Connects and says hello; `device` is 16 hex digits.
  static async connect(port, device) {
    const table = new Table();
    table.socket = new WebSocket(`ws://127.0.0.1:${port}/ws`, "honbu.v1.proto");
    table.terms = []; // acknowledged, in order
    table.refused = [];
    table.goodbye = null;
    table.waiting = [];
    table.closed = new Promise((resolve) => table.socket.on("close", (code) => resolve(code)));
    table.socket.on("error", () => {}); // a hub that is killed; `close` follows
    const welcomed = new Promise((resolve) => (table.welcomed = resolve));
    table.socket.on("message", (data) => table.take(read(data)));
    await Promise.race([new Promise((resolve) => table.socket.on("open", resolve)), table.closed]);
    const foldVersion = 2;
    table.send(
      bytes(field.hello, Buffer.concat([number(1, 1), number(2, 1), text(3, device), text(4, device), number(5, foldVersion)])),
    );
    await Promise.race([welcomed, table.closed]);
    const alive = setInterval(() => table.send(bytes(field.heartbeat, Buffer.alloc(0))), 2_000);
    table.closed.then(() => clearInterval(alive));
    return table;
  }

  take(message) {
    if (message[field.welcome]) this.welcomed();
    if (message[field.goodbye]) this.goodbye = read(message[field.goodbye]);
    if (message[field.refusal]) this.refused.push(read(message[field.refusal])[1]);
    if (message[field.allotment]) this.terms.push(read(message[field.allotment])[2]);
    const done = this.waiting;
    this.waiting = [];
    for (const look of done) look();
  }

  send(message) {
    if (this.socket.readyState === WebSocket.OPEN) this.socket.send(message);
  }
  takeOver(mat) {
    this.send(bytes(field.takeMat, Buffer.concat([number(1, mat), number(2, 1)])));
  }
  leave(mat, term) {
    this.send(bytes(field.leaveMat, Buffer.concat([number(1, mat), number(3, term)])));
  }

  // Until `is` holds after some message, or the connection is gone. True: it holds.
  async until(is) {
    while (!is()) {
      const gone = this.socket.readyState >= WebSocket.CLOSING;
      if (gone) return false;
      await Promise.race([new Promise((resolve) => this.waiting.push(resolve)), this.closed]);
    }
    return true;
  }
}
