// Corrections in a replay: each line shows the board as it was then, the end shows what has become of every call. The
// promise: docs/replay.md; nothing is erased (docs/architecture.md, promise 10).
import assert from "node:assert/strict";
import { test } from "node:test";
import { hajime, kachi, mate, osaekomi, replay, score, soreMade, steps, toketa } from "./replay.mjs";

const struck = [
  hajime("0:00"), score("0:20", "SIDE_BLUE", "LEVEL_WAZA_ARI"), { entered: 25_000, strike: { number: 2 } }, mate("0:30"),
];

test("a strike takes a score off the board, and the score stays on the list", () => {
  const told = steps(struck, "--rules", "2018");
  assert.equal(told.code, 0);
  assert.deepEqual(told.happened.map((step) => step.board.blue.wazaAri), [0, 1, 0, 0]);
  assert.deepEqual(told.end.calls.map((call) => call.standing), ["counts", "struck", "counts", "counts"]);
  assert.equal(told.end.calls[1].line, 2);
});

// What stands in the last column of the table's rows that begin with an instant.
const rows = (table) => [...table.matchAll(/^ *\d+:\d\d\.\d{3} .*  (\S.*)$/gm)].map(([, what]) => what);

test("the same for people: as it went, and as it stands", () => {
  const { out } = replay(struck, "--rules", "2018");
  const [went, stands] = out.split("With the corrections, the bout went like this:");
  assert.match(went, /^ .* 2 {2}0 0 0 +0 1 0 +fighting +waza-ari to blue$/m);
  assert.match(went, /^ .* 3 {2}0 0 0 +0 0 0 +fighting +strike call 2$/m);
  assert.deepEqual(rows(stands), ["hajime", "mate"]); // only what counts
  assert.match(stands, /Calls that have no effect any more:\n {2}call 2, line 2: waza-ari to blue \(struck\)\n/);
  assert.doesNotMatch(replay([hajime("0:00")]).out, /With the corrections/);
});

test("striking the strike brings the score back", () => {
  const told = steps([...struck, { entered: 40_000, strike: { number: 3 } }], "--rules", "2018");
  assert.equal(told.code, 0);
  assert.equal(told.end.result.blue.wazaAri, 1);
});

test("a hold given to the other athlete keeps its time", () => {
  const told = steps([
    hajime("0:00"), osaekomi("0:10", "SIDE_BLUE"),
    { entered: 14_000, replace: { call: { number: 2 }, by: { osaekomi: "SIDE_WHITE" } } },
  ]);
  assert.equal(told.code, 0);
  assert.deepEqual(told.happened.at(-1).board.hold, { by: "SIDE_WHITE", running: true, ms: 4000, reached: "LEVEL_NONE" });
  assert.equal(told.happened[1].words, "osaekomi by blue"); // as it was entered
  assert.equal(told.end.calls[1].words, "osaekomi by white"); // as it stands
});

test("a call put in afterwards took effect when it says", () => {
  const told = steps([hajime("0:00"), osaekomi("0:10", "SIDE_BLUE"), { ...toketa("0:16"), back: 3000 }, mate("0:20")]);
  assert.equal(told.code, 0);
  assert.equal(told.end.result.blue.yuko, 0); // 3 s of hold, not the 5 s that are yuko from 2025 (S18b, S20a)
  assert.equal(told.end.calls[2].at, 13_000);
  const late = steps([hajime("0:00"), osaekomi("0:10", "SIDE_BLUE"), toketa("0:16"), mate("0:20")]);
  assert.equal(late.end.result.blue.yuko, 1);
});

test("mate moved to where it was called puts the clock right", () => {
  const told = steps([hajime("0:00"), mate("0:30"), { entered: 35_000, move: { call: { number: 2 }, to: 20_000 } }]);
  assert.equal(told.code, 0);
  assert.equal(told.happened.at(-1).elapsedMs, 20_000);
});

// Striking hajime takes away what stood on it: mate is then impossible where it stands, and listed.
test("what a strike makes impossible is listed", () => {
  const told = steps([hajime("0:00"), mate("0:30"), { entered: 35_000, strike: { number: 1 } }]);
  assert.deepEqual(told.end.calls.map((call) => call.standing), ["struck", "withoutEffect", "counts"]);
});

test("an announced bout is opened again with a reason, corrected and confirmed", () => {
  const ippon = score("0:30", "SIDE_WHITE", "LEVEL_IPPON");
  const told = steps([
    hajime("0:00"), ippon, soreMade("0:32"), kachi("0:35"),
    { entered: 40_000, strike: { number: 2 } }, // refused: kachi has been announced
    { entered: 41_000, reopen: "GROUND_REFEREE" },
    { entered: 42_000, replace: { call: { number: 2 }, by: { score: { to: "SIDE_BLUE", level: "LEVEL_IPPON" } } } },
    kachi("0:45"), { entered: 46_000, confirm: {} },
  ], "--rules", "2018");
  assert.equal(told.code, 3);
  assert.equal(told.end.refused, 1);
  const [, , , , refused] = told.happened;
  assert.equal(refused.taken, false);
  assert.match(refused.refusal, /Open the bout again/);
  assert.equal(told.end.state, "confirmed");
  assert.equal(told.end.result.winner, "WINNER_BLUE");
  // An empty confirm is filled in with what the bout came to.
  const confirmed = told.happened.at(-1).call.confirm;
  assert.equal(confirmed.winner, "WINNER_BLUE");
  assert.equal(Buffer.from(confirmed.rulesHash, "base64").length, 32);
});

test("two pages that scored one bout are joined on one clock", () => {
  const other = (number, more) => ({ id: { run: "00000000000000bb", number }, ...more });
  const told = steps([
    hajime("0:00"), // on the first page
    other(1, { entered: 5000, joint: { earlier: "0000000000000001", there: 60_000, here: 5000, source: "SOURCE_WALL_CLOCK" } }),
    other(2, { entered: 15_000, plain: "PLAIN_MATE" }),
  ]);
  assert.equal(told.code, 0, told.err);
  assert.equal(told.end.result.regularMs, 70_000);
});
