// The worst, through the real program: a disk that fails at any call, files that were cut, torn or flipped, a clock that
// is years off, a disk of 1 MiB, files that are taken away. Each time: noticed, said in words with what to do next,
// nothing acknowledged lost. docs/journal.md, 11, has the table.
//
// Outside checks: strace fails the system calls (errno as in errno(3)), prlimit and tmpfs bound the disk; places in the
// file are those of the SQLite file format (sqlite.org/fileformat.html: header 1.3, log 4.1).
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { copyFileSync, existsSync, mkdirSync, readFileSync, renameSync, rmSync, truncateSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { demo, honbu, program, scratch, serve } from "./hub.mjs";
import { Table } from "./table.mjs";

const has = (...line) => spawnSync(line[0], line.slice(1)).status === 0;
const strace = has("strace", "-e", "trace=none", "true") ? false : "NOT TRIED: strace is not there, or may not trace";
const ownMounts = has("unshare", "-rm", "mount", "-t", "tmpfs", "tmpfs", "/mnt") ? false : "NOT TRIED: no mounts of its own";

// setpriv: a hub whose strace is killed, by a test that failed, ends with it.
const failing = (call, how, more = []) =>
  ["strace", "-f", "-qq", "-o", "/dev/null", ...more, "-e", `trace=${call}`, "-e", `inject=${call}:${how}`, "setpriv", "--pdeathsig", "KILL"];
// What the hub says comes through a pipe: later than what it answers, maybe.
async function says(hub, words) {
  for (let i = 0; i < 200 && !words.test(hub.err); ++i) await new Promise((resolve) => setTimeout(resolve, 25));
  assert.match(hub.err, words);
}

// Two tables take mat 1 from each other until `enough` terms are acknowledged, or the hub ends. The highest that was.
async function takings(hub, enough) {
  const tables = await Promise.all(["00000000000000aa", "00000000000000bb"].map((device) => Table.connect(hub.port, device)));
  const known = () => Math.max(0, ...tables[0].terms, ...tables[1].terms);
  const told = () => new Set([...tables[0].terms, ...tables[1].terms]).size;
  const first = told();
  for (let i = 0; told() - first < enough; ++i) {
    const table = tables[i % 2];
    const [terms, refused] = [table.terms.length, table.refused.length];
    table.takeOver(1);
    if (!(await table.until(() => table.terms.length > terms || table.refused.length > refused))) break;
    if (table.refused.length > refused) return { known: known(), refused: table.refused.at(-1), tables };
  }
  return { known: known(), tables };
}

// Every term from 1 on, once and in order, and all that were acknowledged.
function holds(data, acknowledged) {
  const { code, out, err } = honbu("journal", "show", "--data", data);
  assert.equal(code, 0, err);
  const kept = [...out.matchAll(/mat 1 {2}taken, term (\d+)/g)].map((match) => Number(match[1]));
  assert.deepEqual(kept, kept.map((_, index) => index + 1));
  assert.ok(kept.length >= acknowledged, `acknowledged ${acknowledged}, kept ${kept.length}`);
  assert.equal(honbu("journal", "verify", "--data", data).code, 0);
}

const serveAgain = (data) => honbu("serve", "--data", data, "--listen", "127.0.0.1:0", "--anyone-may-score");

// -- system calls that fail while it runs

for (const [call, how, said] of [
  ["fdatasync", "error=EIO:when=9+", /The journal could not be written: a sync failed: .*Check the disk, then start the hub again/],
  ["fdatasync", "error=ENOSPC:when=9+", /The journal could not be written: a sync failed: /],
  ["fdatasync", "error=EIO:when=9", /The journal could not be written: a sync failed: /], // once is enough
  ["pwrite64", "error=EIO:when=30+", /The journal could not be written: a write failed: /],
  ["pwrite64", "error=EROFS:when=30+", /The journal could not be written: a write failed: /],
  ["pwrite64", "error=ENODEV:when=30+", /The journal could not be written: a write failed: /], // a stick that was pulled out
]) {
  test(`${call} ${how}: it ends, and nothing acknowledged is lost`, { skip: strace, timeout: 60_000 }, async (t) => {
    const data = scratch(t);
    await (await serve(t, data, { more: ["--competition", demo] })).stop("SIGTERM");
    const hub = await serve(t, data, { before: failing(call, how) });
    const { known } = await takings(hub, Infinity);
    assert.equal((await hub.ended).code, 70);
    assert.match(hub.err, said);
    assert.ok(known > 0);
    holds(data, known);
    const again = await serve(t, data); // it goes on from what is kept
    assert.ok((await takings(again, 3)).known > known);
    await again.stop("SIGTERM");
  });
}

test("a disk that is full for a while: refused with words, and it goes on by itself", { skip: strace, timeout: 60_000 }, async (t) => {
  const data = scratch(t);
  await (await serve(t, data, { more: ["--competition", demo] })).stop("SIGTERM");
  const hub = await serve(t, data, { before: failing("pwrite64", "error=ENOSPC:when=30..33") });
  const first = await takings(hub, 40);
  if (first.refused) assert.equal(first.refused, 12); // REASON_NO_ROOM
  while (!(await hub.ready()).room) await new Promise((resolve) => setTimeout(resolve, 50));
  const then = await takings(hub, 5);
  await says(hub, /The disk is full: nothing more is acknowledged until there is room\. Free some space/);
  await says(hub, /There is room on the disk again/);
  spawnSync("pkill", ["-TERM", "-P", String(hub.child.pid)]); // strace's child: the hub
  assert.deepEqual(await hub.ended, { code: 0, signal: null });
  holds(data, Math.max(first.known, then.known));
});

// -- files that can't be opened

for (const [error, said] of [
  ["EIO", /can't be opened/],
  ["EACCES", /can't be opened.*Mend the permissions/s],
  ["EMFILE", /can't be opened/],
]) {
  test(`a journal that can't be opened (${error}) is named and left alone`, { skip: strace }, async (t) => {
    const data = scratch(t);
    await (await serve(t, data, { more: ["--competition", demo] })).stop("SIGTERM");
    const file = join(data, "journal.sqlite");
    const before = readFileSync(file);
    const line = [...failing("openat", `error=${error}`, ["-P", file]), program, "serve", "--data", data, "--listen", "127.0.0.1:0"];
    const done = spawnSync(line[0], line.slice(1), { encoding: "utf8" });
    assert.equal(done.status, 1, done.stderr);
    assert.match(done.stderr, said);
    assert.deepEqual(readFileSync(file), before);
  });
}

// -- files that were damaged

// A stopped journal with some pages, and one that was killed, with its log.
async function journals(t) {
  const data = scratch(t);
  const hub = await serve(t, data, { more: ["--competition", demo] });
  const { known } = await takings(hub, 40);
  const killed = join(scratch(t), "killed");
  mkdirSync(killed);
  for (const name of ["journal.sqlite", "journal.sqlite-wal"]) copyFileSync(join(data, name), join(killed, name));
  await hub.stop("SIGTERM");
  rmSync(join(data, "honbu.lock"));
  return { data, killed, known };
}
function copyOf(t, folder) {
  const to = join(scratch(t), "copy");
  mkdirSync(to);
  for (const name of ["journal.sqlite", "journal.sqlite-wal"]) {
    if (existsSync(join(folder, name))) copyFileSync(join(folder, name), join(to, name));
  }
  return to;
}

test("a cut, torn or flipped file is named, and no hub starts on it", { timeout: 120_000 }, async (t) => {
  const { data } = await journals(t);
  const whole = readFileSync(join(data, "journal.sqlite"));
  const page = whole.readUInt16BE(16); // 1.3.2
  const sector = 512;
  const damages = {
    "cut in its header": (file) => truncateSync(file, 60),
    "cut in the middle": (file) => truncateSync(file, Math.floor(whole.length / 2)),
    "without its last page": (file) => truncateSync(file, whole.length - page),
    "a page of zeros": (file) => writeFileSync(file, Buffer.concat([whole.subarray(0, 2 * page), Buffer.alloc(page), whole.subarray(3 * page)])),
    "flipped in its first words": (file) => writeFileSync(file, flipped(whole, 3)),
    "flipped in its page size": (file) => writeFileSync(file, flipped(whole, 16)),
  };
  // Torn: half of a page is of an earlier write.
  for (let at = page; at < whole.length; at += page) {
    damages[`torn in page ${at / page + 1}`] = (file) => {
      const torn = Buffer.from(whole);
      torn.fill(0, at + sector, at + page - sector);
      writeFileSync(file, torn);
    };
  }
  let found = 0;
  for (const [name, damage] of Object.entries(damages)) {
    const copy = copyOf(t, data);
    damage(join(copy, "journal.sqlite"));
    const damaged = readFileSync(join(copy, "journal.sqlite"));
    const verified = honbu("journal", "verify", "--data", copy);
    if (name.startsWith("torn") && verified.code === 0) continue; // only unused space was hit
    ++found;
    assert.equal(verified.code, 1, name);
    const started = serveAgain(copy);
    assert.equal(started.code, 1, name);
    for (const words of [verified.err, started.err]) {
      assert.match(words, /go on from a copy made earlier \(--from-copy\)|is not a journal/, `${name}: ${words}`);
    }
    assert.deepEqual(readFileSync(join(copy, "journal.sqlite")), damaged, `${name}: left as it is`);
  }
  assert.ok(found > 8, `${found}`);
});

function flipped(bytes, at) {
  const out = Buffer.from(bytes);
  out[at] ^= 1;
  return out;
}

// SQLite by itself takes an empty file for a new one and throws its log away.
test("a journal of which only the log is left is not begun anew", { timeout: 60_000 }, async (t) => {
  const { killed } = await journals(t);
  for (const damage of [(file) => truncateSync(file, 0), (file) => rmSync(file)]) {
    const copy = copyOf(t, killed);
    damage(join(copy, "journal.sqlite"));
    const log = readFileSync(join(copy, "journal.sqlite-wal"));
    for (const done of [serveAgain(copy), honbu("journal", "verify", "--data", copy)]) {
      assert.equal(done.code, 1);
      assert.match(done.err, /and there was one: its log .* is still in the folder\. So it was cut off or taken away/);
    }
    assert.deepEqual(readFileSync(join(copy, "journal.sqlite-wal")), log);
  }
});

// The log's end can be lost without a trace in the file: checksums end it where it is cut. Then the journal is whole and
// shorter, and it is those who know more that say so: here the position that verify prints.
test("a log that was cut or flipped ends before the damage, and the position tells", { timeout: 120_000 }, async (t) => {
  const { killed, known } = await journals(t);
  const log = readFileSync(join(killed, "journal.sqlite-wal"));
  const page = readFileSync(join(killed, "journal.sqlite")).readUInt16BE(16);
  const frame = 24 + page; // 4.1
  const position = (data) => {
    const done = honbu("journal", "verify", "--data", data);
    return done.code === 0 ? Number(/(\d+) records?/.exec(done.out)[1]) : done.err;
  };
  const all = position(copyOf(t, killed));
  assert.ok(all >= known + 2);
  let shorter = 0;
  for (let i = 1; i <= 12; ++i) {
    const at = 32 + Math.floor(((log.length - 32) / frame) * (i / 13)) * frame;
    for (const damaged of [log.subarray(0, at), log.subarray(0, at + 700), flipped(log, at + 100)]) {
      const copy = copyOf(t, killed);
      writeFileSync(join(copy, "journal.sqlite-wal"), damaged);
      const end = position(copy);
      // Either there is no journal yet at that place, or it is a part that was whole once.
      if (typeof end === "string") assert.match(end, /is empty: no hub has begun in it yet|There is no journal/);
      else assert.ok(end <= all);
      if (end < all) ++shorter;
      if (end > 0) assert.match(honbu("journal", "show", "--data", copy).out, new RegExp(`^ *${end} `, "m"));
    }
  }
  assert.ok(shorter > 0);
});

// -- clocks

// The time at which the epoch began is set instead of the machine's clock: the hub sees the same difference.
for (const [name, begun, said] of [
  ["years back", Date.now() + 3 * 365 * 86_400_000, null],
  ["years ahead", Date.now() - 30 * 365 * 86_400_000, /This machine's clock says the competition began on .*, which can't be: times go on from the last record/],
]) {
  test(`a wall clock that is ${name} takes no time back`, { timeout: 60_000 }, async (t) => {
    const data = scratch(t);
    const hub = await serve(t, data, { more: ["--competition", demo] });
    const { known } = await takings(hub, 5);
    await hub.stop("SIGTERM");
    const set = "import sqlite3, sys; c = sqlite3.connect(sys.argv[1]); c.execute(\"UPDATE meta SET value = ? WHERE key = 'begun_wall_ms'\", (int(sys.argv[2]),)); c.commit()";
    assert.equal(spawnSync("python3", ["-c", set, join(data, "journal.sqlite"), String(begun)]).status, 0);
    const again = await serve(t, data);
    const then = await takings(again, 5);
    if (said) assert.match(again.err, said);
    await again.stop("SIGTERM");
    holds(data, Math.max(known, then.known));
    const times = [...honbu("journal", "show", "--data", data).out.matchAll(/^\s*\d+ {2}(\d+):(\d+):(\d+)\.(\d+)/gm)].map(
      ([, h, m, s, ms]) => ((Number(h) * 60 + Number(m)) * 60 + Number(s)) * 1000 + Number(ms),
    );
    assert.deepEqual(times, times.slice().sort((a, b) => a - b));
    assert.ok(times.at(-1) < 600_000, "and none ahead"); // this test takes no ten minutes
  });
}

// -- little room

test("a file system of 1 MiB: full, in words, nothing lost, and on with more room", { skip: ownMounts, timeout: 60_000 }, async (t) => {
  const disk = join(scratch(t), "disk");
  mkdirSync(disk);
  const hub = await serve(t, disk, {
    more: ["--competition", demo],
    before: ["unshare", "-rm", "sh", "-c", `mount -t tmpfs -o size=1m tmpfs ${disk} && exec "$@"`, "sh"],
  });
  const { known, refused } = await takings(hub, Infinity);
  assert.equal(refused, 12); // REASON_NO_ROOM
  await says(hub, /The disk is full: nothing more is acknowledged until there is room/);
  const inside = join("/proc", String(hub.child.pid), "root", disk);
  holds(copyOf(t, inside), known);
  const more = ["-t", String(hub.child.pid), "-U", "-m", "mount", "-o", "remount,size=8m", disk];
  assert.equal(spawnSync("nsenter", more, { stdio: "inherit" }).status, 0);
  await says(hub, /There is room on the disk again/);
  const then = await takings(hub, 5);
  assert.ok(then.known >= known + 5);
  holds(copyOf(t, inside), then.known);
  assert.equal((await hub.stop("SIGTERM")).code, 0);
});

// The same bound without a file system of its own, so that it is tried everywhere: no file may grow over 1 MiB.
test("files that may not grow over 1 MiB: it ends, in words, and nothing is lost", { timeout: 60_000 }, async (t) => {
  const data = scratch(t);
  const hub = await serve(t, data, { more: ["--competition", demo], before: ["prlimit", "--fsize=1048576"] });
  const { known } = await takings(hub, Infinity);
  assert.equal((await hub.ended).code, 70);
  assert.match(hub.err, /The journal could not be written: a write failed: /);
  assert.ok(known > 5);
  holds(data, known);
});

// -- files that go away under it

for (const [name, take] of [
  ["the folder is moved away", (data) => renameSync(data, `${data}-elsewhere`)],
  ["the files are deleted", (data) => rmSync(data, { recursive: true })],
  ["the log is deleted", (data) => rmSync(join(data, "journal.sqlite-wal"))],
]) {
  test(`${name} while it runs: it ends before it acknowledges anything more`, { timeout: 60_000 }, async (t) => {
    const data = join(scratch(t), "evening");
    const hub = await serve(t, data, { more: ["--competition", demo] });
    const { tables } = await takings(hub, 4);
    const before = tables[0].terms.length + tables[1].terms.length;
    take(data);
    for (const table of [...tables, ...tables]) table.takeOver(1);
    await Promise.all(tables.map((table) => table.until(() => table.terms.length + table.refused.length > 100))); // until it ends
    assert.equal((await hub.ended).code, 70);
    assert.equal(tables[0].terms.length + tables[1].terms.length, before);
    assert.match(hub.err, /The journal could not be written: its files are not in the folder any more.*moved or deleted/);
  });
}
