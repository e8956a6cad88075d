// The page at /openapi.json against the running hub: every path and status in it is asked for, and every answer must fit
// what the page says. Sources: OpenAPI 3.1.0, whose schemas are JSON Schema 2020-12 (ajv checks them); enums by hub.proto.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { require } from "../packages.mjs";
import { wire } from "../wire_client.mjs";
import { demo } from "../crash/hub.mjs";
import { EventReader } from "./event_source.mjs";
import { competition, oneHub, scratch, serve } from "./one_hub.mjs";
import { Table, screen } from "./table.mjs";

const Ajv = require("ajv/dist/2020").default;
const limit = { timeout: 60_000 };
const hub = oneHub();
const page = JSON.parse(readFileSync(new URL("../../docs/openapi.json", import.meta.url)));
const ajv = new Ajv({ strict: true, allErrors: true });
ajv.addVocabulary(["components", "paths", "openapi", "info"]);
ajv.addSchema(page, "page");

const pointer = (path) => `page#${path.map((step) => `/${encodeURIComponent(String(step).replaceAll("~", "~0").replaceAll("/", "~1"))}`).join("")}`;
function fits(path, value, where) {
    const check = ajv.getSchema(pointer(path)) ?? ajv.compile({ $ref: pointer(path) });
    assert.ok(check(value), `${where}: ${ajv.errorsText(check.errors, { separator: "; " })}`);
}
const component = (name, value, where) => fits(["components", "schemas", name], value, where);

// One answer, held against what the page says of its path and status.
const asked = new Set();
async function ask(at, path, values = {}, headers = {}) {
    const target = path.replace(/\{(\w+)\}/g, (_, name) => values[name]) + (values.query ?? "");
    const answer = await fetch(at.url + target, { headers });
    const said = page.paths[path].get.responses[answer.status];
    const where = `GET ${target}: ${answer.status}`;
    assert.ok(said, `${where} is not on the page`);
    asked.add(`${path} ${answer.status}`);
    for (const [name, { schema }] of Object.entries(said.headers ?? {})) {
        const value = answer.headers.get(name);
        assert.notEqual(value, null, `${where}: ${name} is missing`);
        if (schema.const) assert.equal(value, schema.const, `${where}: ${name}`);
    }
    if (!said.content) {
        assert.equal(await answer.text(), "", where);
        return answer;
    }
    const [[type]] = Object.entries(said.content);
    assert.equal(answer.headers.get("content-type").split(";")[0], type, where);
    if (type === "text/event-stream") {
        await answer.body.cancel();
        return answer;
    }
    const text = await answer.text();
    fits(["paths", path, "get", "responses", answer.status, "content", type, "schema"], type === "application/json" ? JSON.parse(text) : text, where);
    return answer;
}

test("the hub serves the page of this source", limit, async () => {
    assert.deepEqual(await (await fetch(`${hub.url}/openapi.json`)).json(), page);
});

test("docs/http.md names every address and figure, and no other", limit, async () => {
    const prose = readFileSync(new URL("../../docs/http.md", import.meta.url), "utf8");
    const first = (pattern) => [...prose.matchAll(pattern)].map((match) => match[1]).sort();
    assert.deepEqual(first(/^\| `(\/[^`]*)` \|/gm), Object.keys(page.paths).sort());
    const figures = [...(await (await fetch(`${hub.url}/metrics`)).text()).matchAll(/^# TYPE (\w+)/gm)].map((match) => match[1]);
    assert.deepEqual(first(/^\| `(honbu_\w+)/gm), figures.sort());
});

test("every enum on the page is that of the schema of the wire", limit, () => {
    const known = new Map();
    for (const one of [...Object.values(wire)]) if (one?.kind === "enum") known.set(one.name, one.values.map(({ name }) => name));
    for (const message of Object.values(wire).filter((one) => one?.kind === "message")) {
        for (const one of message.nestedEnums ?? []) known.set(one.name, one.values.map(({ name }) => name));
    }
    const enums = Object.entries(page.components.schemas).filter(([, schema]) => schema.enum);
    assert.ok(enums.length >= 8);
    for (const [name, schema] of enums) assert.deepEqual(schema.enum, known.get(name), name);
});

test("every path and status on the page is answered as it says", limit, async (t) => {
    // A day in small: a bout with a hold that runs, one with an absence, one won, one opened again, one not begun.
    const table = await Table.sit(hub.port, "00000000000000a1", 1);
    const bouts = table.allotment.bouts.filter(({ white, blue }) => white.person && blue.person).map(({ bout }) => bout);
    await table.confirm(bouts[0]);
    await table.confirm(bouts[1]);
    await table.make(bouts[1], { reopen: "GROUND_REFEREE" });
    const other = await Table.sit(hub.port, "00000000000000b2", 2);
    const [held] = other.allotment.bouts.map(({ bout }) => bout);
    for (const what of [{ plain: "PLAIN_CALLED" }, { plain: "PLAIN_HAJIME" }, { shido: "SIDE_WHITE", reason: "PENALTY_REASON_LEAVING_AREA" }, { osaekomi: "SIDE_BLUE" }]) {
        assert.equal((await other.make(held, what)).kind, 1, JSON.stringify(what));
    }
    const third = await Table.sit(hub.port, "00000000000000c3", 3);
    const [missing] = third.allotment.bouts.map(({ bout }) => bout);
    for (const what of [{ plain: "PLAIN_CALLED" }, { absent: "SIDE_BLUE" }]) assert.equal((await third.make(missing, what)).kind, 1);

    const paths = { "/v1/mats/{mat}": [{ mat: 1 }, { mat: 2 }, { mat: 3 }], "/v1/bouts/{bout}": [bouts[0], bouts[1], bouts[2], held, missing].map((bout) => ({ bout })) };
    paths["/v1/bouts/{bout}.csv"] = paths["/v1/bouts/{bout}"];
    const frames = (await (await fetch(`${hub.url}/v1/mats`)).json()).mats.flatMap((mat) => mat.frames);
    for (const part of ["hold", "absence"]) assert.ok(frames.some((frame) => frame[part]), `${part} is tried`);
    for (const [path, { get }] of Object.entries(page.paths)) {
        for (const values of paths[path] ?? [{}]) {
            const answer = await ask(hub, path, values);
            assert.equal(answer.status, 200, path);
            if (get.responses[304]) assert.equal((await ask(hub, path, values, { "If-None-Match": answer.headers.get("etag") })).status, 304);
        }
        if (get.responses[404]) await ask(hub, path, { mat: 99, bout: 99_999 });
    }
    await ask(hub, "/v1/events", { query: "?mats=none" });

    const desk = await screen(hub.port, undefined, "ROLE_DESK", { device: "00000000000000e5" });
    desk.send({ case: "erasePerson", value: { request: 1, person: 1, reason: "asked for it" } });
    await desk.next("done");

    // The data of each event.
    const reader = await EventReader.open(hub.port);
    component("Hub", (await reader.next("hub")).data, "hub");
    for (let mat = 1; mat <= 3; ++mat) component("MatDocument", (await reader.next("mat")).data, "mat");
    component("ResultEvent", (await reader.next("result")).data, "result");
    component("ReopenedEvent", (await reader.next("reopened")).data, "reopened");
    component("RenamedEvent", (await reader.next("renamed")).data, "renamed");
    reader.close();
    for (const one of [table, other, third, desk]) one.close();
});

const ownMounts = spawnSync("unshare", ["-rm", "mount", "-t", "tmpfs", "tmpfs", "/mnt"]).status === 0 ? false : "no mounts of its own";
test("a hub without room and one that stops answer as the page says", { ...limit, skip: ownMounts }, async (t) => {
    const disk = join(scratch(t), "disk");
    mkdirSync(disk);
    const before = ["unshare", "-rm", "sh", "-c", `mount -t tmpfs -o size=2m tmpfs ${disk} && exec "$@"`, "sh"];
    const own = await serve(t, disk, { more: ["--competition", demo], before });
    const table = await Table.sit(own.port, "00000000000000d4", 1);
    const ballast = join("/proc", String(own.child.pid), "root", disk, "ballast");
    assert.throws(() => writeFileSync(ballast, Buffer.alloc(4 << 20)), { code: "ENOSPC" }); // write(2)
    for (let i = 0; (await own.ready()).room; ++i) table.submit(table.call(1, { plain: i % 2 ? "PLAIN_REVIEW_OVER" : "PLAIN_REVIEW" }));
    assert.equal((await ask(own, "/readyz")).status, 503);
    const figures = await (await ask(own, "/metrics")).headers;
    assert.ok(figures);
    assert.match(await (await fetch(`${own.url}/metrics`)).text(), /^honbu_disk_full 1$/m);
    rmSync(ballast);
    const reader = await EventReader.open(own.port, "?results_after=0");
    own.stop("SIGTERM");
    component("GoodbyeEvent", (await reader.next("goodbye")).data, "goodbye");
});

test("nothing on the page was left out", () => {
    const all = Object.entries(page.paths).flatMap(([path, { get }]) => Object.keys(get.responses).map((status) => `${path} ${status}`));
    const left = all.filter((one) => !asked.has(one) && !(ownMounts && one === "/readyz 503"));
    assert.deepEqual(left, []);
});
