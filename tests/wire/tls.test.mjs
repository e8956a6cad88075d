// The hall's entrance with certificates: who is let through the TLS gate, and that everything behind it is as without.
// The other side is Node's own TLS (OpenSSL), which trusts the authority that `honbu certificates` made and nobody else.
// Sources: RFC 8446 (TLS 1.3), RFC 9525 (whose name a certificate carries), RFC 7301 (ALPN), RFC 6455 (WebSocket).
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { get } from "node:https";
import { connect as connectPlain } from "node:net";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { connect } from "node:tls";
import { require } from "../packages.mjs";
import { wire } from "../wire_client.mjs";
import { competition, honbu, scratch, serve } from "./one_hub.mjs";

const { WebSocket } = require("ws");
const limit = { timeout: 60_000 };
const endings = [];
const whole = { after: (end) => endings.unshift(end) };
let hub;
let data;
let ca;

before(async () => {
    data = scratch(whole);
    const made = honbu("certificates", "--data", data, "--name", "hub.example", "--name", "localhost", "--address", "127.0.0.1");
    assert.equal(made.code, 0, made.err);
    ca = readFileSync(join(data, "certificates", "authority.pem"));
    hub = await serve(whole, data, { before: ["sh", "-c", 'ulimit -n 420; exec "$@"', "sh"], more: ["--competition", competition(data, { mats: 3, bouts: 60 }), "--title", "Lantern Cup"] });
});
after(async () => {
    hub?.child.kill("SIGTERM");
    for (const end of endings) await end();
});

// What becomes of a handshake: the socket, or the error's code.
function shake(options) {
    return new Promise((told) => {
        const socket = connect({ host: "127.0.0.1", port: hub.port, ca, servername: "hub.example", ...options });
        socket.on("secureConnect", () => told({ socket, protocol: socket.getProtocol(), alpn: socket.alpnProtocol }));
        socket.on("error", (error) => told({ code: error.code ?? String(error) }));
    });
}

function page(path, { keep } = {}) {
    return new Promise((found, failed) => {
        const agent = keep ?? false;
        get({ host: "127.0.0.1", port: hub.port, path, ca, servername: "hub.example", agent }, (answer) => {
            const parts = [];
            answer.on("data", (part) => parts.push(part));
            answer.on("end", () => found({ status: answer.statusCode, body: Buffer.concat(parts), head: answer.headers }));
        }).on("error", failed);
    });
}

function webSocket() {
    const socket = new WebSocket(`wss://localhost:${hub.port}/ws`, "honbu.v1.proto", { ca });
    const heard = [];
    const waiting = [];
    socket.on("message", (bytes) => {
        heard.push(wire.fromBinary(wire.ToClientSchema, bytes).kind);
        for (const look of waiting.splice(0)) look();
    });
    const send = (kind, value) => socket.send(wire.toBinary(wire.ToHubSchema, wire.fromJson(wire.ToHubSchema, { [kind]: value })));
    const next = async (kind) => {
        for (;;) {
            const found = heard.find((one) => one.case === kind);
            if (found) return found.value;
            await new Promise((look) => waiting.push(look));
        }
    };
    const opened = new Promise((open, failed) => socket.on("open", open).on("error", failed));
    const closed = new Promise((close) => socket.on("close", (code) => close(code)));
    return { socket, send, next, opened, closed };
}

test("whoever trusts the authority gets in by the names it is for, over TLS 1.3 or 1.2", limit, async () => {
    for (const [options, protocol] of [
        [{}, "TLSv1.3"], [{ servername: "localhost" }, "TLSv1.3"], [{ servername: "" }, "TLSv1.3"], // "": by its address
        [{ maxVersion: "TLSv1.2" }, "TLSv1.2"],
    ]) {
        const shaken = await shake(options);
        assert.equal(shaken.protocol, protocol, JSON.stringify([options, shaken.code]));
        assert.equal(shaken.socket.authorized, true);
        shaken.socket.destroy();
    }
});

test("another name, and whoever does not trust the authority, is not let through by the device", limit, async () => {
    assert.equal((await shake({ servername: "other.example" })).code, "ERR_TLS_CERT_ALTNAME_INVALID"); // RFC 9525, 6
    assert.match((await shake({ ca: undefined })).code, /UNABLE_TO_VERIFY_LEAF_SIGNATURE|UNABLE_TO_GET_ISSUER/);
});

test("older TLS than 1.2 is refused", limit, async () => {
    const { code } = await shake({ minVersion: "TLSv1", maxVersion: "TLSv1.1", ciphers: "DEFAULT@SECLEVEL=0" });
    assert.match(String(code), /PROTOCOL_VERSION|UNSUPPORTED_PROTOCOL/);
});

test("HTTP/1.1 is agreed on, and only that", limit, async () => {
    const both = await shake({ ALPNProtocols: ["h2", "http/1.1"] });
    assert.equal(both.alpn, "http/1.1");
    both.socket.destroy();
    const { code } = await shake({ ALPNProtocols: ["h2"] });
    assert.match(String(code), /NO_APPLICATION_PROTOCOL/); // RFC 7301, 3.2
});

test("pages come whole, also one after another on the same connection", limit, async () => {
    const script = await page("/table.js");
    assert.equal(script.status, 200);
    assert.equal(script.body.length, Number(script.head["content-length"]));
    assert.ok(script.body.length > 50_000);
    assert.equal((await page("/healthz")).body.toString(), "ok\n");
});

test("whoever writes http:// is told to write https://", limit, async () => {
    const answer = await fetch(`http://127.0.0.1:${hub.port}/table`);
    assert.equal(answer.status, 400);
    assert.match(await answer.text(), /https:\/\//);
});

test("a WebSocket works behind the gate: hello, views, and the goodbye before a close", limit, async () => {
    const line = webSocket();
    await line.opened;
    line.send("hello", { schema: 2, role: "ROLE_HALL" });
    assert.equal((await line.next("welcome")).title, "Lantern Cup");
    line.send("subscribe", { allMats: true });
    await line.next("mat");
    line.socket.send("this is text where binary is spoken");
    assert.equal((await line.next("goodbye")).reason, wire.Reason.UNREADABLE);
    assert.equal(await line.closed, 1003); // RFC 6455, 7.4.1
});

// A device that has said all it will say still gets its answer.
test("a half-close is carried over, and so is the end", limit, async () => {
    const { socket } = await shake({ allowHalfOpen: true });
    const parts = [];
    socket.on("data", (part) => parts.push(part));
    const ended = new Promise((end) => socket.on("end", end));
    socket.end("GET /table.js HTTP/1.1\r\nHost: hub.example\r\n\r\n");
    await ended;
    const text = Buffer.concat(parts).toString("latin1");
    assert.match(text, /^HTTP\/1\.1 200 OK\r\n/);
    assert.equal(text.length - text.indexOf("\r\n\r\n") - 4, Number(/Content-Length: (\d+)/.exec(text)[1]));
    socket.destroy();
});

test("whoever begins no handshake is cut off, and keeps nobody else out meanwhile", limit, async () => {
    const idle = [];
    const closed = [];
    for (let i = 0; i < 600; ++i) { // more than this hub may open files
        const socket = connectPlain(hub.port, "127.0.0.1");
        socket.on("error", () => {});
        closed.push(new Promise((close) => socket.on("close", close)));
        idle.push(socket);
    }
    await Promise.all(idle.map((socket) => new Promise((open) => (socket.connecting ? socket.on("connect", open) : open()))));
    assert.equal((await page("/healthz")).status, 200);
    await Promise.all(closed);
});

test("what is no TLS gets nothing, and others go on", limit, async () => {
    for (const bytes of [Buffer.from([0x16, 3, 1, 0, 5, 1, 0, 0, 1, 0]), Buffer.from([0x16, 3, 1, 0xff, 0xff]), Buffer.alloc(70_000, 0x16)]) {
        const socket = connectPlain(hub.port, "127.0.0.1");
        socket.on("error", () => {});
        const closed = new Promise((close) => socket.on("close", close));
        socket.end(bytes);
        socket.resume();
        await closed;
    }
    assert.equal((await page("/healthz")).status, 200);
});

test("a graceful stop says goodbye through the gate", limit, async () => {
    const line = webSocket();
    await line.opened;
    line.send("hello", { schema: 2, role: "ROLE_HALL" });
    await line.next("welcome");
    const ended = hub.stop("SIGTERM");
    const goodbye = await line.next("goodbye");
    assert.deepEqual([goodbye.reason, goodbye.comeBack], [wire.Reason.STOPPING, true]);
    assert.equal(await line.closed, 1001);
    assert.deepEqual(await ended, { code: 0, signal: null });
});
