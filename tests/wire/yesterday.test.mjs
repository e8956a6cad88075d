// Pages that were open while the hub was made newer: a table and a hall screen of schema 1 with the hub of today. What they
// send is encoded and what they hear is decoded by protoc with yesterday's schema (yesterday/hub.proto), so that nothing of
// today's helps. proto/README.md: a new field means "as before" when it is absent; unknown ones are passed over (Protocol
// Buffers, "Updating A Message Type").
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { test } from "node:test";
import { require } from "../packages.mjs";
import { oneHub } from "./one_hub.mjs";
import { decoded, encoded, quoted, yesterday } from "./protoc.mjs";

const { WebSocket } = require("ws");
const limit = { timeout: 60_000 };
const hub = oneHub();

const device = "00000000000000a1";
const run = "00000000000000b1";

class OldPage {
    static async open(hello) {
        const page = new OldPage();
        page.heard = [];
        page.socket = new WebSocket(`ws://127.0.0.1:${hub.port}/ws`, "honbu.v1.proto");
        page.closed = new Promise((closed) => page.socket.on("close", closed));
        page.socket.on("message", (bytes) => {
            page.heard.push(decoded(yesterday, "ToClient", bytes));
            page.wake?.();
        });
        await new Promise((open, failed) => page.socket.on("open", open).on("error", failed));
        page.alive = setInterval(() => page.send("heartbeat {}"), 2_000);
        page.socket.on("close", () => clearInterval(page.alive));
        page.send(`hello { schema: 1 ${hello} }`);
        page.welcome = await page.next("welcome");
        return page;
    }
    send(text) {
        this.socket.send(encoded(yesterday, "ToHub", text));
    }
    // The next message of a kind that fits. What yesterday's schema has no name for is under its number, and passed over.
    async next(kind, fits = () => true) {
        for (;;) {
            const at = this.heard.findIndex((message) => message[kind] && fits(message[kind][0]));
            if (at >= 0) return this.heard.splice(at, 1)[0][kind][0];
            await new Promise((wake) => (this.wake = wake));
        }
    }
    // Sends the next call; its verdict.
    async make(what) {
        const { mat, term } = this.allotment;
        const number = (this.number = (this.number ?? 0) + 1);
        this.send(`submit { call { id { run: "${run}" number: ${number} } term: ${term} mat: ${mat} bout: ${this.bout.bout} entered: ${1_000 + number * 100} ${what} } }`);
        return this.next("verdict", ({ call: [id] }) => id.number[0] === number);
    }
    close() {
        this.socket.terminate();
        return this.closed;
    }
}
// What stands under a name, or under the number of what yesterday's schema does not know.
const unknown = (message) => Object.keys(message).filter((name) => /^\d+$/.test(name));

test("a hall screen and a table of yesterday take a bout from its call to its result", limit, async () => {
    const hall = await OldPage.open("role: ROLE_HALL");
    assert.match(hall.welcome.epoch[0], /^[0-9a-f]{16}$/);
    assert.deepEqual([hall.welcome.title, hall.welcome.mats, hall.welcome.rehearsal_rate], [["Evening Cup"], [1, 2, 3], [1]]);
    assert.ok(unknown(hall.welcome).length > 0, "today's welcome says more");
    hall.send("subscribe { all_mats: true results: true }");
    for (const mat of [1, 2, 3]) {
        const view = await hall.next("mat", (one) => one.mat[0] === mat);
        assert.ok(view.next[0].white[0].name[0], "who comes next");
    }

    const table = await OldPage.open(`role: ROLE_TABLE device: "${device}" run: "${run}" fold_version: ${hall.welcome.fold_version} hand: "Ngaio"`);
    table.send("clock_ask { sent: 1500 }");
    const answer = await table.next("clock_answer");
    assert.equal(answer.sent[0], 1_500);
    table.send(`run_clock { run: "${run}" run_ms: 1510 hub_ms: ${answer.hub_ms} }`);
    table.send("take_mat { mat: 1 }");
    table.allotment = await table.next("allotment");
    assert.deepEqual([table.allotment.mat, table.allotment.term], [[1], [1]]);
    table.bout = table.allotment.bouts[0];
    assert.equal(table.bout.time_ms[0], 240_000);
    assert.ok(table.bout.white[0].person[0] > 0 && table.bout.blue[0].name[0], "who fights");
    await hall.next("mat", ({ mat, table: line }) => mat[0] === 1 && line?.[0] === "TABLE_LINE_LIVE");

    for (const what of ["plain: PLAIN_CALLED", "plain: PLAIN_HAJIME", "score { to: SIDE_WHITE level: LEVEL_WAZA_ARI }", "plain: PLAIN_MATE"]) {
        const verdict = await table.make(what);
        assert.deepEqual([verdict.kind, unknown(verdict)], [["KIND_APPLIED"], []], what);
        assert.ok(verdict.record[0] > 0);
    }
    const stopped = await hall.next("mat", ({ frames }) => frames?.[0].phase[0] === "PHASE_STOPPED");
    assert.deepEqual([stopped.bout[0].bout, stopped.frames[0].white[0].waza_ari], [table.bout.bout, [1]]);

    for (const what of ["award { to: SIDE_WHITE way: WAY_KIKEN_GACHI }", "plain: PLAIN_SORE_MADE", "plain: PLAIN_KACHI"]) {
        assert.deepEqual((await table.make(what)).kind, ["KIND_APPLIED"], what);
    }
    const rules = Buffer.from(table.allotment.rules[table.bout.rules?.[0] ?? 0], "latin1");
    const hash = quoted(createHash("sha256").update(rules).digest());
    const confirm = `confirm { winner: WINNER_WHITE way: WAY_KIKEN_GACHI white { waza_ari: 1 } rules_hash: ${hash} fold_version: ${hall.welcome.fold_version} }`;
    const confirmed = await table.make(confirm);
    assert.deepEqual(confirmed.kind, ["KIND_APPLIED"]);
    const finished = await hall.next("finished");
    assert.deepEqual([finished.number, finished.mat, finished.bout[0].bout], [confirmed.record, [1], table.bout.bout]);
    assert.deepEqual([finished.result[0].winner, finished.result[0].way], [["WINNER_WHITE"], ["WAY_KIKEN_GACHI"]]);
    assert.match(finished.words[0], /^white wins by kiken-gachi/);

    // Opened again and confirmed anew: what says that the first result does not stand has no name yet; the second has.
    assert.deepEqual((await table.make("reopen: GROUND_SLIP")).kind, ["KIND_APPLIED"]);
    assert.deepEqual((await table.make("plain: PLAIN_KACHI")).kind, ["KIND_APPLIED"]);
    const anew = await table.make(confirm);
    assert.deepEqual((await hall.next("finished")).number, anew.record);

    // Its page is loaded again: the same device, another run, what the hub has of the first.
    await table.close();
    const back = await OldPage.open(`role: ROLE_TABLE device: "${device}" run: "00000000000000b2" fold_version: ${hall.welcome.fold_version}`);
    assert.deepEqual(back.welcome.runs, [{ run: [run], last: [table.number] }]);
    back.send("take_mat { mat: 1 }");
    const again = await back.next("allotment");
    assert.deepEqual([again.term, again.bouts[0].confirmed, again.bouts[0].calls.length], [[1], ["true"], table.number]);
    await back.close();
    await hall.close();
});

test("a table of yesterday hears who has its mat now, and is refused in words", limit, async () => {
    const hall = await OldPage.open("role: ROLE_BOARD");
    const sit = (one) => OldPage.open(`role: ROLE_TABLE device: "00000000000000c${one}" run: "00000000000000d${one}" fold_version: ${hall.welcome.fold_version} hand: "Renske"`);
    const first = await sit(1);
    first.send("take_mat { mat: 2 }");
    await first.next("allotment");
    const second = await sit(2);
    second.send("take_mat { mat: 2 }");
    const refusal = await second.next("refusal");
    assert.deepEqual(refusal.reason, ["REASON_MAT_HELD"]);
    assert.match(refusal.words[0], /^Another table is in charge of mat 2\..*\.$/);
    second.send("take_mat { mat: 2 take_over: true }");
    assert.deepEqual((await second.next("allotment")).term, [2]);
    const lost = await first.next("mat_lost");
    assert.deepEqual([lost.mat, lost.term], [[2], [2]]);
    assert.ok(lost.words[0].length > 0);
    second.send(`take_mat { mat: 99 }`);
    assert.deepEqual((await second.next("refusal")).reason, ["REASON_NO_SUCH_MAT"]);

    // What can't be read ends the line with a goodbye.
    second.send('hello { schema: 1 role: ROLE_TABLE device: "nobody" }');
    const goodbye = await second.next("goodbye");
    assert.deepEqual(goodbye.reason, ["REASON_UNREADABLE"]);
    assert.match(goodbye.words[0], /hello\.device/);
    await second.closed;
    for (const one of [first, hall]) await one.close();
});

test("whatever the hub sent could be read, and had a name or a number", limit, async () => {
    const hall = await OldPage.open("role: ROLE_DESK");
    hall.send("subscribe { all_mats: true results: true }");
    await hall.next("mat");
    for (const message of hall.heard) assert.equal(Object.keys(message).length, 1, JSON.stringify(message));
    await hall.close();
});
