// What a replay takes and what it says when it can't: one sentence with the line, what is wrong and what could stand
// there. The form of the lines is the "ProtoJSON format" of the Protocol Buffers documentation; of hub.proto's Call.
import assert from "node:assert/strict";
import { spawn, spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { test } from "node:test";
import { hajime, mate, program, replay, steps } from "./replay.mjs";

const names = /2003, 2009, 2013, 2017, 2018, 2025/;

function scratch(t) {
  const folder = mkdtempSync(join(tmpdir(), "honbu-replay-"));
  t.after(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

for (const [what, line, words] of [
  ["half an object", '{"entered": 0', /it is not a whole JSON object/],
  ["no JSON", "hajime", /it is not a whole JSON object.*A line looks like this: \{"entered": 0, "plain": "PLAIN_HAJIME"\}/],
  ["a list", "[1]", /it is not a whole JSON object/],
  ["two objects", '{"plain": "PLAIN_HAJIME"} {"plain": "PLAIN_MATE"}', /it is not a whole JSON object/],
  ["an unknown field", '{"entred": 0, "plain": "PLAIN_HAJIME"}', /'entred' is not known here; it can be .*entered, back/],
  ["an unknown field inside", '{"score": {"too": "SIDE_WHITE"}}', /'score\.too' is not known here; it can be to or level/],
  ["a wrong enum", '{"plain": "PLAIN_HAJIM"}', /'plain' is 'PLAIN_HAJIM'; did you mean PLAIN_HAJIME, /],
  ["a wrong number of an enum", '{"plain": 99}', /'plain' is '99'; did you mean PLAIN_/],
  ["two calls", '{"plain": "PLAIN_HAJIME", "osaekomi": "SIDE_BLUE"}', /more than one call, osaekomi and plain/],
  ["no call", '{"entered": 5}', /does not say what was called; add one of plain, osaekomi/],
  ["half a score", '{"score": {"to": "SIDE_WHITE"}}', /'score\.level' is missing; it can be .*LEVEL_IPPON/],
  ["a move to nowhere", '{"move": {"call": {"number": 1}}}', /'move\.to' is missing/],
  ["a negative time", '{"entered": -1, "plain": "PLAIN_HAJIME"}', /'entered' must be a whole number .*milliseconds/],
  ["half a millisecond", '{"entered": 0.5, "plain": "PLAIN_HAJIME"}', /'entered' must be a whole number/],
  ["a hold for both", '{"osaekomi": "SIDE_BOTH"}', /'osaekomi' is 'SIDE_BOTH'; it can be SIDE_WHITE or SIDE_BLUE\. Only one can have it\./],
  ["an ippon given away", '{"award": {"to": "SIDE_WHITE", "way": "WAY_IPPON"}}', /'award\.way' is 'WAY_IPPON'; it can be WAY_SOGO_GACHI, WAY_HANTEI, WAY_KIKEN_GACHI or WAY_FUSEN_GACHI/],
  ["an award of nothing", '{"award": {"to": "SIDE_WHITE"}}', /'award\.way' is missing; it can be WAY_SOGO_GACHI, WAY_HANTEI, WAY_KIKEN_GACHI or WAY_FUSEN_GACHI\.$/m],
  ["a side by a number", '{"shido": 7}', /'shido' is '7'; it can be SIDE_WHITE, SIDE_BLUE or SIDE_BOTH\./],
  ["a hold set for both", '{"setHold": {"by": "SIDE_BOTH", "ms": 1}}', /'setHold\.by' is 'SIDE_BOTH'; it can be SIDE_WHITE or SIDE_BLUE/],
  ["a reason beside a score", '{"reason": "PENALTY_REASON_OTHER", "score": {"to": "SIDE_BLUE", "level": "LEVEL_YUKO"}}', /reason stands beside a shido or a hansokuMake only/],
  ["a reason in one's own words", '{"shido": "SIDE_BLUE", "reason": "head dive"}', /did you mean PENALTY_REASON_HEAD_DIVE, .* or .*docs\/replay\.md, section 3/],
  ["a replacement by nothing", '{"replace": {"call": {"number": 1}}}', /'replace\.by' is missing; write it like this: \{"call": \{"number": 3\}, "by"/],
  ["a replacement of nothing", '{"replace": {"by": {"osaekomi": "SIDE_BLUE"}}}', /'replace\.call' is missing; write it like this/],
  ["a strike of nothing", '{"strike": {}}', /'strike\.number' is missing/],
  ["a strike by number alone", '{"strike": 1}', /'strike' must be an object, written like this: \{"number": 3\}/],
  ["half a confirmation", '{"confirm": {"winner": "WINNER_BLUE", "way": "WAY_IPPON"}}', /Write \{"confirm": \{\}\}: it is filled in by itself/],
  ["single quotes", "{'plain': 'PLAIN_MATE'}", /in double quotes: ", not '/],
  ["no quotes", '{"plain": PLAIN_MATE}', /in double quotes: "/],
  ["curly quotes", '{\u201cplain\u201d: \u201cPLAIN_MATE\u201d}', /curly quotes of a word processor; write straight ones/],
  ["a comma at the end of a line", '{"plain": "PLAIN_MATE"},', /a comma at its end; take it out/],
  ["a comma too many", '{"plain": "PLAIN_MATE",}', /a comma too many before }; take it out/],
  ["a whole file as one list", '[{"plain": "PLAIN_MATE"},', /stand in a list; write each call on a line of its own/],
  ["a name twice", '{"plain": "PLAIN_MATE", "plain": "PLAIN_MATE"}', /'plain' stands twice; keep one/],
  ["a quote that is left open", '{"plain": "PLAIN_MATE}', /a quote " is not closed/],
  ["rules after a call", '{"rules": "2018"}', /come before the first call/],
  ["a bout that changes", '{"bout": 2, "plain": "PLAIN_MATE"}', /'bout' is not that of the line before; one file is one bout/],
  ["a mat that changes", '{"mat": 2, "plain": "PLAIN_MATE"}', /'mat' is not that of the line before/],
  ["a name used twice", '{"id": {"number": 1}, "plain": "PLAIN_MATE"}', /those of the call on line 1/],
  ["a line without an end", `{"plain": "${"x".repeat(20_000)}"}`, /longer than 16 KiB/],
  ["a line of any length", "x".repeat(100_000), /longer than 64 KiB/],
]) {
  test(`${what} is refused with its line`, () => {
    const { code, err } = replay([hajime("0:00"), "", line]);
    assert.equal(code, 1);
    assert.match(err, words);
    assert.ok(err.startsWith("line 3: "), err);
    assert.equal(err.trimEnd().split("\n").length, 1);
    assert.ok(err.length < 700);
  });
}

test("time that goes back is refused, with the way to say it", () => {
  const { code, err } = replay([hajime("0:10"), mate("0:05")]);
  assert.equal(code, 1);
  assert.match(err, /^line 2: 'entered' is 5000, earlier than 10000.*'back'/);
});

test("bytes that are no UTF-8 are refused", () => {
  const done = spawnSync(program, ["replay"], { input: Buffer.from([0xff, 0xfe, 0x7b, 0x7d, 0x0a]) });
  assert.equal(done.status, 1);
  assert.match(done.stderr.toString(), /^line 1: .*save the file as UTF-8/);
  const latin = spawnSync(program, ["replay"], { input: Buffer.from('{"plain": "H\xe4jime"}\n', "latin1") });
  assert.match(latin.stderr.toString(), /^line 1: .*save the file as UTF-8/);
});

test("nothing at all is refused, with an example", () => {
  for (const calls of [[], ["", "# only a remark"], [{ rules: "2018" }]]) {
    const { code, err } = replay(calls);
    assert.equal(code, 1);
    assert.match(err, /There is no call in it\. Write one a line, like this: \{"entered": 0, "plain": "PLAIN_HAJIME"\}/);
  }
});

test("a rule set that is not there is refused, with those that are", () => {
  const option = replay([hajime("0:00")], "--rules", "1999");
  assert.equal(option.code, 2);
  assert.match(option.err, /no rule set named 1999/);
  assert.match(option.err, names);
  const line = replay([{ rules: "1999" }, hajime("0:00")]);
  assert.equal(line.code, 1);
  assert.match(line.err, /^line 1: /);
  assert.match(line.err, names);
});

test("a first line can be wrong as well", () => {
  for (const [line, words] of [
    ['{"rules": 2018}', /'rules' must be the name/],
    ['{"timeMs": 0}', /'timeMs' must be the contest time/],
    ['{"timeMs": 240}', /from 30000 \(0:30\) to 600000 \(10:00\).* Are these seconds\? Then write 240000, which is 4:00\.$/m],
    ['{"timeMs": 29999}', /from 30000/],
    ['{"timeMs": 600001}', /to 600000 \(10:00\)/],
    ['{"goldenMs": 180}', /Are these seconds\? Then write 180000, which is 3:00\.$/m],
    ['{"goldenMs": 6000000}', /at most 5999000 \(99:59\)/],
    ['{"goldenMs": "1:00"}', /'goldenMs' must be the limit/],
    ['{"rules": "2018", "colour": 1}', /'colour' is not known here/],
  ]) {
    const { code, err } = replay([line, hajime("0:00")]);
    assert.equal(code, 1);
    assert.match(err, words);
  }
});

test("an option that can't be used is refused", () => {
  for (const [options, words] of [
    [["--time", "4"], /--time: 4 is no time.*4:00.*seniors men/],
    [["--time", "0:29"], /--time: 0:29 is not possible; write a time from 0:30 to 10:00/],
    [["--time", "10:01"], /--time: 10:01 is not possible/],
    [["--until", "soon"], /--until: soon is no time/],
    [["--until", "0:01"], /--until 0:01 is before the last call/],
    [["--rulez", "2018"], /'--rulez' is not known here\. Did you mean --rules\?/],
  ]) {
    const { code, out, err } = replay([hajime("0:05")], ...options);
    assert.equal(code, 2, options.join(" "));
    assert.equal(out, ""); // half a table looks like a whole one
    assert.match(err, words);
  }
});

test("a call that can't be is not taken, told in place, and the rest goes on", () => {
  const calls = [hajime("0:00"), hajime("0:05"), mate("0:10")];
  const told = steps(calls);
  assert.equal(told.code, 3);
  assert.deepEqual(told.happened.map((step) => step.taken), [true, false, true]);
  assert.match(told.happened[1].refusal, /clock is running already/);
  assert.equal(told.happened[1].board.clock.ms, 235_000); // the board goes on as it was
  assert.equal(told.end.refused, 1);
  assert.equal(told.end.calls.length, 2);
  const { code, out } = replay(calls);
  assert.equal(code, 3);
  assert.match(out, /0:05\.000 +3:55 +2 {2}.* {2}hajime: NOT TAKEN\. The clock\n +is running already/);
  assert.match(out, /^1 call was not taken:\n {2}call 2, line 2: hajime\. The clock is running already/m);
});

test("capitals make no difference in the names of rules and age groups", () => {
  const told = steps([{ rules: "Youth-Decision" }, hajime("0:00")]);
  assert.equal(told.terms.rules, "youth-decision");
  assert.equal(steps([hajime("0:00")], "--rules", "2025", "--time", "Seniors Men").terms.timeMs, 240_000);
});

test("correcting a call that was not taken, or that is not there, is told as such", () => {
  const told = steps([
    hajime("0:00"), hajime("0:05"),
    { entered: 6000, strike: { number: 2 } }, { entered: 7000, strike: { number: 9 } }, { entered: 8000, strike: { number: 5 } },
  ]);
  const [, , untaken, missing, itself] = told.happened.map((step) => step.refusal);
  assert.match(untaken, /^Call 2 \(line 2\) was not taken, so there is nothing to correct/);
  assert.match(missing, /^There is no call 9 above this line/);
  assert.match(itself, /^A call can't speak of itself/);
});

test("a confirmation that comes too early is told in whole words", () => {
  const { out } = replay([hajime("0:00"), { entered: 5000, confirm: {} }]);
  assert.match(out, /call 2, line 2: confirmed: nobody has won yet\. Confirm after kachi/);
});

test("what is left out is filled in", () => {
  const { happened } = steps(["{\"plain\": \"PLAIN_HAJIME\"}", "# a remark", "", '{"entered": 500, "osaekomi": "SIDE_BLUE"}', '{"plain": "PLAIN_TOKETA"}']);
  assert.deepEqual(happened.map((step) => [step.line, step.position, step.at]), [[1, 1, 0], [4, 2, 500], [5, 3, 500]]);
  assert.deepEqual(happened[1].call,
    { id: { run: "0000000000000001", number: 2 }, term: 1, mat: 1, bout: 1, entered: 500, osaekomi: "SIDE_BLUE" });
});

test("names as in the schema, enums by number, null, CRLF and a byte order mark are taken", () => {
  const told = steps(["\uFEFF{\"plain\": 2}\r", '{"entered": 1000, "hansoku_make": 2, "direct_class": 1, "shido": null}\r']);
  assert.equal(told.code, 0, told.err);
  assert.equal(told.end.result.way, "WAY_HANSOKU_MAKE_DIRECT");
});

test("what --json prints of the calls can be read again, and comes to the same", () => {
  const calls = [
    { plain: "PLAIN_CALLED" }, { absent: "SIDE_BLUE" }, { plain: "PLAIN_PRESENT" }, { plain: "PLAIN_HAJIME" },
    { entered: 1000, osaekomi: "SIDE_WHITE" }, { plain: "PLAIN_HOLD_CHANGED" }, { entered: 2000, plain: "PLAIN_SONO_MAMA" },
    { entered: 3000, plain: "PLAIN_YOSHI" }, { entered: 4000, plain: "PLAIN_TOKETA" }, { entered: 5000, plain: "PLAIN_MATE" },
    { shido: "SIDE_BOTH", reason: "PENALTY_REASON_NON_COMBATIVITY" }, { doctor: { to: "SIDE_BLUE", by: "DOCTOR_CALL_REFEREE" } },
    { bleeding: { to: "SIDE_BLUE", site: "SITE_NOSE" } }, { injury: { to: "SIDE_BLUE", harm: "HARM_INJURY", by: "BLAME_OWN" } },
    { judogi: "SIDE_WHITE" }, { plain: "PLAIN_REVIEW" }, { plain: "PLAIN_REVIEW_OVER" }, { setClock: 3500 },
    { setHold: { by: "SIDE_WHITE", ms: 1500 } }, { plain: "PLAIN_YOSHI" }, { entered: 6000, back: 500, score: { to: "SIDE_BLUE", level: "LEVEL_WAZA_ARI" } },
    { replace: { call: { number: 11 }, by: { shido: "SIDE_WHITE" } } }, { move: { call: { number: 21 }, to: 5400 } },
    { plain: "PLAIN_EXCHANGE_NAMES" }, { entered: 7000, awasete: "SIDE_BLUE" }, { plain: "PLAIN_SORE_MADE" }, { plain: "PLAIN_KACHI" },
    { confirm: {} }, { plain: "PLAIN_ACCEPT" }, { reopen: "GROUND_SLIP" }, { strike: { number: 25 } },
    { submission: "SIDE_WHITE", means: "MEANS_CHOKE" },
  ];
  const first = steps(calls);
  assert.equal(first.code, 0, first.err + JSON.stringify(first.happened.filter((step) => step.refusal), null, 1));
  const again = steps(first.happened.filter((step) => step.call).map((step) => step.call));
  assert.deepEqual(again.happened.map((step) => step.board), first.happened.map((step) => step.board));
  assert.deepEqual(again.happened.map((step) => step.call), first.happened.map((step) => step.call));
  assert.deepEqual(again.end.result, first.end.result);
});

test("a file, - and standard input are the same; what a file has wrong is named with it", (t) => {
  const file = join(scratch(t), "bout.jsonl");
  writeFileSync(file, '{"rules": "2018"}\n{"plain": "PLAIN_HAJIME"}\n');
  const named = spawnSync(program, ["replay", file], { encoding: "utf8" });
  assert.equal(named.status, 0);
  assert.equal(named.stdout, replay([{ rules: "2018" }, { plain: "PLAIN_HAJIME" }], "-").out);
  assert.equal(named.stdout, replay([{ rules: "2018" }, { plain: "PLAIN_HAJIME" }]).out);
  writeFileSync(file, "no\n");
  assert.ok(spawnSync(program, ["replay", file], { encoding: "utf8" }).stderr.startsWith(`${file}, line 1: `));
  for (const [path, words] of [[`${file}x`, /can't be read \(No such file/], [tmpdir(), /can't be read \(it is a folder\)/]]) {
    const { status, stderr } = spawnSync(program, ["replay", path], { encoding: "utf8" });
    assert.equal(status, 1);
    assert.match(stderr, words);
  }
});

test("options come before what the file says, and a rule set of one's own is a file", (t) => {
  const header = { rules: "2018", timeMs: 180_000, goldenMs: 60_000 };
  assert.deepEqual(Object.values(steps([header, hajime("0:00")]).terms).slice(2, 4), [180_000, 60_000]);
  assert.equal(steps([header, hajime("0:00")], "--rules", "2025").terms.rules, "2025");
  assert.equal(steps([header, hajime("0:00")], "--time", "2:00").terms.timeMs, 120_000);
  assert.equal(steps([header, hajime("0:00")], "--time", "veterans").terms.timeMs, 180_000);
  const shown = spawnSync(program, ["rules", "show", "2018"], { encoding: "utf8" }).stdout;
  const file = join(scratch(t), "ours.rules");
  writeFileSync(file, shown.replace(/^name( *)= 2018$/m, "name$1= ours"));
  assert.equal(steps([hajime("0:00")], "--rules", file).terms.rules, "ours");
  writeFileSync(file, "nonsense\n");
  const { code, err } = replay([hajime("0:00")], "--rules", file);
  assert.equal(code, 1);
  assert.match(err, /ours\.rules, line 1/);
});

test("a reader that goes away, or a full disk, is said and is no crash", async () => {
  // full(4): every write fails with ENOSPC.
  const full = spawnSync("sh", ["-c", `echo '{"plain": 2}' | "$0" replay >/dev/full`, program], { encoding: "utf8" });
  assert.equal(full.status, 1);
  assert.match(full.stderr, /^Not all of this could be written/);
  const child = spawn(program, ["replay", "--json"], { stdio: ["pipe", "pipe", "pipe"] });
  child.stdin.on("error", () => {}); // it stops reading when nobody listens any more
  let err = "";
  child.stderr.on("data", (text) => (err += text));
  const ended = new Promise((resolve) => child.on("close", (code, signal) => resolve({ code, signal })));
  child.stdout.once("data", () => child.stdout.destroy());
  child.stdin.write('{"plain": 2}\n');
  child.stdin.end('{"entered": 1, "judogi": "SIDE_WHITE"}\n'.repeat(900));
  const { code, signal } = await ended;
  assert.equal(signal, null);
  assert.equal(code, 1); // 900 lines of more than 500 bytes: more than any pipe holds
  assert.match(err, /^Not all of this could be written/);
});

// script(1) of util-linux gives the program a terminal.
test("in a terminal it says what it waits for", () => {
  const done = spawnSync("script", ["-qec", `'${program}' replay`, "/dev/null"], { input: "\u0004", encoding: "utf8" });
  assert.match(done.stdout, /Waiting for calls, one a line/);
  assert.doesNotMatch(replay([hajime("0:00")]).err, /Waiting/);
});

test("standard input is answered line by line", { timeout: 20_000 }, async () => {
  const child = spawn(program, ["replay", "--json"], { stdio: ["pipe", "pipe", "inherit"] });
  const lines = createInterface(child.stdout)[Symbol.asyncIterator]();
  const next = async () => JSON.parse((await lines.next()).value);
  child.stdin.write('{"plain": "PLAIN_HAJIME"}\n');
  assert.equal((await next()).rules, "2025");
  assert.equal((await next()).words, "hajime");
  child.stdin.write('{"entered": 5000, "plain": "PLAIN_MATE"}\n'); // asked only after the first answer
  assert.equal((await next()).board.clock.ms, 235_000);
  child.stdin.end();
  assert.equal((await next()).result.winner, "WINNER_UNDECIDED");
});
