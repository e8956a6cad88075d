// kill -9 of the real hub, again and again, in the middle of the work: eight tables enter some 340 calls a second together,
// twelve screens follow, and the hub dies at random moments, while it starts as well. honbu-sim plays through all of it.
//
// After each kill, before anything can mend itself, kept_check holds all that every client was told since the evening began
// against the whole journal, and `honbu journal verify` looks at every link. To keep that linear, an evening has at most 50
// kills and some 30,000 calls; then comes its quiet end, in which everything must come right, and another evening begins on an empty folder.
//
//     node --test tests/crash/kill_load.test.mjs                      # 50 kills
//     HONBU_KILLS=1000 node --test tests/crash/kill_load.test.mjs     # 20 evenings or more, on two cores a quarter of an hour
//     HONBU_SEED=7 node --test tests/crash/kill_load.test.mjs         # the lots of a run that failed; the moments are the machine's
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { join } from "node:path";
import { test } from "node:test";
import { freePort, honbu, program, scratch } from "./hub.mjs";
import { Diary, keptCheck, sim, writeCompetition } from "./played_hall.mjs";

const kills = Number(process.env.HONBU_KILLS ?? 50);
const seed = Number(process.env.HONBU_SEED ?? Date.now() % 1_000_000);
const killsInAnEvening = 50;
const callsInAnEvening = 30_000; // on a slow machine: the tables don't wait for the hub, and there are bouts for some 70,000
const mats = 8;
const everybody = 2 * mats + 4; // a table and a board for each mat, two hall screens, two desks

const hall = (of) => `--tables ${mats} --boards ${mats} --halls 2 --desks 2 --faster 5 --seed ${of}`.split(" ");

// Lots from a seed: mulberry32, in the public domain.
function drawing(state) {
  return (count) => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return Math.floor((((t ^ (t >>> 14)) >>> 0) / 2 ** 32) * count);
  };
}

// One life of the hub, on the same folder and port as the one before.
function startHub(t, data, port, competition) {
  const child = spawn(program, ["serve", "--anyone-may-score", "--data", data, "--listen", `127.0.0.1:${port}`, "--competition", competition, "--rehearsal-rate", "100"], {
    stdio: ["ignore", "pipe", "pipe"],
  });
  const hub = { child, out: "", err: "", began: performance.now() };
  t.after(() => child.kill("SIGKILL"));
  child.stderr.on("data", (text) => (hub.err += text));
  hub.ended = new Promise((resolve) => child.on("close", (code, signal) => resolve({ code, signal })));
  hub.listens = new Promise((resolve) => child.stdout.on("data", (text) => (hub.out += text).includes("/table") && resolve(true)));
  hub.started = () => Promise.race([hub.listens, hub.ended.then(() => false)]);
  return hub;
}

async function evening(t, lots, killsMost, told) {
  const folder = scratch(t);
  const data = join(folder, "data");
  const competition = join(folder, "hall.csv");
  writeCompetition(competition, mats, 240);
  const port = await freePort();
  const diary = new Diary(join(folder, "hall.log"));
  const played = sim(t, { port, log: diary.file, more: hall(lots(1_000_000)) });
  let startMs = 100; // how long the hub took to start, the last time it was let

  for (let kill = 1; kill <= killsMost && diary.entered < callsInAnEvening; ++kill) {
    const hub = startHub(t, data, port, competition);
    if (lots(6) === 0) {
      ++told.starting;
      await new Promise((resolve) => setTimeout(resolve, lots(Math.ceil(startMs * 1.2))));
    } else {
      assert.ok(await hub.started(), `kill ${kill}: the hub did not start: ${hub.err}`);
      startMs = performance.now() - hub.began;
      // Sometimes while clients are still on their way back, mostly when the whole hall is there again.
      if (lots(3) > 0) await diary.until(() => diary.up === everybody, () => played.code ?? hub.child.exitCode);
      const enough = diary.acknowledged + 1 + lots(400);
      await diary.until(() => diary.acknowledged >= enough, () => played.code ?? hub.child.exitCode);
      await new Promise((resolve) => setTimeout(resolve, lots(12)));
    }
    diary.look();
    told.open += diary.entered > diary.acknowledged ? 1 : 0;
    hub.child.kill("SIGKILL");
    assert.deepEqual(await hub.ended, { code: null, signal: "SIGKILL" }, `kill ${kill}: the hub had ended by itself: ${hub.err}`);
    await diary.until(() => diary.up === 0, () => played.code); // every client has read what had reached it
    ++told.kills;
    if (diary.welcomes === 0) continue; // nobody was ever let in, so there need be no journal yet
    const check = keptCheck("--data", data, diary.file);
    assert.equal(check.code, 0, `kill ${kill}: ${check.out}${check.err}`);
    const verify = honbu("journal", "verify", "--data", data);
    assert.equal(verify.code, 0, `kill ${kill}: ${verify.out}${verify.err}`);
  }

  const hub = startHub(t, data, port, competition);
  assert.ok(await hub.started(), hub.err);
  await diary.until(() => diary.up > 0, () => played.code);
  played.child.kill("SIGTERM"); // the tables press nothing more, and all comes right by itself
  assert.equal(await played.ended, 0, played.out + played.err);
  hub.child.kill("SIGTERM");
  assert.deepEqual(await hub.ended, { code: 0, signal: null });
  const check = keptCheck("--data", data, "--ended", diary.file);
  assert.equal(check.code, 0, check.out + check.err);
  const replay = honbu("journal", "replay", "--data", data);
  assert.equal(replay.code, 0, replay.out + replay.err);
  t.diagnostic(`evening ${++told.evenings}: ${check.out.trim()}`);
  for (const [, name, count] of check.out.matchAll(/(\w[\w ]*) (\d+)/g)) told.counts[name] = (told.counts[name] ?? 0) + Number(count);
  return played.out;
}

test(`nothing is lost, doubled or shown too early through ${kills} kills under load`, { timeout: 120_000 + kills * 10_000 }, async (t) => {
  t.diagnostic(`HONBU_SEED=${seed}`);
  const lots = drawing(seed);
  const told = { kills: 0, starting: 0, open: 0, evenings: 0, counts: {} };
  let last = "";
  while (told.kills < kills) last = await evening(t, lots, Math.min(killsInAnEvening, kills - told.kills), told);
  for (const line of last.slice(last.indexOf("\nAfter ")).trim().split("\n")) t.diagnostic(line);
  t.diagnostic(`${told.kills} kills, ${told.starting} of them while the hub started, ${told.open} with calls on their way`);
  t.diagnostic(`in all: ${Object.entries(told.counts).map(([name, count]) => `${name} ${count}`).join(", ")}`);
  assert.equal(told.kills, kills);
});
