// honbu-sim against the real hub: it plays where it may, goes on where it was, ends by itself, and says so if it can't.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { demo, freePort, honbu, scratch, serve } from "./hub.mjs";
import { keptCheck, sim, writeCompetition } from "./played_hall.mjs";

const rehearsal = ["--competition", demo, "--rehearsal-rate", "100"];

async function play(t, port, words, log) {
  const hall = sim(t, { port, log: log ?? join(scratch(t), "hall.log"), more: words.split(" ") });
  await hall.ended;
  return hall;
}
const taken = (data) => honbu("journal", "show", "--data", data).out.match(/taken, term \d+/g) ?? [];

test("all bouts are fought, and the evening ends by itself", { timeout: 60_000 }, async (t) => {
  const data = scratch(t);
  const competition = join(scratch(t), "short.csv");
  writeCompetition(competition, 2, 2);
  const hub = await serve(t, data, { more: ["--competition", competition, "--rehearsal-rate", "100"] });
  const log = join(scratch(t), "hall.log");
  const hall = await play(t, hub.port, "--tables 2 --boards 3 --halls 1 --desks 2 --faster 10", log);
  assert.equal(hall.code, 0, hall.out + hall.err);
  assert.match(hall.out, /^Every call has a verdict, all screens agree, no promise was seen broken\.$/m);
  await hub.stop("SIGTERM");
  const check = keptCheck("--data", data, "--ended", log);
  assert.equal(check.code, 0, check.out);
  const results = readFileSync(log, "utf8").match(/^desk-1 result /gm).length;
  assert.ok(results >= 4, `${results} results of 4 bouts`);
});

test("nothing is entered where the hub is not in a rehearsal, unless it is asked for", { timeout: 60_000 }, async (t) => {
  const data = scratch(t);
  const hub = await serve(t, data, { more: ["--competition", demo] });
  const hall = await play(t, hub.port, "--tables 1 --seconds 1");
  assert.equal(hall.code, 1);
  assert.match(hall.err, /^table-1 enters nothing: this hub is not in a rehearsal \(competition\), .*say --without-rehearsal here\.$/m);
  assert.deepEqual(taken(data), []);
  const asked = await play(t, hub.port, "--tables 1 --seconds 1 --without-rehearsal");
  assert.equal(asked.code, 0, asked.out + asked.err);
  assert.deepEqual(taken(data), ["taken, term 1"]);
});

test("the same hall comes back to its mats and goes on; another one has to say that it takes them", { timeout: 60_000 }, async (t) => {
  const data = scratch(t);
  const hub = await serve(t, data, { more: rehearsal });
  const words = "--tables 1 --desks 1 --faster 5 --seconds 2 --seed";
  const logs = scratch(t);
  for (const evening of ["first", "second"]) {
    const hall = await play(t, hub.port, `${words} 5`, join(logs, evening));
    assert.equal(hall.code, 0, hall.out + hall.err);
    assert.match(readFileSync(join(logs, evening), "utf8"), /^table-1 verdict /m);
    assert.deepEqual(taken(data), ["taken, term 1"]);
  }
  const other = await play(t, hub.port, `${words} 6`);
  assert.equal(other.code, 1);
  assert.match(other.err, /^table-1 does not get mat 1: Another table is in charge of mat 1\. .*With --take-over it is taken at the beginning\.$/m);
  const third = await play(t, hub.port, `${words} 6 --take-over`, join(logs, "third"));
  assert.equal(third.code, 0, third.out + third.err);
  assert.deepEqual(taken(data), ["taken, term 1", "taken, term 2"]);
  await hub.stop("SIGTERM");
  const check = keptCheck("--data", data, ...["first", "second", "third"].map((log) => join(logs, log)));
  assert.equal(check.code, 0, check.out);
});

test("what can't be done is said in one sentence", { timeout: 60_000 }, async (t) => {
  const nobody = await freePort();
  const alone = await play(t, nobody, "--seconds 1");
  assert.equal(alone.code, 1);
  assert.equal(alone.err, `Nobody answered at 127.0.0.1:${nobody}. Is the hub running, and is this its address?\n`);

  const hub = await serve(t, scratch(t), { more: rehearsal });
  const many = await play(t, hub.port, "--tables 4 --seconds 1");
  assert.equal(many.code, 1);
  assert.match(many.err, /^There is no mat for table-4: this competition has 3\. Ask for fewer with --tables\.$/m);

  const unwritten = await play(t, hub.port, "--seconds 1", join(scratch(t), "missing", "hall.log"));
  assert.equal(unwritten.code, 1);
  assert.match(unwritten.err, /^The log .* can't be opened: No such file or directory\. Name another place with --log\.$/m);

  for (const words of ["--hub nowhere", "--faster 0", "--table 3"]) {
    const wrong = await play(t, hub.port, words);
    assert.equal(wrong.code, 2, words);
    assert.notEqual(wrong.err, "");
  }
});
