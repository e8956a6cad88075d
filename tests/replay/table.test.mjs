// What a person reads of a replay: offers where they first stood, the words of the sides, columns that hold, one way to
// write a time. The promises: docs/replay.md, section 4. All bouts are invented.
import assert from "node:assert/strict";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { spawnSync } from "node:child_process";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { hajime, kachi, mate, osaekomi, program, replay, score, shido, soreMade, steps, toketa } from "./replay.mjs";

// A file of rules that differ from those that ship.
function ownRules(t, from, changes) {
  const folder = mkdtempSync(join(tmpdir(), "honbu-replay-"));
  t.after(() => rmSync(folder, { recursive: true, force: true }));
  let text = spawnSync(program, ["rules", "show", from], { encoding: "utf8" }).stdout;
  for (const [field, value] of Object.entries(changes)) text = text.replace(new RegExp(`^${field} *=.*$`, "m"), `${field} = ${value}`);
  const file = join(folder, "ours.rules");
  writeFileSync(file, text);
  return file;
}

// Golden score begins with hajime (docs/rules.md, section 6); here nobody pressed it, and the win looks like one of
// regular time.
const forgotten = [
  { rules: "2018", timeMs: 240_000 }, hajime("0:00"), score("4:19", "SIDE_BLUE", "LEVEL_WAZA_ARI"), soreMade("4:30"), kachi("4:31"),
];

test("an offer is told where it first stood, and again at the end if nobody took it", () => {
  const { out } = replay(forgotten);
  const flat = out.replace(/\n +/g, " ");
  assert.match(flat, /waza-ari to blue.* \(offered: Hajime of golden score is missing/);
  assert.match(flat, /Offered to the table, and not taken: after call 2, 4:19\.000: Hajime of golden score is missing/);
  const told = steps(forgotten);
  assert.deepEqual(told.happened.filter((step) => step.offers).map((step) => [step.position, step.offers.length]), [[2, 1]]);
  assert.deepEqual(told.end.offers, []); // kachi: nothing more is offered
  const [missed] = told.end.offersNotTaken;
  assert.equal(missed.position, 2);
  assert.deepEqual(missed.call, { plain: "PLAIN_HAJIME" });
  assert.match(missed.words, /Hajime of golden score is missing/);
});

test("an offer that was taken is not told at the end", () => {
  const [terms, first, win, ...rest] = forgotten;
  const told = steps([terms, first, win, { ...hajime("4:20"), back: 5000 }, ...rest]);
  assert.deepEqual(told.end.offersNotTaken, []);
  assert.equal(told.end.result.goldenScore, true);
});

test("where the words of the rules are not the names in the file, the head of the table says so", (t) => {
  const file = ownRules(t, "2025", {
    name: "ours", "side.first": "red", "side.first.colour": "red", "side.second": "white", "side.second.colour": "white",
  });
  const { out } = replay([hajime("0:00")], "--rules", file);
  assert.match(out, /^In the file SIDE_WHITE is red, called first, and SIDE_BLUE is white\.$/m);
  assert.doesNotMatch(replay([hajime("0:00")]).out, /In the file/);
});

test("no row is wider than 100 letters, and long words leave the board in its columns", () => {
  const { out } = replay([
    { rules: "2003" }, hajime("0:00"), osaekomi("0:10", "SIDE_BLUE"), toketa("0:29"), mate("0:30"),
    { entered: 31_000, setClock: 45_000 }, { doctor: { to: "SIDE_WHITE", by: "DOCTOR_CALL_REFEREE" } }, hajime("0:40"), hajime("0:41"),
    { entered: 50_000, hansokuMake: "SIDE_BLUE", directClass: "DIRECT_CLASS_ENDANGERED_SELF", reason: "PENALTY_REASON_HEAD_DIVE" },
    soreMade("0:55"),
  ]);
  const lines = out.split("\n");
  const table = lines.slice(lines.findIndex((line) => line.includes("instant")), lines.findIndex((line) => line.startsWith("Result")));
  for (const line of table) assert.ok(line.length <= 100, line);
  const board = table[0].indexOf("I W Y K S");
  for (const line of table.filter((row) => /^ *\d+:\d\d\.\d{3} /.test(row))) {
    assert.match(line.slice(board), /^\d \d \d \d [\dH] {3}\d \d \d \d [\dH] /, line);
  }
});

test("a time is written as minutes and seconds wherever it stands", () => {
  const { out } = replay([
    hajime("0:00"), mate("0:30"), { entered: 35_000, move: { call: { number: 2 }, to: 20_000 } }, { entered: 36_000, setClock: 45_000 },
    { entered: 37_000, setHold: { by: "SIDE_BLUE", ms: 7500 } }, hajime("0:40"), { ...mate("0:50"), back: 9000 },
  ]);
  const flat = out.replace(/\n +/g, " ");
  for (const words of [/moved call 2 to 0:20\.000/, /clock set by hand: 0:45 fought in this period, 3:15 left/, /: blue, 0:07\.500 held/, /mate, put in 0:09 late/]) {
    assert.match(flat, words);
  }
  assert.doesNotMatch(out, /\d:\d\d:\d\d/);
});

// An opening takes back what was announced: the bout as it stands tells of the second announcement only.
test("the bout as it stands has each announcement once", () => {
  const { out } = replay([
    { rules: "2018" }, hajime("0:00"), score("0:30", "SIDE_BLUE", "LEVEL_IPPON"), soreMade("0:32"), kachi("0:35"), { entered: 36_000, confirm: {} },
    { entered: 41_000, reopen: "GROUND_REFEREE" },
    { entered: 42_000, replace: { call: { number: 2 }, by: { score: { to: "SIDE_WHITE", level: "LEVEL_IPPON" } } } },
    kachi("0:45"), { entered: 46_000, confirm: {} },
  ]);
  const [, stands] = out.split("With the corrections");
  const rows = [...stands.split("\nResult")[0].matchAll(/^ *\d+:\d\d\.\d{3} .*  (\S.*)$/gm)].map(([, what]) => what);
  assert.deepEqual(rows.map((row) => row.split(":")[0]), ["hajime", "ippon to white", "sore-made", "kachi", "confirmed"]);
  assert.match(rows.at(-1), /confirmed: white, ippon/);
});

// 2009: juniors have two minutes of golden score, then hantei (docs/rules.md, 2.5 and 6.3).
test("the end of golden score with equal scores is for a person to decide", () => {
  const { out } = replay([{ rules: "2009", timeMs: 240_000, goldenMs: 120_000 }, hajime("0:00"), hajime("4:05")], "--until", "7:00");
  assert.match(out, /^Nobody has won yet/m);
  assert.match(out, /^For a person to decide:\n {2}All is equal when time is up: hantei, by the flags of the referees\.$/m);
  assert.doesNotMatch(replay([hajime("0:00"), mate("0:10"), shido("0:11", "SIDE_BLUE")]).out, /For a person to decide/);
});
