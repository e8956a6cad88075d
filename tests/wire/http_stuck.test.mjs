// Whoever takes nothing for half a minute is let go: a stream of events as well as a WebSocket (docs/http.md, 5).
import assert from "node:assert/strict";
import { connect } from "node:net";
import { test } from "node:test";
import { competition, scratch, serve } from "./one_hub.mjs";
import { Table } from "./table.mjs";

test("a stream whose reader takes nothing is cut, and the others go on", { timeout: 180_000 }, async (t) => {
    const folder = scratch(t);
    const hub = await serve(t, folder, { more: ["--competition", competition(folder, { bouts: 3 })] });
    const figure = async (series) => {
        const text = await (await fetch(`${hub.url}/metrics`)).text();
        return Number(text.split("\n").find((line) => line.startsWith(`${series} `)).split(" ").at(-1));
    };
    const table = await Table.sit(hub.port, "00000000000000a1", 1);
    await table.make(1, { plain: "PLAIN_CALLED" });
    const stuck = connect(hub.port, "127.0.0.1");
    t.after(() => stuck.destroy());
    stuck.on("error", () => {}); // the hub cuts it
    stuck.pause();
    await new Promise((open) => stuck.once("connect", open));
    stuck.write("GET /v1/events HTTP/1.1\r\nHost: hub.example\r\n\r\n");
    while ((await figure('honbu_connections{role="events"}')) !== 1);

    // Each taking of the mat is a new view, until the system's buffers for that connection are full.
    const tables = [await Table.connect(hub.port, "00000000000000b2"), table];
    const waiting = () => figure('honbu_queue_bytes{for="clients"}');
    const pushed = 'honbu_feed_lag{of="views"}';
    for (let full = false; !full; ) {
        for (let i = 0; i < 100; ++i) {
            tables[i % 2].client.send({ case: "takeMat", value: { mat: 1, takeOver: true } });
            await tables[i % 2].allotted();
        }
        full = (await waiting()) > 0 && (await figure(pushed)) > 0;
    }
    const bytes = await waiting();
    assert.ok(bytes < 64 * 1024, `${bytes} bytes wait for it, however much there was to say`);
    assert.equal(await figure(pushed), 1); // one slot for the view
    while ((await figure('honbu_connections{role="events"}')) !== 0) await new Promise((next) => setImmediate(next));
    assert.equal(await waiting(), 0);
    for (const one of tables) one.close();
});
