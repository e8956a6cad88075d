// What systemd is told: sd_notify(3), sd_watchdog_enabled(3). The socket is the test's own.
import assert from "node:assert/strict";
import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { test } from "node:test";
import { program, scratch, serve } from "./hub.mjs";

const limit = { timeout: 60_000 };
const watchdog = "WATCHDOG_USEC=400000";
const listener = `
import json, socket, sys
s = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
s.bind(sys.argv[1].replace("@", "\\0", 1))
print(json.dumps("bound"), flush=True)
while True: print(json.dumps(s.recv(65536).decode()), flush=True)
`;

// Where datagrams come, each a list of its lines.
async function notified(t, name) {
  const child = spawn("python3", ["-c", listener, name], { stdio: ["ignore", "pipe", "inherit"] });
  t.after(() => child.kill("SIGKILL"));
  const heard = [];
  const bell = createInterface({ input: child.stdout });
  bell.on("line", (line) => heard.push(JSON.parse(line).split("\n")));
  const count = (word) => heard.filter((lines) => lines.includes(word)).length;
  // So many more of these than have come by now; the first READY may be among what has.
  const more = async (word, number) => {
    const before = word === "WATCHDOG=1" ? count(word) : 0;
    while (count(word) < before + number) await once(bell, "line");
  };
  await more("bound", 1);
  heard.length = 0;
  return { heard, count, more };
}

// A hub that is left alone, by whose signs of life time is told.
async function another(t) {
  const folder = scratch(t);
  const socket = await notified(t, join(folder, "notify"));
  await serve(t, join(folder, "data"), { before: ["env", `NOTIFY_SOCKET=${join(folder, "notify")}`, watchdog] });
  return { socket, beats: (count) => socket.more("WATCHDOG=1", count) };
}

for (const kind of ["a path", "an abstract name"]) {
  test(`it is told ready, alive and stopping: ${kind}`, limit, async (t) => {
    const folder = scratch(t);
    const name = kind === "a path" ? join(folder, "notify") : `@honbu-test-${process.pid}`;
    const socket = await notified(t, name);
    const hub = await serve(t, join(folder, "data"), { before: ["env", `NOTIFY_SOCKET=${name}`, watchdog] });
    await socket.more("READY=1", 1);
    assert.match(socket.heard[0].join("\n"), /^READY=1\nSTATUS=1 record kept\.$/);
    await socket.more("WATCHDOG=1", 2);

    // A hub that is stuck gives no sign of life; one that goes on does again.
    const clock = await another(t);
    hub.child.kill("SIGSTOP");
    await clock.beats(2); // what was on its way has come
    const before = socket.count("WATCHDOG=1");
    await clock.beats(6);
    assert.equal(socket.count("WATCHDOG=1"), before);
    hub.child.kill("SIGCONT");
    await socket.more("WATCHDOG=1", 2);

    await hub.stop("SIGTERM");
    await socket.more("STOPPING=1", 1);
    assert.equal(socket.heard.at(-1)[0], "STOPPING=1");
  });
}

test("no sign of life is given where none is asked for", limit, async (t) => {
  const folder = scratch(t);
  const socket = await notified(t, join(folder, "notify"));
  const hub = await serve(t, join(folder, "data"), { before: ["env", `NOTIFY_SOCKET=${join(folder, "notify")}`, watchdog, "WATCHDOG_PID=1"] });
  await socket.more("READY=1", 1);
  await (await another(t)).beats(6);
  await hub.stop("SIGTERM");
  await socket.more("STOPPING=1", 1);
  assert.equal(socket.count("WATCHDOG=1"), 0);
});

test("the unit is one that systemd takes", limit, (t) => {
  if (spawnSync("systemd-analyze", ["--version"]).error) return t.skip("no systemd here");
  const text = readFileSync(new URL("../../deploy/honbu.service", import.meta.url), "utf8");
  const unit = join(scratch(t), "honbu.service");
  writeFileSync(unit, text.replace("/usr/local/bin/honbu ", `${program} `).replace(/^Documentation=.*\n/m, ""));
  const { status, stdout, stderr } = spawnSync("systemd-analyze", ["verify", unit], { encoding: "utf8" });
  const about = `${stdout}${stderr}`.split("\n").filter((line) => line.includes("honbu.service"));
  assert.deepEqual([status, about], [0, []], stdout + stderr);
});
