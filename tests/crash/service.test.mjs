// What systemd is told: sd_notify(3), sd_watchdog_enabled(3). The socket is the test's own.
import assert from "node:assert/strict";
import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { test } from "node:test";
import { setTimeout as sleep } from "node:timers/promises";
import { program, scratch, serve } from "./hub.mjs";

const limit = { timeout: 60_000 };
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
  const until = async (is) => {
    while (!heard.some(is)) await once(bell, "line");
  };
  await until(([first]) => first === "bound");
  heard.length = 0;
  return { heard, until, count: (word) => heard.filter((lines) => lines.includes(word)).length };
}

for (const kind of ["a path", "an abstract name"]) {
  test(`it is told ready, alive and stopping: ${kind}`, limit, async (t) => {
    const folder = scratch(t);
    const name = kind === "a path" ? join(folder, "notify") : `@honbu-test-${process.pid}`;
    const socket = await notified(t, name);
    const hub = await serve(t, join(folder, "data"), { before: ["env", `NOTIFY_SOCKET=${name}`, "WATCHDOG_USEC=400000"] });
    await socket.until((lines) => lines.includes("READY=1"));
    assert.match(socket.heard[0].join("\n"), /^READY=1\nSTATUS=1 record kept\.$/);
    await socket.until((lines) => lines.includes("WATCHDOG=1"));

    // A hub that is stuck gives no sign of life; one that goes on does again.
    hub.child.kill("SIGSTOP");
    await sleep(300); // what was on its way has come
    const before = socket.count("WATCHDOG=1");
    await sleep(1_500);
    assert.equal(socket.count("WATCHDOG=1"), before);
    hub.child.kill("SIGCONT");
    while (socket.count("WATCHDOG=1") === before) await socket.until((lines) => lines.includes("WATCHDOG=1")).then(() => sleep(20));

    await hub.stop("SIGTERM");
    await socket.until((lines) => lines.includes("STOPPING=1"));
    assert.equal(socket.heard.at(-1)[0], "STOPPING=1");
  });
}

test("no sign of life is given where none is asked for", limit, async (t) => {
  const folder = scratch(t);
  const socket = await notified(t, join(folder, "notify"));
  const hub = await serve(t, join(folder, "data"),
    { before: ["env", `NOTIFY_SOCKET=${join(folder, "notify")}`, "WATCHDOG_USEC=400000", "WATCHDOG_PID=1"] });
  await socket.until((lines) => lines.includes("READY=1"));
  await sleep(1_000);
  await hub.stop("SIGTERM");
  await socket.until((lines) => lines.includes("STOPPING=1"));
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
