// Fair shares on a hub that may open few files: whoever fills the crowd, the door or the screens keeps no table out
// (hub/net/shares.h has the numbers; docs/http.md, section 7). RFC 9110, 15.6.4 and 10.2.3: a 503 says when to come back.
import assert from "node:assert/strict";
import { connect } from "node:net";
import { after, before, test } from "node:test";
import { Client, wire } from "../wire_client.mjs";
import { require } from "../packages.mjs";
import { competition, scratch, serve } from "./one_hub.mjs";

const { WebSocket } = require("ws");
const { Reason } = wire;
const limit = { timeout: 60_000 };
const endings = [];
const whole = { after: (end) => endings.unshift(end) };
let hub;
let crowd;

before(async () => {
    const data = scratch(whole);
    hub = await serve(whole, data, {
        before: ["sh", "-c", 'ulimit -n 420; exec "$@"', "sh"],
        more: ["--competition", competition(data, { mats: 2 }), "--title", "Lantern Cup", "--public-listen", "127.0.0.1:0"],
    });
    const looker = await Client.connect(hub.port, { role: "ROLE_HALL" });
    hub.fold = looker.welcome.foldVersion;
    looker.close();
    crowd = Number(/For spectators.*\n\s+http:\/\/127\.0\.0\.1:(\d+)\//.exec(hub.out)[1]);
});
after(async () => {
    hub?.child.kill("SIGTERM");
    for (const end of endings) await end();
});

// Open, or how the hub says no.
function knock(port) {
    const socket = new WebSocket(`ws://127.0.0.1:${port}/ws`, "honbu.v1.proto");
    const became = new Promise((told) => {
        socket.on("open", () => told({ socket }));
        socket.on("unexpected-response", (request, answer) => {
            const parts = [];
            answer.on("data", (part) => parts.push(part));
            answer.on("end", () => told({ socket, status: answer.statusCode, retry: answer.headers["retry-after"], words: Buffer.concat(parts).toString() }));
        });
        socket.on("error", (error) => told({ socket, error }));
    });
    return became;
}

async function tableAnswers() {
    const table = await Client.connect(hub.port, { role: "ROLE_TABLE", device: "1b7f3c9a60d2e845", run: "5d0c7a91e2b84f36", foldVersion: hub.fold });
    table.send({ case: "takeMat", value: { mat: 1, takeOver: true } });
    await table.next("allotment");
    table.close();
}

test("the log says what few files allow", limit, () => {
    assert.match(hub.err, /may open only 420 files: there is room for \d+ tables, \d+ screens and \d+ spectators/);
});

test("a full crowd keeps no table, no desk and no screen of the hall out", limit, async () => {
    const all = [];
    for (let i = 0; i < 80; ++i) all.push(await knock(crowd));
    const inside = all.filter((one) => one.status === undefined && !one.error);
    const refused = all.filter((one) => one.status !== undefined);
    assert.ok(inside.length >= 20, `${inside.length} spectators are in`);
    assert.ok(refused.length >= 20, `${refused.length} were told to come back`);
    for (const { status, retry, words } of refused) {
        assert.deepEqual([status, retry], [503, "5"]);
        assert.match(words, /All places for spectators are taken/);
    }
    await tableAnswers();
    (await Client.connect(hub.port, { role: "ROLE_DESK" })).close();
    (await Client.connect(hub.port, { role: "ROLE_BOARD" })).close();
    const left = inside.map(({ socket }) => new Promise((closed) => socket.on("close", closed)));
    for (const { socket } of inside) socket.terminate();
    await Promise.all(left);
});

test("screens of the hall fill their own places only", limit, async () => {
    const screens = [];
    let full;
    while (!full && screens.length < 300) {
        const screen = await Client.connect(hub.port);
        screen.send({ case: "hello", value: { schema: 2, role: "ROLE_HALL" } });
        const heard = await Promise.race([screen.next("welcome"), screen.next("goodbye")]);
        if (heard.case === "goodbye") full = heard.value;
        screens.push(screen);
    }
    assert.deepEqual([full.reason, full.comeBack], [Reason.FULL, true]);
    assert.match(full.words, /as many screens as it can take/);
    await tableAnswers();
    for (const screen of screens) screen.close();
});

test("whoever stands at the door without a word gives way to whoever comes", limit, async () => {
    for (const port of [crowd, hub.port]) {
        const idle = [];
        for (let i = 0; i < 100; ++i) {
            const socket = connect(port, "127.0.0.1");
            socket.on("error", () => {});
            idle.push(socket);
        }
        await Promise.all(idle.map((socket) => new Promise((open) => (socket.connecting ? socket.on("connect", open) : open()))));
        assert.equal((await fetch(`http://127.0.0.1:${port}/healthz`)).status, 200);
        await tableAnswers();
        for (const socket of idle) socket.destroy();
    }
});

// At the door: whoever has not said hello, and whoever the hub does not know.
test("however many strangers knock, whoever the hub knows gets in", limit, async (t) => {
    const data = scratch(t);
    const shut = await serve(t, data, { before: ["sh", "-c", 'ulimit -n 420; exec "$@"', "sh"], doors: true });
    t.after(() => shut.stop("SIGTERM"));
    const all = [];
    const knows = async () => (await Client.connect(shut.port, { role: "ROLE_HALL" })).close();
    for (let i = 0; i < 100; ++i) all.push(await knock(shut.port));
    await knows();
    for (let i = 0; i < 100; ++i) {
        const stranger = await Client.connect(shut.port);
        const hello = { schema: 2, role: "ROLE_TABLE", device: i.toString(16).padStart(16, "5"), run: "5d0c7a91e2b84f36", foldVersion: hub.fold };
        stranger.send({ case: "hello", value: { ...hello, token: Buffer.alloc(32, i).toString("base64url") } });
        await stranger.next("atTheDoor");
        all.push(stranger);
    }
    await knows();
    assert.ok(all.every((one) => one.status === undefined && !one.error), "all of them were let knock");
    for (const { socket } of all) socket.terminate();
});

test("whoever talks without end is slowed, and nobody else is", limit, async () => {
    const hasty = await Client.connect(crowd, { role: "ROLE_HALL" });
    for (let i = 1; i <= 3_000; ++i) hasty.send({ case: "clockAsk", value: { sent: i } });
    await hasty.next("clockAnswer", ({ sent }) => sent === 20); // what it may say at once
    await tableAnswers();
    assert.equal(hasty.heard.some((one) => one.case === "clockAnswer" && one.value.sent === 3_000), false);
    hasty.close();
});

test("a spectator's message is short, a table's need not be", limit, async () => {
    const spectator = await Client.connect(crowd, { role: "ROLE_HALL" });
    spectator.socket.send(Buffer.alloc(5_000));
    const { reason, words } = (await spectator.next("goodbye")).value;
    assert.equal(reason, Reason.TOO_BIG);
    assert.match(words, /4 KiB/);
    assert.equal(await spectator.closed, 1009); // RFC 6455, 7.4.1
});

test("whoever opens a WebSocket and never says hello is let go", limit, async () => {
    const { socket } = await knock(hub.port);
    const beat = setInterval(() => socket.ping(), 500);
    const heard = [];
    socket.on("message", (bytes) => heard.push(wire.fromBinary(wire.ToClientSchema, bytes).kind));
    await new Promise((closed) => socket.on("close", closed));
    clearInterval(beat);
    assert.deepEqual([heard.at(-1).case, heard.at(-1).value.reason], ["goodbye", Reason.SILENT]);
    assert.match(heard.at(-1).value.words, /has not said hello/);
});
