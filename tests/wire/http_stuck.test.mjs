// Whoever takes nothing for half a minute is let go: a stream of events as well as a WebSocket (docs/http.md, 5).
import assert from "node:assert/strict";
import { readdirSync, readFileSync, readlinkSync } from "node:fs";
import { connect } from "node:net";
import { join } from "node:path";
import { test } from "node:test";
import { connect as connectTls } from "node:tls";
import { competition, honbu, scratch, serve } from "./one_hub.mjs";
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

// The hub cuts its end when others want the place; the gate must not go on waiting for a device that neither reads nor
// writes. /proc tells what a program holds open (proc(5)).
test("through TLS a reader that takes nothing leaves nothing behind in the gate", { timeout: 60_000 }, async (t) => {
    const data = scratch(t);
    assert.equal(honbu("certificates", "--data", data, "--name", "hub.example", "--name", "localhost").code, 0);
    const hub = await serve(t, data, { before: ["sh", "-c", 'ulimit -n 420; exec "$@"', "sh"] });
    const ca = readFileSync(join(data, "certificates", "authority.pem"));
    const sockets = () => {
        const folder = `/proc/${hub.child.pid}/fd`;
        return readdirSync(folder).filter((file) => {
            try {
                return readlinkSync(join(folder, file)).startsWith("socket:");
            } catch {
                return false; // closed meanwhile
            }
        }).length;
    };
    const until = async (fits) => {
        while (!fits()) await new Promise((next) => setTimeout(next, 20));
    };
    const open = () => new Promise((done, failed) => {
        const socket = connectTls({ host: "127.0.0.1", port: hub.port, ca, servername: "hub.example" }, () => done(socket));
        t.after(() => socket.destroy());
        socket.on("error", failed);
    });
    const before = sockets();
    const stuck = await open();
    stuck.pause();
    stuck.write("GET /table.js HTTP/1.1\r\nHost: hub.example\r\n\r\n".repeat(100)); // far more than the system's buffers take
    await until(() => sockets() === before + 3); // the device's, and a pair behind it
    const others = [];
    for (let i = 0; i < 60; ++i) others.push(await open()); // more than there are places at this door
    for (const one of others) one.destroy();
    await until(() => sockets() === before);
    assert.equal(stuck.destroyed, false);
});
