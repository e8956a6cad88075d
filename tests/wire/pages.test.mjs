// Pages over plain HTTP, by hand over a plain socket. Source: RFC 9110 (HTTP semantics) and RFC 9112 (HTTP/1.1), section
// beside each check; the security headers' meaning: the standards named beside them.
import assert from "node:assert/strict";
import { test } from "node:test";
import { oneHub } from "./one_hub.mjs";
import { RawLine, request } from "./raw_line.mjs";

const hub = oneHub();
const limit = { timeout: 20_000 };
const Host = "hub.example:8080";
const pages = ["/", "/table", "/board", "/hall", "/desk"];

// One request on a line of its own.
async function ask(target, lines = {}, method, version) {
    const line = await RawLine.open(hub.port);
    line.write(request(target, { Host, ...lines }, method, version));
    const head = await line.head();
    const none = method === "HEAD" || head.status === 304; // RFC 9112, 6.3
    const size = none ? 0 : Number(head.fields.get("content-length"));
    const answer = { ...head, text: (await line.bytes(size)).toString(), line };
    assert.equal(line.in.length, 0, "nothing after the content");
    line.close();
    return answer;
}

const isSentence = (answer) => {
    assert.match(answer.fields.get("content-type"), /^text\/plain\b/);
    assert.match(answer.text, /^[A-Z].{10,}\n$/);
};

// What a page loads by name.
const loads = (html) => [...html.matchAll(/(?:src|href)="([^"#]+)"/g)].map((match) => match[1]);

test("every page is there, with everything it names", limit, async () => {
    const types = { js: /^(text|application)\/javascript\b/, css: /^text\/css\b/, svg: /^image\/svg\+xml\b/, html: /^text\/html\b/, wasm: /^application\/wasm$/ };
    const seen = new Set();
    for (const page of pages) {
        const answer = await ask(page);
        assert.equal(answer.status, 200, page);
        assert.match(answer.fields.get("content-type"), /^text\/html; ?charset=utf-8$/i);
        assert.match(answer.text, /^<!doctype html>/i);
        for (const name of loads(answer.text)) {
            const { href, pathname, host } = new URL(name, `http://${Host}${page}`);
            assert.equal(host, Host, `${page} loads ${href} from elsewhere`);
            if (seen.has(pathname)) continue;
            seen.add(pathname);
            const part = await ask(pathname);
            assert.equal(part.status, 200, pathname);
            const ending = /\.(\w+)$/.exec(pathname)?.[1] ?? "html";
            assert.match(part.fields.get("content-type"), types[ending], pathname);
        }
    }
    assert.ok([...seen].some((name) => name.endsWith(".js")));
    const engine = await ask("/honbu.wasm");
    assert.equal(engine.status, 200);
    assert.match(engine.fields.get("content-type"), types.wasm); // streaming compilation asks for it (WebAssembly Web API, 2)
});

test("a page that is known already is not sent again", limit, async () => {
    for (const page of [...pages, "/table.html", "/honbu.wasm"]) {
        const { fields, text } = await ask(page);
        const etag = fields.get("etag");
        assert.match(etag, /^"[\x21\x23-\x7e]+"$/, page); // 8.8.3: a strong one
        for (const known of [etag, `W/${etag}`, `"other", ${etag}`, `"other",W/${etag} , "more"`, "*"]) {
            const again = await ask(page, { "If-None-Match": known }); // 13.1.2: a list, compared weakly
            assert.equal(again.status, 304, `${page} ${known}`);
            assert.equal(again.fields.get("etag"), etag); // 15.4.5
            assert.equal(again.fields.get("cache-control"), fields.get("cache-control"));
            assert.equal((await ask(page, { "If-None-Match": known }, "HEAD")).status, 304);
        }
        for (const known of ['"other"', "", `"${etag.slice(1, -2)}"`, etag.slice(1, -1)]) {
            const again = await ask(page, { "If-None-Match": known });
            assert.deepEqual([again.status, again.text.length], [200, text.length], `${page} ${known}`);
        }
    }
});

test("an If-None-Match in several header lines is read whole", limit, async () => {
    const etag = (await ask("/table")).fields.get("etag"); // 5.3: the same as one line with all items
    assert.equal((await ask("/table", { "If-None-Match": [etag, '"other"'] })).status, 304);
    assert.equal((await ask("/table", { "If-None-Match": ['"other"', etag] })).status, 304);
});

test("another page has another ETag", limit, async () => {
    const etags = await Promise.all(pages.map(async (page) => (await ask(page)).fields.get("etag")));
    assert.equal(new Set(etags).size, pages.length); // 8.8.3
});

test("HEAD has the same head and no content", limit, async () => {
    for (const target of [...pages, "/healthz", "/readyz", "/honbu.wasm", "/nothing", "/ws"]) {
        const [whole, head] = [await ask(target), await ask(target, {}, "HEAD")]; // 9.3.2
        assert.equal(head.status, whole.status, target);
        for (const fields of [whole.fields, head.fields]) fields.delete("date");
        assert.deepEqual([...head.fields], [...whole.fields]);
    }
});

test("what is not there is said in a sentence", limit, async () => {
    for (const target of ["/nothing", "/tabl", "/table/", "/../etc/passwd", "/..%2f..%2fetc%2fpasswd", "/table.htm", "//table", "/journal.sqlite", "/TABLE"]) {
        const answer = await ask(target);
        assert.equal(answer.status, 404, target); // 15.5.5
        isSentence(answer);
        assert.equal(answer.fields.get("etag"), undefined);
    }
});

test("other methods are told which are allowed", limit, async () => {
    for (const method of ["POST", "PUT", "DELETE", "PATCH", "OPTIONS", "BREW", "get"]) { // 9.1: case counts
        for (const target of ["/table", "/ws", "/nothing", "/readyz"]) {
            const answer = await ask(target, {}, method);
            assert.equal(answer.status, 405, `${method} ${target}`); // 15.5.6
            assert.deepEqual(answer.fields.get("allow").split(/ *, */).sort(), ["GET", "HEAD"]); // 10.2.1
            isSentence(answer);
        }
    }
});

test("what is no request gets a sentence, and the connection ends", limit, async () => {
    const bad = [
        "hello\r\n\r\n", "GET /table\r\n\r\n", "GET /table HTTP/1.1\r\n\r\n", // RFC 9112, 3 and 3.2: Host must be there
        `GET /table HTTP/1.1\r\nHost: ${Host}\r\nHost: other\r\n\r\n`, // 3.2: once
        "GET /table HTTP/1.1\r\nHost : x\r\n\r\n", // 5.1: no space before the colon
        "GET  /table HTTP/1.1\r\nHost: x\r\n\r\n", "GET /table HTTP/9\r\nHost: x\r\n\r\n", "\x16\x03\x01\x02\x00\x01\r\n\r\n",
        `GET /table HTTP/1.1\r\nHost: ${Host}\r\nCookie: ${"x".repeat(40_000)}\r\n\r\n`,
    ];
    for (const text of bad) {
        const line = await RawLine.open(hub.port);
        line.write(text);
        const answer = await line.answer();
        assert.ok([400, 431, 505].includes(answer.status), `${answer.status} for ${JSON.stringify(text.slice(0, 60))}`);
        assert.match(answer.text, /^[A-Z].{10,}\n$/);
        assert.equal(answer.fields.get("connection")?.toLowerCase(), "close"); // RFC 9112, 9.6
        await line.ended();
        line.close();
    }
    assert.equal((await ask("/healthz")).text, "ok\n");
});

test("several requests go over one connection", limit, async () => {
    const line = await RawLine.open(hub.port); // RFC 9112, 9.3
    line.write(request("/table", { Host }));
    const first = await line.answer();
    assert.equal(first.status, 200);
    // Pipelined (9.3.2), and one in pieces: answered in order.
    const [third, rest] = [request("/board", { Host }).slice(0, 9), request("/board", { Host }).slice(9)];
    line.write(request("/healthz", { Host }) + request("/nothing", { Host }) + third);
    assert.equal((await line.answer()).text, "ok\n");
    assert.equal((await line.answer()).status, 404);
    line.write(rest);
    assert.match((await line.answer()).text, /^<!doctype html>/i);
    line.write(request("/readyz", { Host, Connection: "close" }));
    const last = await line.answer();
    assert.equal(last.status, 200);
    assert.equal(last.fields.get("connection").toLowerCase(), "close"); // 9.6
    await line.ended();
    // A client of HTTP/1.0 expects the end (9.3).
    const old = await RawLine.open(hub.port);
    old.write(request("/healthz", { Host }, "GET", "HTTP/1.0"));
    assert.equal((await old.answer()).text, "ok\n");
    await old.ended();
});

test("content that nobody asked for is not taken for the next request", limit, async () => {
    const smuggled = request("/healthz", { Host });
    for (const lines of [{ "Content-Length": smuggled.length }, { "Transfer-Encoding": "chunked" }]) {
        const line = await RawLine.open(hub.port);
        const content = lines["Content-Length"] ? smuggled : `${smuggled.length.toString(16)}\r\n${smuggled}\r\n0\r\n\r\n`;
        line.write(request("/table", { Host, ...lines }, "POST") + content);
        assert.equal((await line.answer()).status, 405);
        await line.ended(); // RFC 9112, 6.3 and 11.2: the only answer
        line.close();
    }
});

test("the whole address in place of the path is understood", limit, async () => {
    const answer = await ask(`http://${Host}/table?mat=2`); // RFC 9112, 3.2.2: a server MUST accept it
    assert.equal(answer.status, 200);
    assert.match(answer.text, /^<!doctype html>/i);
});

test("every answer carries the security headers", limit, async () => {
    for (const [target, status, method, lines] of [
        ["/table", 200], ["/honbu.wasm", 200], ["/healthz", 200], ["/readyz", 200], ["/nothing", 404], ["/table", 405, "POST"], ["/ws", 426],
        ["/table", 304, "GET", { "If-None-Match": "*" }], ["/ws", 403, "GET", { Upgrade: "websocket", Connection: "Upgrade", Origin: "http://other.example" }],
    ]) {
        const { status: got, fields } = await ask(target, lines, method);
        assert.equal(got, status);
        const policy = new Map(fields.get("content-security-policy").split(/; */).map((one) => [one.split(" ")[0], one.split(" ").slice(1)]));
        assert.deepEqual(policy.get("default-src"), ["'none'"], target); // Content Security Policy Level 3: also objects
        assert.deepEqual(policy.get("script-src"), ["'self'", "'wasm-unsafe-eval'"]);
        assert.deepEqual(policy.get("connect-src"), ["'self'", `ws://${Host}`, `wss://${Host}`]); // only the hub itself
        for (const words of policy.values()) {
            for (const loose of ["'unsafe-inline'", "'unsafe-eval'", "*", "http:", "https:"]) assert.ok(!words.includes(loose), loose);
        }
        assert.deepEqual([policy.get("base-uri"), policy.get("frame-ancestors"), policy.get("form-action")], [["'none'"], ["'none'"], ["'none'"]]);
        assert.equal(fields.get("cross-origin-opener-policy"), "same-origin"); // HTML standard, 7.1.3
        assert.match(fields.get("permissions-policy"), /microphone=\(\)/);
        assert.equal(fields.get("strict-transport-security"), undefined); // the name may carry other services
        assert.equal(fields.get("x-content-type-options"), "nosniff"); // Fetch standard, "X-Content-Type-Options header"
        assert.equal(fields.get("referrer-policy"), "no-referrer"); // Referrer Policy, 3.1
        assert.equal(fields.get("cross-origin-resource-policy"), "same-origin"); // Fetch standard
        assert.equal(fields.get("access-control-allow-origin"), undefined); // nobody else may read it
        assert.ok(!Number.isNaN(Date.parse(fields.get("date")))); // 6.6.1
        assert.match(fields.get("date"), /^\w{3}, \d\d \w{3} \d{4} \d\d:\d\d:\d\d GMT$/); // 5.6.7
    }
});

test("where the journal stands is told", limit, async () => {
    const { status, fields, text } = await ask("/readyz");
    assert.equal(status, 200);
    assert.match(fields.get("content-type"), /^application\/json\b/);
    assert.equal(fields.get("cache-control"), "no-store"); // RFC 9111, 5.2.2.5: asked anew each time
    const ready = JSON.parse(text);
    assert.match(ready.epoch, /^[0-9a-f]{16}$/);
    assert.deepEqual([ready.number, ready.room], [2, true]);
});
