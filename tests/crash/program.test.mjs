// The program from outside: what it says when it can't do what it was asked, and how it ends.
import assert from "node:assert/strict";
import { createServer } from "node:net";
import { spawnSync } from "node:child_process";
import { existsSync, openSync, readFileSync, writeFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { demo, honbu, program, scratch, serve } from "./hub.mjs";
import { Table } from "./table.mjs";

const serveIn = (data, ...more) => honbu("serve", "--data", data, "--listen", "127.0.0.1:0", ...more);

test("says what it is", () => {
  const cmake = readFileSync(new URL("../../CMakeLists.txt", import.meta.url), "utf8");
  const version = /project\(honbu VERSION (\S+)/.exec(cmake)[1];
  assert.deepEqual(honbu("--version"), { code: 0, out: `honbu ${version}\n`, err: "" });
});

test("every command explains itself", () => {
  const commands = ["serve", "check", "replay", "journal", "journal verify", "journal show", "journal replay", "rules", "rules list", "rules show", "rules check"];
  for (const words of ["", ...commands]) {
    const { code, out } = honbu(...words.split(" ").filter(Boolean), "--help");
    assert.equal(code, 0, words);
    assert.match(out, /Usage: honbu/, words);
  }
});

test("an unknown option is named, with the help that lists the known ones", () => {
  const { code, err } = honbu("serve", "--dat", "x");
  assert.equal(code, 2);
  assert.match(err, /'--dat' is not known here\. Did you mean --data\? honbu serve --help/);
  assert.equal(honbu("sreve").code, 2);
  assert.equal(honbu().code, 2);
});

test("an option before its command is told where it goes", () => {
  for (const given of ["--data", "--data=x"]) {
    const { code, err } = honbu(given, "x", "serve");
    assert.equal(code, 2);
    assert.match(err, new RegExp(`^'${given}' comes after the command: honbu serve ${given} \\.\\.\\. honbu serve --help`));
  }
});

test("one of a thing is not called many", (t) => {
  const file = join(scratch(t), "one.csv");
  const lines = readFileSync(demo, "utf8").split("\n");
  writeFileSync(file, `${lines[0]}\n${lines[1]}\n`);
  assert.match(honbu("check", file).out, /is good: 1 bout, 1 mat, 1 category, 2 athletes\.\n/);
});

// A rule set of one's own with red and white belts, and a competition of two bouts that names it.
function league(t) {
  const folder = scratch(t);
  const shown = honbu("rules", "show", "2025").out;
  const set = (text, field, value) => text.replace(new RegExp(`^${field} *=.*$`, "m"), `${field} = ${value}`);
  const changes = [["name", "lantern"], ["side.first", "red"], ["side.first.colour", "red"], ["side.second", "white"], ["side.second.colour", "white"]];
  const rules = join(folder, "lantern.rules");
  writeFileSync(rules, changes.reduce((text, [field, value]) => set(text, field, value), shown));
  const file = join(folder, "league.csv");
  const [head, ...bouts] = readFileSync(demo, "utf8").split("\n");
  const column = head.split(",").indexOf("rules");
  const renamed = bouts.slice(0, 2).map((line) => line.split(",").map((cell, i) => (i === column ? "Lantern" : cell)).join(","));
  writeFileSync(file, [head, ...renamed, ""].join("\n"));
  return { folder, rules, file, change: (field, value) => {
    const changed = join(folder, "changed.rules");
    writeFileSync(changed, set(readFileSync(rules, "utf8"), field, value));
    return changed;
  } };
}

test("check says which column is which athlete where the words of the rules differ", (t) => {
  const { rules, file } = league(t);
  const { code, out } = honbu("check", file, "--rules", rules); // Lantern: capitals make no difference
  assert.equal(code, 0);
  assert.match(out, /^Under lantern the columns white and white_club are red, called first, and blue and blue_club are white\.$/m);
  assert.doesNotMatch(honbu("check", demo).out, /the columns white/);
});

test("a rule set that was not given is explained once, and one that ships needs no file", (t) => {
  const { file } = league(t);
  const { code, err } = honbu("check", file);
  assert.equal(code, 1);
  assert.match(err, /line 2, column rules: there is no rule set 'Lantern'; add --rules FILE\.rules if it is your own/);
  assert.match(err, /line 3, column rules: there is no rule set 'Lantern', as on line 2$/m);
  assert.match(honbu("check", file, "--rules", "2025").err, /comes with the program: leave --rules 2025 out/);
});

test("a changed rule set is what a restart names, not the competition file", async (t) => {
  const { folder, rules, file, change } = league(t);
  const data = join(folder, "data");
  const hub = await serve(t, data, { more: ["--competition", file, "--rules", rules] });
  await hub.stop("SIGTERM");
  const changed = change("points.ippon", "11");
  const { code, err } = serveIn(data, "--competition", file, "--rules", changed);
  assert.equal(code, 1);
  assert.match(err, /^The rule set lantern is not the one this competition was loaded with, and a loaded rule set can't be changed/m);
  assert.match(honbu("journal", "show", "--data", data).out, /competition loaded: league, 2 bouts, rules lantern/);
});

test("a list that could not be written in full is no success", () => {
  const full = openSync("/dev/full", "w"); // full(4): every write fails with ENOSPC
  for (const line of [["rules", "list"], ["check", demo], ["--version"], ["serve", "--help"]]) {
    const done = spawnSync(program, line, { encoding: "utf8", stdio: ["ignore", full, "pipe"] });
    assert.equal(done.status, 1, line.join(" "));
    assert.match(done.stderr, /^Not all of this could be written/);
  }
});

test("a title is checked before anything is kept", (t) => {
  const folder = scratch(t);
  const data = join(folder, "data");
  const long = join(folder, `${"x".repeat(61)}.csv`);
  writeFileSync(long, readFileSync(demo));
  for (const [words, more] of [
    [/^The --title can't be used: it is longer than 60 characters\.$/m, ["--competition", demo, "--title", "x".repeat(70_000)]],
    [/^The --title can't be used: it holds .* control character\.$/m, ["--competition", demo, "--title", "a\nb"]],
    [/called like its file.* longer than 60 characters\. Give it another one with --title\.$/m, ["--competition", long]],
  ]) {
    const { code, err } = serveIn(data, ...more);
    assert.equal(code, 1);
    assert.match(err, words);
    assert.equal(existsSync(data), false);
  }
});

test("a port that is taken is named, and what to do", async (t) => {
  const other = createServer();
  await new Promise((resolve) => other.listen(0, "127.0.0.1", resolve));
  t.after(() => other.close());
  const { port } = other.address();
  const { code, err } = honbu("serve", "--data", scratch(t), "--listen", `127.0.0.1:${port}`);
  assert.equal(code, 1);
  assert.match(err, new RegExp(`Port ${port} is taken by another program\\. Choose another with --listen`));
});

test("an address that is none of this machine's is named", (t) => {
  // 192.0.2.0/24 is for documentation and on no machine (RFC 5737).
  const { code, err } = honbu("serve", "--data", scratch(t), "--listen", "192.0.2.1:8080", "--plain-http-secrets-readable");
  assert.equal(code, 1);
  assert.match(err, /can't listen on 192\.0\.2\.1:8080/);
});

test("a folder that is a file, or can't be made, is named", (t) => {
  const file = join(scratch(t), "file");
  writeFileSync(file, "");
  for (const [data, words] of [[file, /is a file, not a folder/], [join(file, "below"), /can't be made/]]) {
    const { code, err } = serveIn(data);
    assert.equal(code, 1);
    assert.match(err, words);
  }
});

test("a competition file with mistakes is refused whole, with every line", async (t) => {
  const folder = scratch(t);
  const file = join(folder, "wrong.csv");
  writeFileSync(file, readFileSync(demo, "utf8").replace("\n1,1,", "\n1,99,").replace("\n2,2,", "\nx,2,"));
  for (const { code, err } of [honbu("check", file), serveIn(join(folder, "data"), "--competition", file)]) {
    assert.equal(code, 1);
    assert.match(err, /line 2/);
    assert.match(err, /line 3/);
  }
  // Nothing was half-applied: the good file can still be loaded into the same folder.
  const hub = await serve(t, join(folder, "data"), { more: ["--competition", demo] });
  assert.match(hub.out, /53 bouts on 3 mats/);
});

test("answers pages and says how it is", async (t) => {
  const hub = await serve(t, scratch(t), { more: ["--competition", demo, "--title", "Test day"] });
  assert.match(hub.out, /Test day: 53 bouts on 3 mats\./);
  assert.match(hub.out, /Whoever uses it can score/);
  assert.equal(await (await fetch(`${hub.url}/healthz`)).text(), "ok\n");
  const ready = await hub.ready();
  assert.match(ready.epoch, /^[0-9a-f]{16}$/);
  assert.equal(ready.number, 2);
  assert.equal(ready.room, true);
  for (const path of ["/", "/table", "/board", "/hall", "/desk"]) {
    const page = await fetch(hub.url + path);
    assert.equal(page.status, 200, path);
    assert.match(page.headers.get("content-security-policy"), /default-src 'none'/);
    const again = await fetch(hub.url + path, { headers: { "if-none-match": page.headers.get("etag") } });
    assert.equal(again.status, 304, path);
  }
});

for (const signal of ["SIGTERM", "SIGINT"]) {
  test(`${signal} ends it with a goodbye, and leaves one file`, { timeout: 20_000 }, async (t) => {
    const data = scratch(t);
    const hub = await serve(t, data, { more: ["--competition", demo] });
    const table = await Table.connect(hub.port, "00000000000000aa");
    assert.deepEqual(await hub.stop(signal), { code: 0, signal: null });
    assert.equal(await table.closed, 1001); // "going away", RFC 6455 7.4.1
    assert.equal(table.goodbye[1], 11); // REASON_STOPPING
    assert.equal(table.goodbye[3], 1); // come back
    assert.throws(() => statSync(join(data, "journal.sqlite-wal")), { code: "ENOENT" });
    assert.equal(honbu("journal", "verify", "--data", data).code, 0);
  });
}

test("a rehearsal and a competition don't share a journal", async (t) => {
  const data = scratch(t);
  const hub = await serve(t, data, { more: ["--competition", demo, "--rehearsal-rate", "10"] });
  assert.match(hub.out, /REHEARSAL/);
  await hub.stop("SIGTERM");
  const { code, err } = serveIn(data);
  assert.equal(code, 1);
  assert.match(err, /rehearsal at 10 times the speed.*--rehearsal-rate 10/);
  const again = await serve(t, data, { more: ["--rehearsal-rate", "10"] });
  assert.equal((await again.ready()).number, 2);
});

test("the same competition file goes on, another one is refused", async (t) => {
  const data = scratch(t);
  const title = ["--title", "Day"];
  const hub = await serve(t, data, { more: ["--competition", demo, ...title] });
  await hub.stop("SIGTERM");
  const again = await serve(t, data, { more: ["--competition", demo, ...title] });
  assert.equal((await again.ready()).number, 2);
  await again.stop("SIGTERM");
  const untitled = await serve(t, data, { more: ["--competition", demo] }); // keeps the title it has
  assert.match(untitled.out, /^Day: 53 bouts on 3 mats\./m);
  await untitled.stop("SIGTERM");
  const retitled = serveIn(data, "--competition", demo, "--title", "Night");
  assert.equal(retitled.code, 1);
  assert.match(retitled.err, /already has this competition, under the title 'Day', which stays\. Leave --title out/);

  const other = join(scratch(t), "other.csv");
  const lines = readFileSync(demo, "utf8").trimEnd().split("\n");
  writeFileSync(other, [lines[0], lines[1], ""].join("\n"));
  const { code, err } = serveIn(data, "--competition", other, ...title);
  assert.equal(code, 1);
  assert.match(err, /already has a competition \(Day\)/);
});
