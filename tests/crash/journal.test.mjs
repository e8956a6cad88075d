// The journal under the real program: one hub at a time, never an older program, and nothing acknowledged is lost when
// the program is killed, the disk fills up or a sync fails.
import assert from "node:assert/strict";
import { spawn, spawnSync } from "node:child_process";
import { copyFileSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { demo, freePort, honbu, program, scratch, serve } from "./hub.mjs";
import { Table } from "./table.mjs";

const has = (...line) => spawnSync(line[0], line.slice(1)).status === 0;
const strace = has("strace", "-e", "trace=none", "true") ? false : "strace is not there, or may not trace";
const ownMounts = has("unshare", "-rm", "mount", "-t", "tmpfs", "tmpfs", "/mnt") ? false : "no mounts of its own";

// The terms of mat 1 as the journal has them.
function keptTerms(data) {
  const { code, out, err } = honbu("journal", "show", "--data", data);
  assert.equal(code, 0, err);
  return [...out.matchAll(/mat 1 {2}taken, term (\d+)/g)].map((match) => Number(match[1]));
}

test("a second hub on the same journal is refused by name", async (t) => {
  const data = scratch(t);
  const hub = await serve(t, data);
  const { code, err } = honbu("serve", "--data", data, "--listen", "127.0.0.1:0");
  assert.equal(code, 1);
  assert.match(err, new RegExp(`Another hub \\(process ${hub.child.pid}\\) is already running on the journal`));
  assert.equal(await (await fetch(`${hub.url}/healthz`)).text(), "ok\n");
  assert.equal(honbu("journal", "verify", "--data", data).code, 0); // looking is always allowed
});

test("a newer journal is refused and left as it is", async (t) => {
  const data = scratch(t);
  await (await serve(t, data)).stop("SIGTERM");
  const file = join(data, "journal.sqlite");
  // PRAGMA user_version is the big-endian number at offset 60 (the SQLite file format, 1.3).
  const bytes = readFileSync(file);
  assert.equal(bytes.readUInt32BE(60), 4);
  bytes.writeUInt32BE(5, 60);
  writeFileSync(file, bytes);
  for (const line of [["serve", "--listen", "127.0.0.1:0"], ["journal", "replay"], ["journal", "verify"], ["journal", "show"]]) {
    const { code, err } = honbu(...line, "--data", data);
    assert.equal(code, 1, line.join(" "));
    assert.match(err, /was written by a newer honbu \(schema 5, this one reads 4\)/);
  }
  assert.deepEqual(readFileSync(file), bytes);
});

test("a changed byte is named, and the hub does not start on it", async (t) => {
  const data = scratch(t);
  await (await serve(t, data, { more: ["--competition", demo] })).stop("SIGTERM");
  const file = join(data, "journal.sqlite");
  const bytes = readFileSync(file);
  const at = bytes.indexOf("women -57 kg");
  assert.ok(at > 0);
  bytes[at] ^= 1;
  writeFileSync(file, bytes);
  for (const line of [["serve", "--listen", "127.0.0.1:0"], ["journal", "verify"], ["journal", "replay"]]) {
    const { code, err } = honbu(...line, "--data", data);
    assert.equal(code, 1, line.join(" "));
    assert.match(err, /record 2 is damaged/);
  }
});

// Two tables take the same mat from each other, so every taking raises the term and is one record; the hub is killed
// in the middle of it, again and again on the same journal.
test("whatever was acknowledged survives kill -9", { timeout: 120_000 }, async (t) => {
  const data = scratch(t);
  let acknowledged = 0;
  let epoch;
  for (let round = 0; round < 8; ++round) {
    const hub = await serve(t, data, { more: ["--competition", demo] });
    const ready = await hub.ready();
    epoch ??= ready.epoch;
    assert.equal(ready.epoch, epoch);
    const tables = await Promise.all(["00000000000000aa", "00000000000000bb"].map((device) => Table.connect(hub.port, device)));
    const enough = 10 + 7 * round;
    for (let i = 0; ; ++i) {
      const table = tables[i % 2];
      const before = table.terms.length;
      table.takeOver(1);
      if (i === enough) hub.child.kill("SIGKILL"); // while this one is on its way
      if (!(await table.until(() => table.terms.length > before))) break;
    }
    assert.deepEqual(await hub.ended, { code: null, signal: "SIGKILL" });
    for (const table of tables) acknowledged = Math.max(acknowledged, ...table.terms);
    assert.ok(acknowledged >= enough / 2);
    const kept = keptTerms(data);
    assert.deepEqual(kept, kept.map((_, index) => index + 1)); // every term once, in order
    assert.ok(kept.length >= acknowledged, `acknowledged ${acknowledged}, kept ${kept.length}`);
    assert.equal(honbu("journal", "verify", "--data", data).code, 0);
  }
  // Hub time went on through every restart, and never back.
  const times = [...honbu("journal", "show", "--data", data).out.matchAll(/^\d+ {2}(\d+):(\d+):(\d+)\.(\d+)/gm)].map(
    ([, h, m, s, ms]) => ((Number(h) * 60 + Number(m)) * 60 + Number(s)) * 1000 + Number(ms),
  );
  assert.ok(times.length > acknowledged);
  assert.deepEqual(times, times.slice().sort((a, b) => a - b));
  // And a journal that was killed replays to the same state as its copy.
  const copy = join(scratch(t), "copy");
  mkdirSync(copy);
  for (const name of ["journal.sqlite", "journal.sqlite-wal"]) copyFileSync(join(data, name), join(copy, name));
  assert.equal(honbu("journal", "replay", "--data", copy).out, honbu("journal", "replay", "--data", data).out);
});

test("a full disk acknowledges nothing, says so, and goes on when there is room", { skip: ownMounts, timeout: 60_000 }, async (t) => {
  const disk = join(scratch(t), "disk");
  mkdirSync(disk);
  const script = `mount -t tmpfs -o size=2m tmpfs ${disk} && exec "$@"`;
  const hub = await serve(t, disk, {
    more: ["--competition", demo],
    before: ["unshare", "-rm", "sh", "-c", script, "sh"],
  });
  const inside = join("/proc", String(hub.child.pid), "root", disk);
  const [first, second] = [await Table.connect(hub.port, "00000000000000aa"), await Table.connect(hub.port, "00000000000000bb")];
  first.takeOver(1);
  assert.ok(await first.until(() => first.terms.length === 1));

  const ballast = join(inside, "ballast");
  assert.throws(() => writeFileSync(ballast, Buffer.alloc(4 << 20)), { code: "ENOSPC" });
  // The log may have some room left in its last pages; then it is over.
  for (let i = 0; (await hub.ready()).room; ++i) [second, first][i % 2].takeOver(1);
  const full = await hub.ready();
  const known = () => Math.max(...first.terms, ...second.terms);
  const before = known();
  first.takeOver(2);
  assert.ok(await first.until(() => first.refused.includes(12))); // REASON_NO_ROOM
  assert.equal(known(), before);
  assert.equal((await hub.ready()).number, full.number);
  assert.match(hub.err, /The disk is full/);

  rmSync(ballast);
  while (!(await hub.ready()).room) await new Promise((resolve) => setTimeout(resolve, 50));
  const count = first.terms.length;
  first.takeOver(3);
  assert.ok(await first.until(() => first.terms.length > count));
  assert.match(hub.err, /There is room on the disk again/);
  assert.deepEqual(await hub.stop("SIGTERM"), { code: 0, signal: null });
});

// Runs `line` in a shell that sees a small disk of its own at `disk`, filled by the commands of `script`.
function onDisk(disk, script) {
  const mount = `mount -t tmpfs -o size=4m tmpfs "$0" && ${script}`;
  const done = spawnSync("unshare", ["-rm", "sh", "-c", mount, disk, program], { encoding: "utf8" });
  return { code: done.status, said: done.stdout + done.stderr };
}
const fill = 'dd if=/dev/zero of="$0/ballast" bs=4k 2>/dev/null';

test("a disk that is full at the start is named, not the journal", { skip: ownMounts, timeout: 60_000 }, async (t) => {
  const data = scratch(t);
  const hub = await serve(t, data, { more: ["--competition", demo] });
  const killed = join(scratch(t), "killed"); // with its log
  mkdirSync(killed);
  for (const name of ["journal.sqlite", "journal.sqlite-wal"]) copyFileSync(join(data, name), join(killed, name));
  await hub.stop("SIGTERM");
  const disk = join(scratch(t), "disk");
  mkdirSync(disk);
  const full = /^The disk is full \(.*\); free some space and start again\. The journal is as it was\.$/m;
  for (const from of [data, killed]) {
    const copy = `mkdir "$0/data" && cp ${from}/journal.sqlite* "$0/data"; ${fill};`;
    const started = onDisk(disk, `${copy} "$1" serve --data "$0/data" --listen 127.0.0.1:0`);
    assert.equal(started.code, 1);
    assert.match(started.said, full);
    const verified = onDisk(disk, `${copy} "$1" journal verify --data "$0/data"`);
    // One whole file needs no room to be read; a log does, for its index.
    assert.match(verified.said, from === data ? /The journal is whole: 2 records/ : full);
  }
  const fresh = onDisk(disk, `mkdir "$0/data"; ${fill}; "$1" serve --data "$0/data" --listen 127.0.0.1:0`);
  assert.equal(fresh.code, 1);
  assert.match(fresh.said, full);
});

test("a stopped journal can be read where nothing can be written", { skip: ownMounts }, async (t) => {
  const data = scratch(t);
  await (await serve(t, data, { more: ["--competition", demo] })).stop("SIGTERM");
  const disk = join(scratch(t), "disk");
  mkdirSync(disk);
  const copy = `cp ${data}/journal.sqlite "$0" && mount -o remount,ro "$0" &&`;
  for (const words of ["journal verify", "journal show", "journal replay"]) {
    const { code, said } = onDisk(disk, `${copy} exec "$1" ${words} --data "$0"`);
    assert.equal(code, 0, `${words}: ${said}`);
  }
  const { code, said } = onDisk(disk, `${copy} exec "$1" serve --data "$0" --listen 127.0.0.1:0`);
  assert.equal(code, 1);
  assert.match(said, /can't be written to \(Read-only file system\)/);
});

// Python's sqlite3 is the other program: it takes the database's write lock and holds it until its input ends.
test("another program that holds the journal is waited for, and nobody is let in before", { timeout: 60_000 }, async (t) => {
  const data = scratch(t);
  await (await serve(t, data)).stop("SIGTERM");
  const script = `import sqlite3, sys
c = sqlite3.connect(sys.argv[1], isolation_level=None)
c.execute("BEGIN IMMEDIATE")
print("held", flush=True)
sys.stdin.read()
c.execute("ROLLBACK")`;
  const holder = spawn("python3", ["-c", script, join(data, "journal.sqlite")]);
  t.after(() => holder.kill("SIGKILL"));
  await new Promise((resolve) => holder.stdout.once("data", resolve));

  const port = await freePort();
  const line = ["serve", "--anyone-may-score", "--data", data, "--listen", `127.0.0.1:${port}`, "--competition", demo];
  const hub = spawn(program, line);
  t.after(() => hub.kill("SIGKILL"));
  let [out, err] = ["", ""];
  hub.stdout.on("data", (text) => (out += text));
  await new Promise((resolve) => {
    hub.stderr.on("data", (text) => (err += text).includes("Another program holds the journal open") && resolve());
    hub.on("close", resolve);
  });
  assert.equal(hub.exitCode, null, err);
  // It listens, so this waits at the door; the answer tells of what is on the disk by then: both records.
  const answer = fetch(`http://127.0.0.1:${port}/readyz`).then((response) => response.json());
  const early = await Promise.race([answer, new Promise((resolve) => setTimeout(resolve, 500, "nobody was let in"))]);
  assert.equal(early, "nobody was let in");
  assert.equal(out, "");
  holder.stdin.end();
  assert.equal((await answer).number, 2);
  assert.match(err, /The journal is free again; everything that waited is kept/);
  assert.equal(err.match(/Another program holds/g).length, 1);
});

// A sync that fails once must never be followed by an acknowledgement (nobody knows what is on the disk then).
test("a failed sync ends the hub without an acknowledgement", { skip: strace, timeout: 60_000 }, async (t) => {
  const data = scratch(t);
  const first = await serve(t, data, { more: ["--competition", demo] });
  await first.stop("SIGTERM");
  const hub = await serve(t, data, {
    before: ["strace", "-f", "-qq", "-o", "/dev/null", "-e", "trace=fdatasync", "-e", "inject=fdatasync:error=EIO:when=6+"],
  });
  const tables = [await Table.connect(hub.port, "00000000000000aa"), await Table.connect(hub.port, "00000000000000bb")];
  for (let i = 0; ; ++i) {
    const table = tables[i % 2];
    const before = table.terms.length;
    table.takeOver(1);
    if (!(await table.until(() => table.terms.length > before))) break;
  }
  assert.equal((await hub.ended).code, 70);
  assert.match(hub.err, /The journal could not be written: .*nothing is acknowledged that may not be kept/);
  const acknowledged = Math.max(0, ...tables[0].terms, ...tables[1].terms);
  assert.ok(acknowledged > 0);
  assert.ok(keptTerms(data).length >= acknowledged);
  assert.equal(honbu("journal", "verify", "--data", data).code, 0);
});
