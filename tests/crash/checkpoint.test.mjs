// The checkpoint of the state, through the real program: a long journal goes on from it, to the same state as from all
// records; one that is damaged is not used, in words; damage before it is found after the start. docs/journal.md, 8.
//
// Outside check: the two ways to the same state are held against each other, and a record is changed by another
// program (Python's sqlite3).
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { copyFileSync, existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { demo, honbu, scratch, serve } from "./hub.mjs";
import { Table } from "./table.mjs";

// Two records each; from 5,000 on there is a checkpoint.
const terms = 2_600;

// Mat 1 is left and taken again and again, two records each time, without waiting for the answers, of which only the
// last is sure to come: the hub tells how the mat stands now. In the end it is taken.
async function takings(hub, first, last) {
  const table = await Table.connect(hub.port, "00000000000000aa");
  for (let term = first; term <= last; ++term) {
    if (term > 1) table.leave(1, term - 1);
    table.takeOver(1);
  }
  assert.ok(await table.until(() => table.refused.length > 0 || table.terms.includes(last)), hub.err);
  assert.deepEqual(table.refused, []);
}
const stopped = async (hub) => assert.deepEqual(await hub.stop("SIGTERM"), { code: 0, signal: null });

// A hub stopped with a long journal and its checkpoint: the folder, made once.
async function long(t) {
  const data = join(scratch(t), "long");
  const hub = await serve(t, data, { more: ["--competition", demo] });
  await takings(hub, 1, terms);
  await stopped(hub);
  assert.ok(existsSync(join(data, "checkpoint")));
  return data;
}
function copyOf(t, data) {
  const to = join(scratch(t), "copy");
  mkdirSync(to);
  for (const name of ["journal.sqlite", "checkpoint"]) copyFileSync(join(data, name), join(to, name));
  return to;
}
const notUsed = /The checkpoint is not used, and all records are read instead: /;

test("a long journal goes on from its checkpoint", { timeout: 120_000 }, async (t) => {
  const data = await long(t);

  await t.test("to the same state as from all records", async (t) => {
    const copy = copyOf(t, data);
    const on = await serve(t, copy);
    await takings(on, terms + 1, terms + 5);
    await stopped(on);
    assert.doesNotMatch(on.err, notUsed);
    const file = join(copy, "checkpoint");
    const goneOn = readFileSync(file);
    assert.notDeepEqual(goneOn, readFileSync(join(data, "checkpoint")));
    rmSync(file);
    await stopped(await serve(t, copy)); // reads all, and makes one of that
    assert.deepEqual(readFileSync(file), goneOn);
  });

  await t.test("not from one that is damaged: in words, and all records are read", async (t) => {
    const whole = readFileSync(join(data, "checkpoint"));
    const damages = [whole.subarray(0, 40), whole.subarray(0, whole.length - 1), flipped(whole, Math.floor(whole.length / 2))];
    for (const damaged of damages) {
      const copy = copyOf(t, data);
      writeFileSync(join(copy, "checkpoint"), damaged);
      const hub = await serve(t, copy);
      await stopped(hub);
      assert.match(hub.err, notUsed);
      assert.deepEqual(readFileSync(join(copy, "checkpoint")), whole, "made anew, of all records");
    }
  });

  // That it starts at all shows that the records before the checkpoint were not waited for.
  await t.test("where a record before it was changed, that is found after the start, and the next one refuses", async (t) => {
    const copy = copyOf(t, data);
    const change = "import sqlite3, sys; c = sqlite3.connect(sys.argv[1]); b = bytearray(c.execute('SELECT bytes FROM record WHERE number = 100').fetchone()[0]); b[-1] ^= 1; c.execute('UPDATE record SET bytes = ? WHERE number = 100', (bytes(b),)); c.commit()";
    assert.equal(spawnSync("python3", ["-c", change, join(copy, "journal.sqlite")]).status, 0);
    const hub = await serve(t, copy);
    const words = /it can't be started again on this journal\. Make sure of a mirror, and go on from there in a pause/;
    while (!words.test(hub.err) && hub.child.exitCode === null) await new Promise((resolve) => setTimeout(resolve, 50));
    assert.match(hub.err, words);
    assert.match(hub.err, /record 100/);
    await takings(hub, terms + 1, terms + 5); // it goes on meanwhile
    await stopped(hub);
    assert.ok(!existsSync(join(copy, "checkpoint")));
    const again = honbu("serve", "--data", copy, "--listen", "127.0.0.1:0", "--anyone-may-score");
    assert.equal(again.code, 1);
    assert.match(again.err, /record 100/);
  });
});

function flipped(bytes, at) {
  const out = Buffer.from(bytes);
  out[at] ^= 1;
  return out;
}
