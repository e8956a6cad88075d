// Settings from the line, the environment and a file: docs/operation.md, section 1. What TOML means by a text, a comment
// and a list: TOML 1.0.0 (toml.io/en/v1.0.0), sections "String", "Comment" and "Array".
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { demo, program, scratch } from "./hub.mjs";

const example = new URL("../../deploy/honbu.toml", import.meta.url);

function run(line, environment = {}) {
  const done = spawnSync(program, line, { encoding: "utf8", env: { PATH: process.env.PATH, ...environment } });
  return { code: done.status, out: done.stdout, err: done.stderr };
}

function written(t, text) {
  const file = join(scratch(t), "hub.toml");
  writeFileSync(file, text);
  return file;
}

// What honbu serve --print-config says: name to [value as written, where from].
function settings(line, environment) {
  const { code, out, err } = run(["serve", ...line, "--print-config"], environment);
  assert.deepEqual([code, err], [0, ""]);
  const lines = out.split("\n").filter((text) => text && !text.startsWith("# What") && !text.startsWith("# environment"));
  return Object.fromEntries(lines.map((text) => {
    const found = /^(?:# )?([a-z-]+) =\s*(.*?)\s+# (.*)$/.exec(text);
    assert.ok(found, text);
    return [found[1], [found[2], found[3]]];
  }));
}

test("the line goes before the environment, the environment before the file", (t) => {
  const file = written(t, 'listen = "127.0.0.1:1"\ntitle = "From file"\nmirror = "from-file"\n\nrules = ["a.rules", "b.rules"]\nrehearsal-rate = 7\n');
  const found = settings(["--config", file, "--listen", "127.0.0.1:3"], { HONBU_LISTEN: "127.0.0.1:2", HONBU_TITLE: "From environment" });
  assert.deepEqual(found.listen, ['"127.0.0.1:3"', "--listen"]);
  assert.deepEqual(found.title, ['"From environment"', "HONBU_TITLE"]);
  assert.deepEqual(found.mirror, ['"from-file"', `${file}, line 3`]);
  assert.deepEqual(found.rules, ['["a.rules", "b.rules"]', `${file}, line 5`]);
  assert.deepEqual(found["rehearsal-rate"], ["7", `${file}, line 6`]);
  assert.deepEqual(found.data, ["", "not said"]);
  assert.deepEqual(found["log-level"], ['"info"', "not said"]);
});

test("a list is said once: it does not add to another place's", (t) => {
  const file = written(t, 'rules = ["a.rules", "b.rules"]\n');
  assert.deepEqual(settings(["--config", file], { HONBU_RULES: "c.rules" }).rules, ['["c.rules"]', "HONBU_RULES"]);
  assert.deepEqual(settings(["--config", file, "--rules", "d.rules", "--rules", "e.rules"]).rules, ['["d.rules", "e.rules"]', "--rules"]);
});

test("the file can be named in the environment, and an empty variable says nothing", (t) => {
  const file = written(t, 'title = "From file"\n');
  assert.deepEqual(settings([], { HONBU_CONFIG: file, HONBU_TITLE: "" }).title, ['"From file"', `${file}, line 1`]);
});

test("texts, comments and lists are what TOML says they are", (t) => {
  for (const [given, value] of [
    ['"Cup #3, Sturmhafen"', '"Cup #3, Sturmhafen"'], // String: a # in quotes begins no comment
    ['"Cup" # "Other"', '"Cup"'],
    ["'C:\\cup'", "'C:\\cup'"], // literal: no escapes
    ['"it\'s"', '"it\'s"'],
    ['"  two  blanks  "', '"  two  blanks  "'],
    ['"true"', '"true"'],
    ['"["', '"["'],
  ]) {
    assert.equal(settings(["--config", written(t, `title = ${given}\r\n`)]).title[0], value, given);
  }
  const list = written(t, `rules = [ "a, b.rules" , 'c#.rules' ] # two\n`);
  assert.equal(settings(["--config", list]).rules[0], '["a, b.rules", "c#.rules"]');
  assert.equal(settings(["--config", written(t, "log-json = true\n")])["log-json"][0], "true");
  assert.equal(settings(["--config", written(t, "log-json = false\n")])["log-json"][0], "");
  assert.deepEqual(settings(["--log-json=false"])["log-json"], ["false", "--log-json"]);
});

test("what is printed can be given again", (t) => {
  const line = ["--data", "d", "--title", "Cup #3", "--rules", "a.rules", "--rules", "b.rules", "--rehearsal-rate", "3", "--log-json"];
  const printed = run(["serve", ...line, "--print-config"]).out;
  const again = settings(["--config", written(t, printed)]);
  for (const [name, [value]] of Object.entries(settings(line))) assert.equal(again[name][0], value, name);
});

test("a wrong file is told by line, and nothing is done", (t) => {
  const data = join(scratch(t), "data");
  for (const [text, words] of [
    ['title = "x"\nlissen = "127.0.0.1:0"\n', /hub\.toml, line 2: 'lissen' is not known here\. Did you mean listen\?/],
    ['colour = "blue"\n', /line 1: 'colour' is not known here\. The names are those of honbu serve --help/],
    ['help = true\n', /line 1: 'help' is not known here/],
    ['config = "other.toml"\n', /line 1: 'config' is not known here/],
    ['title = "x"\n\ntitle = "y"\n', /line 3: 'title' is set on line 1 already/], // "Keys": twice is an error
    ["[hub]\n", /line 1: there are no sections here/],
    ["title = Lantern Cup\n", /line 1: the value can't be read/],
    ['title = "Lantern\n', /line 1: the value can't be read/],
    ['title = "a\\tb"\n', /line 1: a backslash is not read here: write the text in single quotes/],
    ["title\n", /line 1: this is no setting: write name = value/],
    ['rules = ["a.rules",\n"b.rules"]\n', /line 1: write the whole list on one line/],
    ['title = ["a", "b"]\n', /line 1: title has one value, no list/],
    ["rehearsal-rate = 500\n", /line 1: .*500 not in range 1 to 100/],
    ['rehearsal-rate = "fast"\n', /line 1: .*rehearsal-rate/],
    ['log-level = "loud"\n', /line 1: .*loud not in/],
    ["log-json = 1\n", /line 1: log-json is true or false/],
    [`title = "${"x".repeat(5000)}"\n`, /line 1: .*longer than 1000/],
  ]) {
    const { code, out, err } = run(["serve", "--data", data, "--listen", "127.0.0.1:0", "--config", written(t, text)]);
    assert.deepEqual([code, out], [2, ""], text);
    assert.match(err, words);
    assert.equal(existsSync(data), false);
  }
  const { code, err } = run(["serve", "--data", data, "--config", join(data, "none.toml")]);
  assert.equal(code, 2);
  assert.match(err, /none\.toml can't be read \(there is no such file\)/);
});

test("a wrong variable is named, and one that is near to ours is warned of", (t) => {
  const data = join(scratch(t), "data");
  const { code, err } = run(["serve", "--data", data], { HONBU_REHEARSAL_RATE: "fast" });
  assert.equal(code, 2);
  assert.match(err, /^HONBU_REHEARSAL_RATE: .*fast/);
  assert.equal(existsSync(data), false);
  // The port can't be had (RFC 5737), so it ends by itself.
  const warned = run(["serve", "--data", data, "--listen", "192.0.2.1:1"], { HONBU_LISTNE: "127.0.0.1:1", HONBU_OTHER: "x" });
  assert.match(warned.err, /The variable HONBU_LISTNE is not known and changes nothing\. Did you mean HONBU_LISTEN\?/);
  assert.doesNotMatch(warned.err, /HONBU_OTHER/);
});

test("a folder is required, wherever it is said, and other commands take it from there too", (t) => {
  const nowhere = run(["serve", "--title", "x"]);
  assert.equal(nowhere.code, 2);
  assert.match(nowhere.err, /^--data is required\. honbu serve --help says what can be given\.$/m);
  const data = join(scratch(t), "none");
  const { code, err } = run(["journal", "verify"], { HONBU_DATA: data });
  assert.equal(code, 1);
  assert.ok(err.includes(data), err);
});

test("the example file names every setting, and holds", (t) => {
  const text = readFileSync(example, "utf8");
  const asItIs = written(t, text.replace("demo/competition.csv", demo));
  const found = settings(["--config", asItIs]);
  assert.deepEqual(found.title, ['"Lantern Cup, Sturmhafen"', `${asItIs}, line ${text.split("\n").findIndex((line) => line.startsWith("title")) + 1}`]);
  const all = written(t, text.replace(/^# ([a-z-]+ = )/gm, "$1"));
  for (const [name, [value, from]] of Object.entries(settings(["--config", all]))) {
    assert.match(from, /hub\.toml, line \d+$/, `${name} is not in deploy/honbu.toml`);
    assert.notEqual(value, "", name);
  }
});
