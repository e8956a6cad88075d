// A plain socket to the hub, with HTTP heads and WebSocket frames written and read by hand (RFC 6455, 5.2): for
// what a well-behaved library would not send, and for what it would hide.
import assert from "node:assert/strict";
import { randomBytes } from "node:crypto";
import { connect } from "node:net";
import { wire } from "../wire_client.mjs";

export const op = { continuation: 0, text: 1, binary: 2, close: 8, ping: 9, pong: 10 };

// The handshake of RFC 6455, 1.3, with the hub's own subprotocol and without an origin.
export const sampleKey = "dGhlIHNhbXBsZSBub25jZQ==";
export const handshakeLines = {
    Host: "hub.example", Upgrade: "websocket", Connection: "Upgrade", "Sec-WebSocket-Key": sampleKey,
    "Sec-WebSocket-Protocol": "honbu.v1.proto", "Sec-WebSocket-Version": "13",
};

// A request's head. A value that is a list becomes one line each; one that is undefined is left out.
export function request(target, lines, method = "GET", version = "HTTP/1.1") {
    const written = Object.entries(lines).filter(([, value]) => value !== undefined)
        .flatMap(([name, value]) => [value].flat().map((one) => `${name}: ${one}\r\n`));
    return `${method} ${target} ${version}\r\n${written.join("")}\r\n`;
}

// A frame as a client sends it. `length` is written in the header as it is given: [7 bits, further bytes].
export function frame(kind, payload = "", { fin = true, reserved = 0, mask = randomBytes(4), length } = {}) {
    const bytes = Buffer.from(payload);
    let [short, more] = length ?? [bytes.length, Buffer.alloc(0)];
    if (!length && bytes.length > 125) {
        short = bytes.length > 0xffff ? 127 : 126;
        more = Buffer.alloc(short === 127 ? 8 : 2);
        more.writeUIntBE(bytes.length, short === 127 ? 2 : 0, short === 127 ? 6 : 2);
    }
    const head = Buffer.from([(fin ? 0x80 : 0) | (reserved << 4) | kind, (mask ? 0x80 : 0) | short]);
    if (!mask) return Buffer.concat([head, more, bytes]);
    return Buffer.concat([head, more, mask, bytes.map((byte, i) => byte ^ mask[i % 4])]);
}

// A ToHub message as bytes.
export const toHub = (kind, value) => Buffer.from(wire.toBinary(wire.ToHubSchema, wire.fromJson(wire.ToHubSchema, { [kind]: value })));
export const hallHello = toHub("hello", { schema: 2, role: "ROLE_HALL" });

export class RawLine {
    static async open(port) {
        const line = new RawLine();
        line.in = Buffer.alloc(0);
        line.over = false;
        line.socket = connect(port, "127.0.0.1");
        line.socket.on("data", (bytes) => line.got(() => (line.in = Buffer.concat([line.in, bytes]))));
        line.socket.on("error", () => {}); // the end follows
        line.socket.on("close", () => line.got(() => (line.over = true)));
        line.socket.on("end", () => line.got(() => (line.over = true)));
        await new Promise((open, failed) => line.socket.once("connect", open).once("error", failed));
        return line;
    }

    // With the handshake done.
    static async webSocket(port) {
        const line = await RawLine.open(port);
        line.write(request("/ws", handshakeLines));
        assert.equal((await line.head()).status, 101);
        return line;
    }

    got(change) {
        change();
        this.wake?.();
    }
    write(bytes) {
        this.socket.write(bytes);
    }
    close() {
        this.socket.destroy();
    }

    async until(is) {
        while (!is()) {
            if (this.over) throw new Error(`the line ended; unread: ${JSON.stringify(this.in.toString("latin1"))}`);
            await new Promise((wake) => (this.wake = wake));
        }
    }
    async bytes(size) {
        await this.until(() => this.in.length >= size);
        const out = this.in.subarray(0, size);
        this.in = this.in.subarray(size);
        return out;
    }
    // The hub has ended the connection, and sent nothing more before.
    async ended() {
        while (!this.over) await new Promise((wake) => (this.wake = wake));
        assert.equal(this.in.toString("hex"), "", "nothing may follow");
    }

    // An answer's head: status, and header fields by their names in lower case.
    async head() {
        await this.until(() => this.in.includes("\r\n\r\n"));
        const text = (await this.bytes(this.in.indexOf("\r\n\r\n") + 4)).toString("latin1");
        const [first, ...lines] = text.trimEnd().split("\r\n");
        const fields = new Map(lines.map((line) => [line.slice(0, line.indexOf(":")).toLowerCase(), line.slice(line.indexOf(":") + 1).trim()]));
        assert.equal(fields.size, lines.length, "no field twice");
        return { status: Number(/^HTTP\/1\.1 (\d{3}) /.exec(first)[1]), fields };
    }
    // A whole answer, its content by Content-Length.
    async answer() {
        const { status, fields } = await this.head();
        return { status, fields, text: (await this.bytes(Number(fields.get("content-length") ?? 0))).toString() };
    }

    // The next frame that is no sign of life of the hub (binary, 42 00: docs/protocol.md, 11).
    async frame() {
        for (;;) {
            const [first, second] = await this.bytes(2);
            assert.equal(second & 0x80, 0, "a server masks nothing (RFC 6455, 5.1)");
            let size = second;
            if (second === 126) size = (await this.bytes(2)).readUInt16BE();
            if (second === 127) size = Number((await this.bytes(8)).readBigUInt64BE());
            const payload = await this.bytes(size);
            const got = { fin: first >> 7 === 1, reserved: (first >> 4) & 7, kind: first & 15, payload };
            assert.equal(got.reserved, 0, "no extension was agreed on (RFC 6455, 5.2)");
            if (got.kind !== op.binary || payload.toString("hex") !== "4200") return got;
        }
    }
    // The next frame is one whole message; its kind and content.
    async message() {
        const { fin, kind, payload } = await this.frame();
        assert.deepEqual({ fin, kind }, { fin: true, kind: op.binary });
        return wire.fromBinary(wire.ToClientSchema, payload).kind;
    }

    // Everything up to the close frame: the messages before it, its code and its words. Answers it as RFC 6455, 5.5.1 has
    // it, and sees that nothing follows and that the hub ends the connection (7.1.1).
    async goodbye() {
        const messages = [];
        for (;;) {
            const { kind, payload } = await this.frame();
            if (kind === op.binary) messages.push(wire.fromBinary(wire.ToClientSchema, payload).kind);
            if (kind !== op.close) continue;
            this.write(frame(op.close, payload.subarray(0, 2)));
            await this.ended();
            this.close();
            const code = payload.length < 2 ? undefined : payload.readUInt16BE();
            return { messages, code, words: payload.subarray(2).toString() };
        }
    }
}
