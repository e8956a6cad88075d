// The JSON flavour over a real hub: a screen, a desk and a table with nothing but a WebSocket and JSON.parse, as somebody
// without protobuf writes them. Source: docs/protocol.md (section beside each check), RFC 6455, RFC 8259 and the JSON
// mapping of the Protocol Buffers language guide. The bout is tests/conformance/2025_f1_eight_seconds_are_yuko.scenario.
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { require } from "../packages.mjs";
import { competition, scratch, serve } from "./one_hub.mjs";
import { JsonLine, JsonTable } from "./json_line.mjs";

const limit = { timeout: 30_000 };
const [deviceA, deviceB] = ["00000000000000aa", "00000000000000bb"];

async function begin(t, wish) {
    const folder = scratch(t);
    const data = `${folder}/data`;
    return serve(t, data, { more: ["--competition", competition(folder, wish), "--title", "Evening Cup"] });
}

test("the first subprotocol of the client's list that the hub speaks is agreed on", limit, async (t) => {
    const hub = await begin(t);
    const [json, proto] = ["honbu.v1.json", "honbu.v1.proto"];
    for (const [offers, agreed] of [
        [[json], json], [[proto], proto], [[json, proto], json], [[proto, json], proto], // RFC 6455, 1.9 and 4.1, 10
        [["honbu.v2.json", "chat", json, proto], json],
    ]) {
        const line = await JsonLine.open(hub.port, offers);
        assert.equal(line.socket.protocol, agreed, offers.join());
        await line.close();
    }
    for (const offers of [["chat"], ["honbu.v1"], [json.toUpperCase()], []]) {
        await assert.rejects(JsonLine.open(hub.port, offers), ({ status, message }) => {
            assert.equal(status, 400); // 1
            assert.match(message, /honbu\.v1\.proto.*honbu\.v1\.json/);
            return true;
        });
    }
});

test("a whole bout, from the hello to the result", limit, async (t) => {
    const hub = await begin(t);
    const hall = await JsonLine.greeted(hub.port);
    assert.match(hall.welcome.epoch, /^[0-9a-f]{16}$/); // 3
    assert.deepEqual([hall.welcome.schema, hall.welcome.rehearsalRate, hall.welcome.title, hall.welcome.mats], [2, 1, "Evening Cup", [1]]);
    hall.send("subscribe", { mats: [1] });
    const empty = await hall.next("mat"); // 5: the present view at once
    assert.deepEqual([empty.table, empty.frames, empty.next[0].white.name], ["TABLE_LINE_NONE", [], "Wanda Pell 1"]);
    assert.equal(empty.bout, undefined); // 12: what is not there is left out
    const desk = await JsonLine.greeted(hub.port, { role: "ROLE_DESK" });
    desk.send("subscribe", { results: true, resultsAfter: 0 });

    const table = await JsonTable.sit(hub.port, deviceA, 1);
    const given = table.allotment.bouts[0]; // 7
    assert.deepEqual([given.bout, given.timeMs, given.white.club, given.confirmed], [1, 240_000, "Dojo Fernhill", false]);
    table.line.send("clockAsk", { sent: 4_294_967_295 });
    const { sent, hubMs } = await table.line.next("clockAnswer"); // 4
    assert.equal(sent, 4_294_967_295);
    table.line.send("runClock", { run: table.run, runMs: 0, hubMs });

    const start = 10_000; // of contest time, on the run's clock
    const plain = (what) => ({ plain: `PLAIN_${what}` });
    const make = async (at, what) => {
        const verdict = await table.make(1, at, what);
        assert.deepEqual([verdict.kind, verdict.stateDiffers, verdict.call.run], ["KIND_APPLIED", false, table.run]); // 8
        return hall.next("mat", (view) => view.number === verdict.record); // 10: the view it changes follows
    };
    await make(start - 5_000, plain("CALLED"));
    await make(start, plain("HAJIME"));
    const held = await make(start + 60_000, { osaekomi: "SIDE_WHITE" });
    const [now, five] = held.frames; // 6; "= at 1:05: hold white 5, board white 0 0 1 0"
    assert.deepEqual(now.hold, { by: "SIDE_WHITE", running: true, ms: 0, reached: "LEVEL_NONE" });
    assert.deepEqual([five.from, five.why, five.hold.reached, five.white.yuko], [hubMs + start + 65_000, "WHY_HOLD_LEVEL", "LEVEL_YUKO", 1]);
    assert.deepEqual(held.bout.levels, ["LEVEL_IPPON", "LEVEL_WAZA_ARI", "LEVEL_YUKO"]);
    const loose = await make(start + 68_000, plain("TOKETA"));
    const timeUp = loose.frames.find(({ why }) => why === "WHY_TIME_UP"); // "= at 4:00: time up, winner white, way yuko"
    assert.deepEqual([timeUp.from, timeUp.winner, timeUp.way], [hubMs + start + 240_000, "WINNER_WHITE", "WAY_YUKO"]);
    assert.deepEqual(loose.frames[0].white, { ippon: 0, wazaAri: 0, yuko: 1, koka: 0, shido: 0, hansokuMake: false }); // 12: zeros are written
    await make(start + 243_000, plain("SORE_MADE"));
    await make(start + 250_000, plain("KACHI"));
    const rulesHash = createHash("sha256").update(Buffer.from(table.allotment.rules[given.rules], "base64")).digest("base64");
    const result = {
        winner: "WINNER_WHITE", way: "WAY_YUKO", regularMs: 240_000, white: { yuko: 1 }, blue: {},
        decidedMs: 240_000, stoppedMs: 240_000, points: 1, rulesHash, foldVersion: table.foldVersion,
    };
    const confirmed = await make(start + 260_000, { confirm: result });
    assert.equal(confirmed.frames[0].phase, "PHASE_CONFIRMED"); // 6
    const item = await desk.next("finished"); // 5
    assert.deepEqual([item.number, item.mat, item.bout.bout, item.bout.blue.name], [confirmed.number, 1, 1, "Bice Moro 1"]);
    assert.deepEqual([item.result.winner, item.result.way, item.result.rulesHash], ["WINNER_WHITE", "WAY_YUKO", rulesHash]);
    assert.match(item.words, /^white wins by yuko/);

    // The call is recorded once, however often it is sent (8).
    const again = await table.answer({ ...table.call(1, start + 260_000, { confirm: result }), id: { run: table.run, number: table.number - 1 } });
    assert.deepEqual([again.kind, again.value.record], ["verdict", confirmed.number]);
    // And the stream goes on after the number that was seen.
    desk.send("subscribe", { resultsAfter: item.number, results: true });
    desk.send("clockAsk", { sent: 1 });
    await desk.next("clockAnswer");
    assert.equal(desk.heard.some(({ kind }) => kind === "finished"), false);
    for (const line of [hall, desk, table.line]) assert.equal(line.texts.some((text) => text.includes("\n")), false); // 12: one line each
});

test("the client on the page works as it stands there", limit, async (t) => {
    const hub = await begin(t);
    const page = readFileSync(new URL("../../docs/protocol.md", import.meta.url), "utf8");
    const [, code] = /^```js\n(.*?)^```$/ms.exec(page.slice(page.indexOf("\n## 12. ")));
    const shown = [];
    let socket;
    const table = await JsonTable.sit(hub.port, deviceA, 1);
    await table.make(1, 1_000, { plain: "PLAIN_CALLED" });
    class WebSocket extends require("ws").WebSocket {
        constructor(address, offers) {
            super(address.replace("hub.example:8080", `127.0.0.1:${hub.port}`), offers);
            socket = this;
        }
    }
    const beat = new Promise((due) => {
        const run = new Function("WebSocket", "show", "add", "setInterval", code);
        run(WebSocket, (mat) => shown.push(mat), () => {}, (what, ms) => due({ what, ms }));
    });
    while (shown.length === 0) await new Promise((heard) => socket.once("message", () => setImmediate(heard)));
    assert.deepEqual([shown[0].mat, shown[0].bout.bout], [1, 1]);
    const { what, ms } = await beat;
    assert.equal(ms, 2000); // 2
    what();
    await new Promise((pong) => socket.once("pong", pong).ping()); // read behind it, and not refused
    assert.equal(socket.readyState, WebSocket.OPEN);
    socket.close();
});

test("a refusal changes nothing, and the line goes on", limit, async (t) => {
    const hub = await begin(t);
    const hall = await JsonLine.greeted(hub.port);
    hall.send("takeMat", { mat: 1 });
    assert.equal((await hall.next("refusal")).reason, "REASON_NOT_A_TABLE"); // 9
    const table = await JsonTable.sit(hub.port, deviceA, 1);
    const other = await JsonLine.greeted(hub.port, { role: "ROLE_TABLE", device: deviceB, run: deviceB, foldVersion: table.foldVersion });
    other.send("takeMat", { mat: 1 });
    const held = await other.next("refusal");
    assert.deepEqual([held.reason, held.call], ["REASON_MAT_HELD", undefined]); // 7
    assert.match(held.words, /mat 1/);
    const { kind, value } = await table.answer({ ...table.call(1, 1_000, { plain: "PLAIN_CALLED" }), id: { run: table.run, number: 9 } });
    assert.deepEqual([kind, value.reason, value.call.number], ["refusal", "REASON_NUMBER_GAP", 9]); // 8
    other.send("takeMat", { mat: 1, takeOver: true }); // a person has said yes
    assert.equal((await other.next("allotment")).term, 2);
    const lost = await table.line.next("matLost");
    assert.deepEqual([lost.mat, lost.term], [1, 2]);
    table.number = 0;
    assert.equal((await table.make(1, 1_000, { plain: "PLAIN_CALLED" })).kind, "KIND_SET_ASIDE");
});

test("signs of life come as text and are taken, and silence is told", { timeout: 40_000 }, async (t) => {
    const hub = await begin(t);
    const [line, mute] = [await JsonLine.greeted(hub.port), await JsonLine.greeted(hub.port)];
    mute.send = () => {};
    await leaves(mute, 1008, "REASON_SILENT", /ten seconds/); // 2 and 9
    assert.deepEqual(await line.next("heartbeat"), {});
    line.send("clockAsk", { sent: 1 }); // it was as long, and is still there
    assert.equal((await line.next("clockAnswer")).sent, 1);
});

test("a message in fragments is one message, wherever a letter is cut", limit, async (t) => {
    const hub = await begin(t);
    const line = await JsonLine.open(hub.port);
    const hello = Buffer.from(JSON.stringify({ hello: { schema: 1, role: "ROLE_HALL", hand: "Ngāio 🥋" } }));
    for (let i = 0; i < hello.length; ++i) line.socket.send(hello.subarray(i, i + 1), { binary: false, fin: i === hello.length - 1 }); // RFC 6455, 5.4
    await line.next("welcome");
    await line.close();
});

test("whoever may be newer says more than the hub knows", limit, async (t) => {
    const hub = await begin(t);
    const line = await JsonLine.open(hub.port);
    line.send("hello", { schema: 1, role: 3, colour: { of: ["the", "page"] }, later: null }); // 1; an enum also by its number
    await line.next("welcome");
    line.say('{"clock_ask": {"sent": "7"}}'); // language guide: the schema's own names, numbers in quotes
    assert.equal((await line.next("clockAnswer")).sent, 7);
    await line.close();
});

// A goodbye with this reason and words, and the close of this code, whose words are those of the goodbye (9).
async function leaves(line, code, reason, words) {
    const goodbye = await line.next("goodbye");
    assert.equal(goodbye.reason, reason, goodbye.words);
    assert.match(goodbye.words, words);
    const end = await line.closed;
    assert.equal(end.code, code, goodbye.words);
    assert.ok(end.words.length > 0 && goodbye.words.startsWith(end.words), end.words);
    return goodbye;
}

test("what the hub can't read gets a goodbye that says why", limit, async (t) => {
    const hub = await begin(t);
    const other = await JsonLine.greeted(hub.port);
    const { number } = await hub.ready();
    const call = { id: { run: deviceA, number: 1 }, term: 1, mat: 1, bout: 1, plain: "PLAIN_CALLED" };
    const submit = (more) => JSON.stringify({ submit: { call: { ...call, ...more } } });
    for (const [text, words] of [
        ["", /empty/], ["hajime", /begin with \{/], ["[]", /list/], ['{"hello":', /missing/], ["{'heartbeat':{}}", /double quotes/],
        ['{"heartbeat":{},}', /comma/], ['{"heartbeat":{}} {"heartbeat":{}}', /behind/], ['{"clockAsk":{"sent":1,"sent":2}}', /twice/], // RFC 8259, 2 to 4
        ["{}", /kind this hub does not know/], ['{"song":{}}', /kind this hub does not know/], ['{"clockAsk":{},"heartbeat":{}}', /exclude/],
        ['{"clockAsk":{"sent":-1}}', /clock_ask\.sent/], ['{"clockAsk":{"sent":1e10}}', /clock_ask\.sent/], ['{"clockAsk":{"sent":"1e9"}}', /clock_ask\.sent/],
        ['{"clockAsk":{"sent":1e999}}', /number/], ['{"subscribe":{"mats":7}}', /subscribe\.mats/], ['{"subscribe":{"mats":[0]}}', /subscribe\.mats/],
        [submit({ plain: "PLAIN_SONG" }), /call\.plain/], [submit({ plain: 99 }), /call\.plain/], [submit({ reason: "PENALTY_REASON_SONG" }), /call\.reason/],
        [submit({ mat: 65_536 }), /call\.mat/], [submit({ seen: "abc" }), /call\.seen/], [submit({ osaekomi: "SIDE_WHITE" }), /exclude/],
        ['{"hello":{"hand":"\\ud800"}}', /\\u/], ["[".repeat(60_000), /nested/], ['{"x":' + "[".repeat(30_000), /nested/], [`{"x":[0${",0".repeat(30_000)}]}`, /1000 values/],
    ]) {
        const line = await JsonLine.greeted(hub.port);
        line.say(text);
        const { comeBack } = await leaves(line, 1007, "REASON_UNREADABLE", words); // 9; RFC 6455, 7.4.1
        assert.equal(comeBack, false);
    }
    other.send("clockAsk", { sent: 5 }); // and nobody else noticed
    assert.equal((await other.next("clockAnswer")).sent, 5);
    assert.equal((await hub.ready()).number, number);
});

test("a goodbye has its reason in every other case too", limit, async (t) => {
    const hub = await begin(t);
    const early = await JsonLine.open(hub.port);
    early.send("clockAsk", { sent: 1 });
    await leaves(early, 1008, "REASON_HELLO_FIRST", /hello/i); // 3
    const strange = await JsonLine.open(hub.port);
    strange.send("hello", { schema: 3, role: "ROLE_OF_TOMORROW" });
    await leaves(strange, 1008, "REASON_OTHER_SCHEMA", /[Rr]eload/); // 9
    const big = await JsonLine.greeted(hub.port);
    big.say(`{"heartbeat":{}${" ".repeat(64 * 1024)}}`);
    await leaves(big, 1009, "REASON_TOO_BIG", /64 KiB/); // 10
    const most = await JsonLine.greeted(hub.port);
    most.say(`{"clockAsk":{"sent":3}}`.padEnd(64 * 1024));
    assert.equal((await most.next("clockAnswer")).sent, 3);
    hub.child.kill("SIGTERM");
    const { comeBack } = await leaves(most, 1001, "REASON_STOPPING", /stopped/);
    assert.equal(comeBack, true);
});

test("each connection speaks one flavour and says which", limit, async (t) => {
    const hub = await begin(t);
    const line = await JsonLine.greeted(hub.port);
    line.socket.send(Buffer.from('{"heartbeat":{}}'), { binary: true });
    await leaves(line, 1003, "REASON_UNREADABLE", /speaks honbu\.v1\.json: text messages.*honbu\.v1\.proto/); // 9; RFC 6455, 7.4.1
    const binary = await JsonLine.open(hub.port, "honbu.v1.proto");
    binary.say('{"heartbeat":{}}');
    const { code, words } = await binary.closed;
    assert.equal(code, 1003);
    assert.match(words, /speaks honbu\.v1\.proto: binary messages.*honbu\.v1\.json/);
});

test("text that is not UTF-8 ends the connection", limit, async (t) => {
    const hub = await begin(t);
    for (const bytes of ["ff", "c080", "eda080", "f4908080", "e282"]) { // RFC 3629, 3 and 10
        const line = await JsonLine.greeted(hub.port);
        line.socket.send(Buffer.concat([Buffer.from('{"heartbeat":{},"x":"'), Buffer.from(bytes, "hex"), Buffer.from('"}')]), { binary: false });
        assert.equal((await line.closed).code, 1007, bytes); // RFC 6455, 8.1
        const { value } = line.heard.find(({ kind }) => kind === "goodbye"); // docs/protocol.md, 9
        assert.match(value.words, /not UTF-8/);
    }
});
