// kept_check finds what it is for: the log of a real evening is held against its journal as it is, and then with one thing
// changed at a time, in the log or in the journal.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { cpSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { demo, scratch, serve } from "./hub.mjs";
import { Diary, keptCheck, sim } from "./played_hall.mjs";

// Three mats, all screens, some results; then stopped, all in one file.
async function evening(t) {
  const data = scratch(t);
  const hub = await serve(t, data, { more: ["--competition", demo, "--rehearsal-rate", "100"] });
  const diary = new Diary(join(scratch(t), "hall.log"));
  const hall = sim(t, { port: hub.port, log: diary.file, more: "--tables 3 --boards 3 --halls 1 --desks 2 --faster 5".split(" ") });
  await diary.until(() => diary.results >= 6, () => hall.code ?? hub.child.exitCode);
  hall.child.kill("SIGTERM");
  assert.equal(await hall.ended, 0, hall.out + hall.err);
  await hub.stop("SIGTERM");
  return { data, lines: readFileSync(diary.file, "utf8").trimEnd().split("\n") };
}

test("kept_check finds each thing that is not as it was told", { timeout: 120_000 }, async (t) => {
  const { data, lines } = await evening(t);
  const folder = scratch(t);
  const file = join(folder, "hall.log");
  const check = (changed, ...words) => {
    writeFileSync(file, changed.map((line) => `${line}\n`).join(""));
    return keptCheck("--data", data, ...words, file);
  };
  const indexOf = (what, skip = 0) => lines.map((line, index) => [line, index]).filter(([line]) => line.split(" ")[1] === what)[skip][1];
  const last = (start) => lines.findLastIndex((line) => line.startsWith(start));
  // One line, its words changed; or none, if nothing comes back.
  const change = (index, edit) => lines.flatMap((line, at) => (at === index ? (edit(line.split(" ")) ?? []) : [line]));
  const word = (index, place, edit) => change(index, (words) => words.map((text, at) => (at === place ? edit(text) : text)).join(" "));
  const plus = (by) => (text) => String(Number(text) + by);
  const flipped = (at) => (text) => text.slice(0, at) + (text[at] === "0" ? "1" : "0") + text.slice(at + 1);

  const good = check(lines, "--ended");
  assert.equal(good.code, 0, good.out + good.err);
  assert.match(good.out, /^records \d+, calls in them \d+, saved \d+, acknowledged \d+, /);
  writeFileSync(file, `${lines.join("\n")}\nhall-1 view 1 99`); // being written
  assert.equal(keptCheck("--data", data, "--ended", file).code, 0);

  const saved = indexOf("saved", 20);
  const [, , , run, number] = lines[saved].split(" ");
  const itsVerdict = lines.findIndex((line) => line.includes(` verdict ${run} ${number} `));
  const desk = last("desk-1 result ");
  const earlier = lines.findIndex((line) => line.startsWith("desk-1 result "));
  const view = last("hall-1 view ");
  const cases = [
    ["a verdict with another record", word(itsVerdict, 5, plus(1)), /^WRONG: \S+hall\.log, line \d+: call \d+ of run \w+ was acknowledged with record \d+ and is record \d+\n$/],
    ["a verdict of another kind", word(itsVerdict, 4, plus(1)), /has another verdict than its table heard/],
    ["a verdict, and later another", [...lines, lines[itsVerdict].replace(/\d+$/, plus(1))], /has another verdict than before/],
    ["a verdict for what was never saved", change(saved, () => null), /has a verdict and was never saved/],
    ["a call in the journal that no table saved", lines.filter((_, at) => at !== saved && at !== itsVerdict), /is in the journal, and no table had saved it/],
    ["a call saved twice", [...lines, lines[saved]], /was saved twice/],
    // docs/journal.md: run, number, term, mat and bout take 22 bytes, then comes `entered`.
    ["a call saved otherwise", word(saved, 5, flipped(44)), /is not as it was saved/],
    ["a call saved under another number", word(saved, 4, plus(1)), /is not what its bytes say/],
    ["a call of another device", word(saved, 2, flipped(15)), /is from another device than saved it/],
    ["a call that never reached the hub, with a verdict", inventedCall(lines, saved), /was acknowledged and is not in the journal/],
    ["a view of what is not on the disk", word(view, 3, plus(100_000)), /record \d+ was shown, and the journal ends at record \d+/],
    ["a welcome beyond the journal", word(indexOf("welcome"), 3, plus(100_000)), /was shown, and the journal ends/],
    ["a view that goes back", [...lines, lines[indexOf("view", 40)]], /went back from number \d+ to \d+/],
    ["a view of a record that changed nothing there", ["board-9 view 1 2 00", ...lines], /mat 1 was shown at number 2, and that record changed nothing there/],
    ["a result left out", change(earlier, () => null), /desk-1 was not sent result \d+/],
    ["a result twice", [...lines.slice(0, desk + 1), ...lines.slice(desk)], /heard result \d+ after result \d+/],
    ["a result of nothing", [`desk-9 result 2`, ...lines], /result 2 is no confirmation that was applied/],
    ["another journal", word(indexOf("welcome", 1), 2, flipped(3)), /the logs are of another journal as well/],
    ["words that are no fact", [...lines, "hall-1 sees 1"], /'sees' is not known here/],
  ];
  for (const [what, changed, words] of cases) {
    const { code, out } = check(changed);
    assert.equal(code, 1, `${what}: ${out}`);
    assert.match(out, words, what);
  }
  // What is only wrong once everything has come right.
  const lastOfAll = last("desk-1 result ");
  const atTheEnd = [
    ["a call without a verdict", change(itsVerdict, () => null), /never got a verdict/],
    ["two screens that differ", word(view, 4, flipped(0)), /looks otherwise for \S+ than for \S+/],
    ["a desk without the last result", change(lastOfAll, () => null), /ended with other results than another client/],
  ];
  for (const [what, changed, words] of atTheEnd) {
    assert.equal(check(changed).code, 0, what);
    const { code, out } = check(changed, "--ended");
    assert.equal(code, 1, what);
    assert.match(out, words, what);
  }

  // The journal: what was shown is cut off at its end, which no chain can show; a link is missing; bytes are changed.
  const journals = [
    ["DELETE FROM record WHERE number = (SELECT max(number) FROM record)", /record \d+ was shown, and the journal ends at record \d+/],
    ["DELETE FROM record WHERE number = 20", /is damaged: record 20/],
    ["UPDATE record SET bytes = CAST(bytes || x'00' AS BLOB) WHERE number = 30", /record 30 is damaged/],
  ];
  writeFileSync(file, lines.map((line) => `${line}\n`).join(""));
  for (const [statement, words] of journals) {
    const copy = join(scratch(t), "copy");
    cpSync(data, copy, { recursive: true });
    const script = "import sqlite3, sys; base = sqlite3.connect(sys.argv[1]); base.execute(sys.argv[2]); base.commit()";
    const done = spawnSync("python3", ["-c", script, join(copy, "journal.sqlite"), statement], { encoding: "utf8" });
    assert.equal(done.status, 0, done.stderr);
    const { code, out } = keptCheck("--data", copy, file);
    assert.equal(code, 1, statement);
    assert.match(out, words, statement);
  }
});

// The last call of a run again, as the next one, with a verdict that the hub never gave.
function inventedCall(lines, saved) {
  const run = lines[saved].split(" ")[3];
  const ofRun = lines.filter((line) => line.includes(` saved `) && line.split(" ")[3] === run).map((line) => line.split(" "));
  const words = ofRun.at(-1);
  const next = Number(words[4]) + 1;
  const bytes = Buffer.from(words[5], "hex");
  bytes.writeUInt32LE(next, 8);
  return [...lines, [...words.slice(0, 4), next, bytes.toString("hex")].join(" "), `${words[0]} verdict ${run} ${next} 1 3`];
}
