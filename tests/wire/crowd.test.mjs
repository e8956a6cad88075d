// The crowd's entrance is only looked through: no page that scores is there, and whatever a client says there changes
// nothing (docs/http.md, section 1). The hall's entrance of the same hub lets the same commands through.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Client, wire } from "../wire_client.mjs";
import { competition, scratch, serve } from "./one_hub.mjs";

const { Reason } = wire;
const limit = { timeout: 20_000 };
const endings = [];
const whole = { after: (end) => endings.unshift(end) };
let hub;
let crowd;

before(async () => {
    const data = scratch(whole);
    const file = competition(data, { mats: 2 });
    hub = await serve(whole, data, { more: ["--competition", file, "--title", "Lantern Cup", "--public-listen", "127.0.0.1:0"] });
    crowd = Number(/For spectators.*\n\s+http:\/\/127\.0\.0\.1:(\d+)\//.exec(hub.out)[1]);
});
after(async () => {
    hub?.child.kill("SIGTERM");
    for (const end of endings) await end();
});

const status = async (port, path) => (await fetch(`http://127.0.0.1:${port}${path}`)).status;
const number = async () => (await hub.ready()).number;

test("pages that score, their scripts and the figures are at the hall's entrance only", limit, async () => {
    for (const path of ["/table", "/table.html", "/table.js", "/table.css", "/desk", "/desk.html", "/desk.js", "/index.html", "/index.js",
        "/honbu.wasm", "/metrics", "/v1/status"]) {
        assert.deepEqual([path, await status(crowd, path), await status(hub.port, path)], [path, 404, 200]);
    }
    for (const path of ["/", "/board", "/board.js", "/hall", "/hall.css", "/tokens.css", "/honbu.svg", "/healthz", "/readyz", "/v1",
        "/v1/mats", "/v1/results.csv", "/openapi.json"]) {
        assert.deepEqual([path, await status(crowd, path)], [path, 200]);
    }
});

// Everything that could lead to scoring, by what it is asked for; also with tricks in the address.
test("no way round by the address", limit, async () => {
    for (const path of ["//table.html", "/./table.html", "/board/../table.html", "/%74able.html", "/table.html?board.js", "/table#board.",
        "/TABLE.html", "/board.js/../honbu.wasm"]) {
        const answer = await fetch(`http://127.0.0.1:${crowd}${path}`);
        assert.equal(answer.status, 404, path);
    }
});

test("boards and hall screens are welcome, with views, results and calls", limit, async () => {
    for (const role of ["ROLE_BOARD", "ROLE_HALL"]) {
        const screen = await Client.connect(crowd, { role });
        assert.equal(screen.welcome.title, "Lantern Cup");
        screen.send({ case: "subscribe", value: { allMats: true, results: true, callList: true } });
        await screen.next("mat");
        await screen.next("callList");
        screen.send({ case: "clockAsk", value: { sent: 5 } });
        assert.equal((await screen.next("clockAnswer")).value.sent, 5);
        screen.close();
    }
});

test("a table or a desk is sent to the other entrance", limit, async () => {
    for (const role of ["ROLE_TABLE", "ROLE_DESK"]) {
        const client = await Client.connect(crowd);
        client.send({ case: "hello", value: { schema: 2, role, device: "1b7f3c9a60d2e845", run: "5d0c7a91e2b84f36", foldVersion: 2 } });
        const { reason, comeBack, words } = (await client.next("goodbye")).value;
        assert.deepEqual([reason, comeBack], [Reason.OTHER_ENTRANCE, false]);
        assert.match(words, /for spectators/);
        assert.equal(await client.closed, 1008);
        assert.equal(client.heard.some((one) => one.case === "welcome"), false);
    }
});

test("whatever else is said there is refused, changes nothing, and the screen goes on", limit, async () => {
    const before = await number();
    const screen = await Client.connect(crowd, { role: "ROLE_HALL" });
    const call = { run: "5d0c7a91e2b84f36", number: 1, mat: 1, term: 1, bout: 1, what: { hajime: {} } };
    const commands = [
        ["takeMat", { mat: 1 }], ["submit", { call }], ["submit", {}], ["leaveMat", { mat: 1, byForce: true, request: 5 }],
        ["clockMeasured", {}], ["ask", { mat: 1, request: 6 }], ["answerAsk", {}], ["openBout", { bout: 1, request: 7 }],
        ["decideSetAside", { request: 8 }], ["enterResult", { request: 9 }], ["moveRecord", { request: 10 }], ["giveBack", { request: 11 }],
        ["subscribe", { tables: true }], ["subscribe", { setAside: true }], ["subscribe", { audit: true, allMats: true }],
    ];
    for (const [name, value] of commands) {
        const bytes = wire.fromJson(wire.ToHubSchema, { [name]: value }, { ignoreUnknownFields: true });
        const one = await Client.connect(crowd, { role: "ROLE_HALL" });
        one.socket.send(wire.toBinary(wire.ToHubSchema, bytes));
        const answer = await Promise.race([one.next("refusal"), one.next("goodbye")]);
        // What is not even in form is told so, whoever says it; tests/net/shares_test.cpp has each command in form.
        assert.ok([Reason.OTHER_ENTRANCE, Reason.UNREADABLE].includes(answer.value.reason), `${name}: ${answer.value.words}`);
        one.close();
    }
    screen.send({ case: "takeMat", value: { mat: 1 } });
    assert.equal((await screen.next("refusal")).value.reason, Reason.OTHER_ENTRANCE);
    screen.send({ case: "clockAsk", value: { sent: 6 } });
    assert.equal((await screen.next("clockAnswer")).value.sent, 6);
    screen.close();
    assert.equal(await number(), before);
});

test("events are for the crowd as well", limit, async () => {
    const answer = await fetch(`http://127.0.0.1:${crowd}/v1/events?mats=1`);
    assert.equal(answer.status, 200);
    const { value } = await answer.body.getReader().read();
    assert.match(Buffer.from(value).toString(), /^retry: 2000\n.*event: hub\n/s);
    await answer.body.cancel().catch(() => {});
});
