// The opening handshake and the origin check, by hand over a plain socket. Source: RFC 6455 (section beside each
// check), RFC 6454 (what an origin is), RFC 9110 (HTTP); which status says what: docs/protocol.md, 1.
import assert from "node:assert/strict";
import { test } from "node:test";
import { oneHub } from "./one_hub.mjs";
import { frame, handshakeLines, hallHello, op, RawLine, request } from "./raw_line.mjs";

const hub = oneHub();
const limit = { timeout: 20_000 };

async function shake(lines = {}, { target = "/ws", method, version } = {}) {
    const line = await RawLine.open(hub.port);
    line.write(request(target, { ...handshakeLines, ...lines }, method, version));
    return line;
}

// 101, and then a hello is answered: it is a WebSocket indeed.
async function welcomed(lines, how) {
    const line = await shake(lines, how);
    const head = await line.head();
    assert.equal(head.status, 101, JSON.stringify(lines));
    line.write(frame(op.binary, hallHello));
    assert.equal((await line.message()).case, "welcome");
    line.close();
    return head;
}

// Not 101 but a plain answer with a sentence for people, after which the hub ends the connection.
async function refused(status, lines, how) {
    const line = await shake(lines, how);
    const answer = await line.answer();
    assert.equal(answer.status, status, JSON.stringify([lines, how]));
    assert.match(answer.fields.get("content-type"), /^text\/plain\b/);
    assert.match(answer.text, /^[A-Z].{10,}\.\n$/);
    assert.equal(answer.fields.get("sec-websocket-accept"), undefined);
    await line.ended();
    line.close();
    return answer;
}

test("the sample handshake gets the sample answer", limit, async () => {
    const { fields } = await welcomed();
    assert.equal(fields.get("sec-websocket-accept"), "s3pPLMBiTxaQ9kYGzzhZRbK+xOo="); // 1.3
    assert.equal(fields.get("upgrade").toLowerCase(), "websocket"); // 4.1, the client's check 2
    assert.equal(fields.get("connection").toLowerCase(), "upgrade"); // check 3
    assert.equal(fields.get("sec-websocket-protocol"), "honbu.v1.proto"); // 1.9 and check 6
});

test("names and tokens of the handshake are read without regard to case", limit, async () => {
    // 4.2.1, 3 and 4: the tokens are ASCII case-insensitive, Connection is a list; RFC 9110, 5.1: field names.
    await welcomed({ Upgrade: "WebSocket", Connection: "keep-alive, UPGRADE" });
    await welcomed({ Host: undefined, "Sec-WebSocket-Key": undefined, hOST: "hub.example", "SEC-websocket-KEY": "dGhlIHNhbXBsZSBub25jZQ==" });
});

test("a connection that has brought a page can become a WebSocket", limit, async () => {
    const line = await RawLine.open(hub.port); // RFC 9110, 7.8: an upgrade is asked for in any request
    line.write(request("/table", { Host: "hub.example" }));
    assert.equal((await line.answer()).status, 200);
    line.write(request("/ws", handshakeLines));
    assert.equal((await line.head()).status, 101);
    line.write(frame(op.binary, hallHello));
    assert.equal((await line.message()).case, "welcome");
    line.close();
});

test("a Connection field in several header lines is read whole", limit, async () => {
    // RFC 9110, 5.3: several lines of a list are the same as one line with all its items, and 7.6.1: Connection is a list.
    await welcomed({ Connection: ["Upgrade", "keep-alive"] });
    await welcomed({ Connection: ["keep-alive", "Upgrade"] });
});

test("of several subprotocols the hub's own is taken", limit, async () => {
    // 4.2.2, 5: one of those the client offered, or none; here never none (docs/protocol.md, 1).
    for (const offer of ["chat, honbu.v1.proto", "honbu.v1.proto,chat", "\thonbu.v1.proto ,  honbu.v2.proto"]) {
        const { fields } = await welcomed({ "Sec-WebSocket-Protocol": offer });
        assert.equal(fields.get("sec-websocket-protocol"), "honbu.v1.proto", offer);
    }
});

test("subprotocols offered in several header lines are all read", limit, async () => {
    // 11.3.4: the field may appear several times, "logically the same" as one with all values.
    await welcomed({ "Sec-WebSocket-Protocol": ["chat", "honbu.v1.proto"] });
    await welcomed({ "Sec-WebSocket-Protocol": ["honbu.v1.proto", "chat"] });
});

test("without the hub's subprotocol there is no WebSocket", limit, async () => {
    for (const offer of [undefined, "", "chat", "honbu.v2.proto", "xhonbu.v1.proto", "honbu.v1.proto2", "honbu v1 proto"]) {
        const { text } = await refused(400, { "Sec-WebSocket-Protocol": offer });
        assert.match(text, /honbu\.v1\.proto.*honbu\.v1\.json/); // what to do
    }
});

test("no extension is agreed on, whatever is offered", limit, async () => {
    // 9.1: a server need not accept any; docs/protocol.md, 1: in particular no compression (RFC 7692).
    const { fields } = await welcomed({ "Sec-WebSocket-Extensions": "permessage-deflate; client_max_window_bits" });
    assert.equal(fields.get("sec-websocket-extensions"), undefined);
});

test("another version is told which one is spoken", limit, async () => {
    for (const version of ["8", "12", "14", "", undefined]) {
        const { fields } = await refused(426, { "Sec-WebSocket-Version": version });
        assert.equal(fields.get("sec-websocket-version"), "13"); // 4.4
        assert.equal(fields.get("upgrade"), "websocket"); // RFC 9110, 15.5.22: a 426 names what to change to
    }
});

test("a handshake that is none is refused", limit, async () => {
    // 4.2.1: whatever does not match gets an HTTP error. 2: Host; 5: the key is 16 bytes in base64, 24 letters.
    await refused(400, { Host: undefined });
    await refused(400, { "Sec-WebSocket-Key": undefined });
    await refused(400, { "Sec-WebSocket-Key": "dGhlIHNhbXBsZQ==" });
    await refused(404, {}, { target: "/" });
    await refused(404, {}, { target: "/ws/" });
    await refused(404, {}, { target: "/board" });
    // What lacks the GET or the HTTP/1.1 of 1, or a token of 3 and 4, is a plain request for a page that is none; the
    // connection may then go on as HTTP connections do.
    for (const [lines, how] of [[{}, { method: "POST" }], [{}, { version: "HTTP/1.0" }], [{ Upgrade: undefined }], [{ Upgrade: "h2c" }], [{ Connection: "keep-alive" }]]) {
        const line = await shake(lines, how);
        const { status, text } = await line.answer();
        assert.equal(status, how?.method ? 405 : 426, JSON.stringify([lines, how]));
        assert.match(text, /^[A-Z].{10,}\.\n$/);
        line.close();
    }
});

// 10.2 and 4.2.2, 4: a server that lets in only pages of its own looks at Origin, and answers 403.
test("a page from elsewhere is not let in", limit, async () => {
    const host = "hub.example:8080";
    const others = [
        "http://other.example", "http://other.example:8080", "https://hub.example.other.example:8080",
        "http://hub.example", "http://hub.example:80", "http://hub.example:8081", "http://xhub.example:8080", // RFC 6454, 4: the port counts
        "null", // RFC 6454, 7.1: a page that has no origin to tell, such as a file
        "hub.example:8080", "file://hub.example:8080", "http://hub.example:8080.other.example", "http://user@hub.example:8080",
    ];
    for (const Origin of others) {
        const { text } = await refused(403, { Host: host, Origin });
        assert.match(text, /this hub/);
    }
});

test("the hub's own pages and programs that are no browsers are let in", limit, async () => {
    const own = [
        ["hub.example:8080", "http://hub.example:8080"],
        ["192.0.2.7:8080", "http://192.0.2.7:8080"],
        ["[2001:db8::7]:8080", "http://[2001:db8::7]:8080"],
        ["hub.example", "http://hub.example"], // RFC 6454, 6.2: the usual port is left out
        ["hub.example", "https://hub.example"], // behind something that does the encryption
        ["HUB.example:8080", "http://hub.example:8080"], // RFC 6454, 4, 3: the host in lower case
    ];
    for (const [Host, Origin] of own) await welcomed({ Host, Origin });
    await welcomed({ Origin: undefined }); // 10.2: only browsers must send it
});
