// The hub's log: docs/operation.md, section 2. ENOSPC of /dev/full: full(4).
import assert from "node:assert/strict";
import { createHash, randomBytes } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { demo, honbu, scratch, serve } from "./hub.mjs";
import { Table } from "./table.mjs";

const limit = { timeout: 30_000 };
const kept = (data) => readFileSync(join(data, "log", "honbu.log"), "utf8");

test("it is kept in the hub's folder, and goes on after a restart", limit, async (t) => {
  const data = scratch(t);
  for (const _ of [1, 2]) {
    const hub = await serve(t, data);
    await hub.stop("SIGTERM");
    assert.match(hub.err, /^\d\d:\d\d:\d\d Honbu \S+ has begun with 1 record and listens at 127\.0\.0\.1:\d+\.$/m);
  }
  assert.equal(kept(data).match(/^\d{4}-\d\d-\d\d \d\d:\d\d:\d\d\.\d{3} info hub: Honbu /gm).length, 2);
  assert.equal(kept(data).match(/ info net: Stopping: /g).length, 2);
});

test("as JSON, one object a line", limit, async (t) => {
  const data = scratch(t);
  const hub = await serve(t, data, { more: ["--log-json"] });
  await hub.stop("SIGTERM");
  for (const text of [hub.err, kept(data)]) {
    const lines = text.trim().split("\n").map((line) => JSON.parse(line));
    assert.ok(lines.length >= 2);
    for (const line of lines) {
      assert.deepEqual(Object.keys(line), ["time", "level", "part", "words"]);
      assert.match(line.time, /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$/); // RFC 3339, 5.6
      assert.ok(Math.abs(Date.parse(line.time) - Date.now()) < 60_000, line.time);
    }
    assert.match(lines[0].words, /^Honbu /);
  }
});

test("only what is asked for", limit, async (t) => {
  const data = scratch(t);
  const hub = await serve(t, data, { more: ["--log-level", "error"] });
  await hub.stop("SIGTERM");
  assert.deepEqual([hub.err, existsSync(join(data, "log"))], ["", false]);
});

test("a new file begins after so many bytes, and so many are kept", limit, async (t) => {
  const data = scratch(t);
  mkdirSync(join(data, "log"));
  const file = join(data, "log", "honbu.log");
  for (const round of [1, 2, 3, 4]) {
    writeFileSync(file, "x".repeat(1024 * 1024 - 20)); // of 1 MiB nearly all
    const hub = await serve(t, data, { more: ["--log-size", "1", "--log-files", "3"] });
    await hub.stop("SIGTERM");
    assert.equal(readdirSync(join(data, "log")).length, Math.min(3, round + 1));
    assert.match(kept(data), /Honbu /);
  }
});

test("a log that can't be written stops nothing", limit, async (t) => {
  const data = scratch(t);
  mkdirSync(join(data, "log"));
  symlinkSync("/dev/full", join(data, "log", "honbu.log"));
  const hub = await serve(t, data, { more: ["--competition", demo] });
  const table = await Table.connect(hub.port, "00000000000000aa");
  assert.equal((await hub.ready()).room, true);
  table.socket.terminate();
  await hub.stop("SIGTERM");
  assert.match(hub.err, /Honbu /); // still told here
  assert.equal(hub.err.match(/The log file .* can't be written/g)?.length ?? 0, 1);

  const other = join(scratch(t), "data");
  const second = await serve(t, other, { more: ["--log-file", "/proc/none/honbu.log"] });
  assert.equal((await second.ready()).number, 1);
  await second.stop("SIGTERM");
  assert.match(second.err, /The log file \/proc\/none\/honbu\.log can't be written/);
  assert.equal(existsSync(join(other, "log")), false);
});

test("no line has a query, a name, a token or the competition's title in it", limit, async (t) => {
  const data = scratch(t);
  const hub = await serve(t, data, { more: ["--competition", demo, "--title", "Secretcup", "--log-level", "debug"] });
  for (const path of ["/v1/events?mats=queryword", "/table?token=queryword", "/nowhere/queryword?x=queryword", "/v1/results.csv"]) {
    await (await fetch(hub.url + path)).text();
  }
  const table = await Table.connect(hub.port, "00000000000000aa");
  table.take?.(1);
  await hub.ready();
  table.socket.terminate();
  await hub.stop("SIGTERM");
  const names = readFileSync(demo, "utf8").split("\n").slice(1).filter(Boolean).flatMap((line) => line.split(",").slice(6))
    .filter((name) => name.length > 3);
  assert.ok(names.length > 20);
  for (const text of [hub.err, kept(data)]) {
    for (const word of ["queryword", ...names]) assert.equal(text.includes(word), false, word);
  }
});

test("no line has a one-time code, a device's secret or the secret's hash in it, and no bundle has", limit, async (t) => {
  const data = scratch(t);
  const hub = await serve(t, data, { more: ["--log-level", "debug"], doors: true });
  const code = honbu("code", "--data", data).out.split("\n")[0];
  assert.match(code, /^[0-9A-Z]{4}-[0-9A-Z]{4}$/);
  const token = randomBytes(32).toString("base64url");
  const { Client } = await import("../wire_client.mjs");
  const desk = await Client.connect(hub.port);
  desk.send({ case: "hello", value: { schema: 2, role: "ROLE_DESK", device: "00000000000000d1", token, hand: "Wilhelmina" } });
  await desk.next("atTheDoor");
  desk.send({ case: "useCode", value: { code } });
  await desk.next("welcome");
  desk.close();
  await hub.stop("SIGTERM");
  const tar = join(scratch(t), "x.tar");
  assert.equal(honbu("support", "--data", data, "--to", tar).code, 0);
  const hash = createHash("sha256").update(Buffer.from(token, "base64url")).digest();
  const textHash = createHash("sha256").update(token).digest();
  for (const text of [hub.err, kept(data), readFileSync(tar, "latin1")]) {
    for (const word of [code, code.replace("-", ""), token, hash.toString("hex"), textHash.toString("hex"), hash.toString("latin1"), textHash.toString("latin1"), "Wilhelmina"]) {
      assert.equal(text.includes(word), false, word);
    }
  }
});
