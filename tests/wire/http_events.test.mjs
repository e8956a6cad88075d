// Server-sent events: views skip to the newest, results never skip, and a reader goes on where it was. Sources: HTML Living
// Standard, 9.2 (server-sent events), RFC 9110 and 9112; the names of the events are ours (docs/http.md).
import assert from "node:assert/strict";
import { test } from "node:test";
import { EventReader } from "./event_source.mjs";
import { competition, oneHub, scratch, serve } from "./one_hub.mjs";
import { RawLine, request } from "./raw_line.mjs";
import { Table } from "./table.mjs";

const limit = { timeout: 30_000 };
const hub = oneHub();
const Host = "hub.example:8080";

test("a stream begins with the hub, then the newest of each mat", limit, async () => {
    const reader = await EventReader.open(hub.port, "?mats=1,3");
    assert.equal(reader.status, 200);
    assert.match(reader.headers["content-type"], /^text\/event-stream/); // 9.2.8
    assert.equal(reader.headers["cache-control"], "no-store"); // 9.2.7 asks for it
    const { data } = await reader.next("hub");
    assert.deepEqual(data.mats, [1, 2, 3]);
    assert.deepEqual([(await reader.next("mat")).data.mat.mat, (await reader.next("mat")).data.mat.mat], [1, 3]);
    assert.ok(reader.retry > 0); // 9.2.6
    assert.equal(reader.lastId, ""); // views have none

    const table = await Table.sit(hub.port, "00000000000000a1", 1);
    const { record } = await table.make(table.allotment.bouts[0].bout, { plain: "PLAIN_CALLED" });
    const shown = await reader.next("mat", ({ mat }) => mat.frames.length > 0);
    assert.deepEqual([shown.data.number, shown.data.mat.bout.bout], [record, table.allotment.bouts[0].bout]);
    assert.deepEqual(shown.data, await (await fetch(`${hub.url}/v1/mats/1`)).json());
    reader.close();
    table.close();
});

test("results come in order, and again from any position, and also after a restart", limit, async (t) => {
    const folder = scratch(t);
    const first = await serve(t, folder, { more: ["--competition", competition(folder, { bouts: 6 })] });
    const reader = await EventReader.open(first.port, "?results_after=0");
    const table = await Table.sit(first.port, "00000000000000b2", 1);
    const records = [];
    for (const bout of [1, 2, 3]) records.push((await table.confirm(bout)).record);
    const opened = await table.make(2, { reopen: "GROUND_SLIP" });
    const { epoch } = (await reader.next("hub")).data;
    const ids = records.map((record) => `${epoch}-${record}`);
    for (const [i, bout] of [1, 2, 3].entries()) {
        const { id, data } = await reader.next("result");
        assert.deepEqual([id, data.number, data.result.bout.bout], [ids[i], records[i], bout]);
    }
    const again = await reader.next("reopened");
    assert.deepEqual([again.id, again.data.reopened], [`${epoch}-${opened.record}`, { number: opened.record, mat: 1, bout: 2, replaces: records[1] }]);
    assert.equal(reader.lastId, again.id);
    reader.close();
    await table.close();

    const read = async (port, query, headers) => {
        const one = await EventReader.open(port, query, headers);
        await one.until(() => one.lastId === again.id);
        one.close();
        return one.events.filter(({ name }) => name !== "hub" && name !== "mat").map(({ id }) => id);
    };
    const all = [...ids, again.id];
    await first.stop("SIGKILL");
    const second = await serve(t, folder);
    assert.deepEqual(await read(second.port, "?results_after=0"), all);
    assert.deepEqual(await read(second.port, ""), all);
    assert.deepEqual(await read(second.port, `?results_after=${records[1]}`), all.slice(2));
    assert.deepEqual(await read(second.port, `?results_after=${ids[1]}`), all.slice(2));
    assert.deepEqual(await read(second.port, "?results_after=0", { "Last-Event-ID": ids[0] }), all.slice(1)); // 9.2.3
    // Another journal's position, and one that this journal has not reached, are none.
    assert.deepEqual(await read(second.port, "?results_after=0", { "Last-Event-ID": `00000000000000ff-${records[2]}` }), all);
    assert.deepEqual(await read(second.port, "?results_after=0", { "Last-Event-ID": `${epoch}-4000000000` }), all);
    // Who is up to date waits for what is new.
    const late = await EventReader.open(second.port, "?results_after=0", { "Last-Event-ID": again.id });
    const next = await Table.sit(second.port, "00000000000000b2", 1, { run: "00000000000000b3" });
    const { record } = await next.confirm(4);
    assert.equal((await late.next("result")).data.number, record);
    assert.equal(late.events.filter(({ name }) => name === "reopened").length, 0);
    late.close();
    next.close();
});

test("what can't be followed is refused with a sentence", limit, async () => {
    const bad = ["?mats=", "?mats=x", "?mats=1,,2", "?mats=01", "?mats=-1", "?mats=9", "?mats=1;2", "?results_after=", "?results_after=-1", "?results_after=x", "?results_after=1.5",
        "?results_after=4294967296", "?results_after=9c41-1", "?mat=1", "?mats=%zz", "?mats=%", `?mats=${Array(65).fill(1).join(",")}`];
    for (const query of bad) {
        const answer = await fetch(`${hub.url}/v1/events${query}`);
        assert.equal(answer.status, 400, query);
        assert.match(await answer.text(), /^[A-Z].{10,}\n$/, query);
    }
    for (const id of ["x", "42", "9c41d7e20b6f5a18-", "9c41d7e20b6f5a18-x"]) {
        assert.equal((await fetch(`${hub.url}/v1/events`, { headers: { "Last-Event-ID": id } })).status, 400, id);
    }
    for (const method of ["POST", "DELETE"]) assert.equal((await fetch(`${hub.url}/v1/events`, { method })).status, 405); // RFC 9110, 15.5.6
    // RFC 3986, 2.1: a comma may come escaped.
    const reader = await EventReader.open(hub.port, "?mats=1%2C2");
    assert.deepEqual([(await reader.next("mat")).data.mat.mat, (await reader.next("mat")).data.mat.mat], [1, 2]);
    reader.close();
    const head = await fetch(`${hub.url}/v1/events`, { method: "HEAD" }); // 9.3.2
    assert.deepEqual([head.status, head.headers.get("content-type"), await head.text()], [200, "text/event-stream", ""]);
});

test("a stream is the end of its connection, and carries the security headers", limit, async () => {
    const line = await RawLine.open(hub.port);
    line.write(request("/v1/events?mats=2", { Host }));
    const { status, fields } = await line.head();
    assert.equal(status, 200);
    assert.equal(fields.get("connection").toLowerCase(), "close"); // RFC 9112, 9.6
    assert.equal(fields.get("content-length"), undefined); // 6.3: until the connection ends
    assert.equal(fields.get("transfer-encoding"), undefined);
    assert.equal(fields.get("x-content-type-options"), "nosniff");
    assert.match(fields.get("content-security-policy"), /default-src 'none'/);
    line.close();
});

const figure = async (at, series) => {
    const line = (await (await fetch(`${at.url}/metrics`)).text()).split("\n").find((one) => one.startsWith(`${series} `));
    return Number(line.split(" ").at(-1));
};

test("whoever leaves is forgotten, and whoever sends without end is let go", limit, async (t) => {
    const own = await serve(t, scratch(t));
    const streams = () => figure(own, 'honbu_connections{role="events"}');
    const readers = await Promise.all([1, 2, 3].map(() => EventReader.open(own.port)));
    for (const reader of readers) await reader.next("hub");
    assert.equal(await streams(), 3);
    for (const reader of readers) reader.close();
    while ((await streams()) !== 0);
    const line = await RawLine.open(own.port);
    line.write(request("/v1/events", { Host }) + "x".repeat(200_000));
    while (!line.over) await new Promise((wake) => (line.wake = wake));
    line.close();
    while ((await streams()) !== 0);
});

test("a reader that reads nothing holds nobody up, and gets the newest view when it reads again", limit, async (t) => {
    const folder = scratch(t);
    const own = await serve(t, folder, { more: ["--competition", competition(folder, { bouts: 3 })] });
    const table = await Table.sit(own.port, "00000000000000c3", 1);
    const slow = await EventReader.open(own.port, "?mats=all&results_after=0");
    await slow.next("mat");
    slow.response.pause();
    const quick = await EventReader.open(own.port, "?mats=1");
    await table.make(1, { plain: "PLAIN_CALLED" });
    // Enough views to fill what the system buffers for one connection many times over, if they were all kept.
    let last;
    for (let i = 0; i < 2_000; ++i) {
        const what = i % 2 === 0 ? { plain: "PLAIN_REVIEW" } : { plain: "PLAIN_REVIEW_OVER" };
        last = table.submit(table.call(1, what));
        if (i % 50 === 49) await table.answer(last);
    }
    const { number } = await (await fetch(`${own.url}/v1/mats/1`)).json();
    assert.equal((await quick.next("mat", (data) => data.number === number)).data.mat.mat, 1);
    assert.ok((await figure(own, 'honbu_feed_lag{of="views"}')) <= 1); // one slot for each view
    assert.ok((await figure(own, 'honbu_queue_bytes{for="clients"}')) < 64 * 1024);
    slow.response.resume();
    await slow.next("mat", (data) => data.number === number);
    for (const reader of [slow, quick]) reader.close();
    table.close();
});

test("a stopping hub says goodbye, and a stream without news carries signs of life", limit, async (t) => {
    const own = await serve(t, scratch(t));
    const reader = await EventReader.open(own.port);
    await reader.next("hub");
    while (reader.comments === 0) await new Promise((wake) => reader.waiting.push(() => (wake(), true))); // 9.2.7: comments against idle proxies
    own.stop("SIGTERM");
    const { data } = await reader.next("goodbye");
    assert.equal(data.comeBack, true);
    assert.match(data.words, /^The hub was stopped\./);
    await reader.ended();
    assert.deepEqual(await own.ended, { code: 0, signal: null });
});
