// The support bundle: docs/operation.md, section 5. That it is a tar is for the system's own tar to say (POSIX, ustar).
import assert from "node:assert/strict";
import { spawn, spawnSync } from "node:child_process";
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { demo, honbu, program, scratch, serve } from "./hub.mjs";
import { Table } from "../wire/table.mjs";

const limit = { timeout: 60_000 };

async function support(data, to) {
  const child = spawn(program, ["support", "--data", data, "--to", to], { stdio: ["ignore", "pipe", "pipe"] });
  let [out, err] = ["", ""];
  child.stdout.on("data", (text) => (out += text));
  child.stderr.on("data", (text) => (err += text));
  return { code: await new Promise((done) => child.on("close", done)), out, err };
}

// What is in it, by name, as the system's tar unpacks it.
function unpacked(t, file) {
  const folder = scratch(t);
  const done = spawnSync("tar", ["-xvf", file, "-C", folder], { encoding: "utf8" });
  assert.deepEqual([done.status, done.stderr], [0, ""]);
  const inside = join(folder, "honbu-support");
  return Object.fromEntries(readdirSync(inside).map((name) => [name, readFileSync(join(inside, name), "utf8")]));
}

test("it has what helps, and no name, address, secret or word of anybody", limit, async (t) => {
  const folder = scratch(t);
  const data = join(folder, "Quillfeather");
  const hub = await serve(t, data, { more: ["--competition", demo, "--title", "Marzipancup", "--log-level", "debug"] });
  const table = await Table.sit(hub.port, "00000000000000aa", 1);
  await table.submit?.({ plain: "PLAIN_CALLED" });
  table.client.close();
  // What a log could have in it if somebody was careless one day.
  const secret = "q7Zr0aXbYcTdUeVfWgRhSiPjQkOlNmMnLoKpJqIrHsG";
  const careless = `12:00:00 Aino Kallioranta of Judoseura Hallavuori (192.168.7.23, [2001:db8::7]:8443) used ${secret} at /v1/x?token=abc for 00f3c1d2e4b5a697 in /home/anna/day\n`;
  mkdirSync(join(data, "log"), { recursive: true });
  writeFileSync(join(data, "log", "honbu.1.log"), careless);
  const first = join(folder, "first.tar");
  const made = await support(data, first);
  assert.deepEqual([made.code, made.err], [0, ""]);
  await hub.stop("SIGTERM");
  const second = join(folder, "second.tar");
  assert.equal((await support(data, second)).code, 0);

  const lines = readFileSync(demo, "utf8").split("\n").filter(Boolean).map((line) => line.split(","));
  const names = lines.slice(1).flatMap((cells) => cells.slice(6)).flatMap((name) => [name, ...name.split(/[ '-]/)]).filter((name) => name.length > 3);
  assert.ok(names.length > 100);
  for (const [file, running] of [[first, true], [second, false]]) {
    const texts = unpacked(t, file);
    const all = Object.values(texts).join("\n");
    for (const word of [...names, "Ngaio", "Marzipancup", "Quillfeather", secret, "abc", "192.168", "2001:db8", "00000000000000aa", "00f3c1d2e4b5a697", "anna", "127.0.0.1"]) {
      const at = all.indexOf(word);
      assert.ok(at < 0 || /[\p{L}]/u.test(all[at - 1] + all[at + word.length]), `${word}: ${all.slice(Math.max(0, at - 60), at + 60)}`);
    }
    assert.match(texts["versions.txt"], /^honbu \d+\.\d+\.\d+\n/);
    assert.match(texts["machine.txt"], /^kernel Linux /m);
    assert.match(texts["settings.txt"], /^title = \(left out\) {2}# --title$/m);
    assert.match(texts["settings.txt"], /^log-level = "debug" {2}# --log-level$/m);
    assert.match(texts["settings.txt"], /^rehearsal-rate = 1 {2}# not said$/m);
    assert.match(texts["status.txt"], running ? /records are kept/ : /No hub runs on it/);
    assert.match(texts["metrics.txt"], running ? /^honbu_journal_records \d+$/m : /^No hub runs\.$/m);
    assert.match(texts["journal-whole.txt"], /^The file's structure is whole\.\nThe chain of records holds\.$/m);
    assert.match(texts["journal-counts.txt"], /^competitions loaded 1$/m);
    assert.match(texts["journal-counts.txt"], /^mats taken 1$/m);
    const logs = Object.keys(texts).filter((name) => name.startsWith("log-"));
    assert.equal(logs.length, 2);
    assert.ok(logs.some((name) => /\(name\) of \(name\) \(\(address\), \[\(address\)\]:8443\) used \(secret\) at/.test(texts[name])), logs.map((name) => texts[name]).join("\n"));
    assert.ok(logs.some((name) => /Honbu \d/.test(texts[name])), "lines of ours can still be read");
  }
  // Nothing is sent, and whoever sends it has been told what it holds.
  for (const name of Object.keys(unpacked(t, first))) assert.match(made.out, new RegExp(`honbu-support/${name} {2}\\d+ bytes`));
});

test("it never writes over anything, and says what is wrong", limit, async (t) => {
  const folder = scratch(t);
  const data = join(folder, "data");
  const hub = await serve(t, data);
  await hub.stop("SIGTERM");
  const file = join(folder, "there.tar");
  writeFileSync(file, "mine");
  const { code, err } = honbu("support", "--data", data, "--to", file);
  assert.equal(code, 1);
  assert.match(err, /there\.tar can't be written \(File exists\)\. Name another one with --to\./);
  assert.equal(readFileSync(file, "utf8"), "mine");
  assert.match(honbu("support", "--data", join(folder, "none"), "--to", join(folder, "x.tar")).err, /There is no folder/);
  assert.match(honbu("support", "--data", data).err, /--to is required/);
});

// A journal that can't be read to its end may hold names that nobody has read: they would stay in a log.
test("without all names of the journal there is no log in it, and that is said", limit, async (t) => {
  const folder = scratch(t);
  const data = join(folder, "data");
  const hub = await serve(t, data, { more: ["--competition", demo, "--title", "Marzipancup"] });
  await hub.stop("SIGTERM");
  const file = join(data, "journal.sqlite");
  const bytes = readFileSync(file);
  const at = bytes.indexOf("Marzipancup");
  assert.ok(at > 0);
  bytes[at] ^= 1;
  writeFileSync(file, bytes);
  mkdirSync(join(data, "log"), { recursive: true });
  writeFileSync(join(data, "log", "honbu.log"), "12:00:00 Aino Kallioranta\n");
  const made = await support(data, join(folder, "made.tar"));
  assert.deepEqual([made.code, made.err], [0, ""]);
  const texts = unpacked(t, join(folder, "made.tar"));
  assert.match(texts["journal-whole.txt"], /damaged/);
  assert.deepEqual(Object.keys(texts).filter((name) => name.startsWith("log-")), []);
  assert.equal(Object.values(texts).join("\n").includes("Kallioranta"), false);
  for (const text of [texts["read-me.txt"], made.out]) assert.match(text, /The log and how the hub stood are left out: the journal could not be read/);
});

test("where the log is elsewhere, it says so", limit, async (t) => {
  const folder = scratch(t);
  const data = join(folder, "data");
  const hub = await serve(t, data, { more: ["--log-file", join(folder, "elsewhere.log")] });
  await hub.stop("SIGTERM");
  const made = await support(data, join(folder, "made.tar"));
  for (const text of [unpacked(t, join(folder, "made.tar"))["read-me.txt"], made.out]) assert.match(text, /There is no log in the hub's folder/);
});
