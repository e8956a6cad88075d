// Starts the real program for a test, and stops it however the test ends.
// HONBU names the program (ctest sets it); else the one of the usual build folder.
import { spawn, spawnSync } from "node:child_process";
import { createServer } from "node:net";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

export const program = process.env.HONBU ?? fileURLToPath(new URL("../../.build/release/honbu", import.meta.url));
export const demo = fileURLToPath(new URL("../../deploy/demo/competition.csv", import.meta.url));

// A folder of its own for one test.
export function scratch(t) {
  const folder = mkdtempSync(join(tmpdir(), "honbu-crash-"));
  t.after(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

// One that nothing listens on now.
export async function freePort() {
  const server = createServer();
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  const { port } = server.address();
  await new Promise((resolve) => server.close(resolve));
  return port;
}

// Runs a command that ends by itself.
export function honbu(...args) {
  const done = spawnSync(program, args, { encoding: "utf8" });
  return { code: done.status, out: done.stdout, err: done.stderr };
}

// Starts `honbu serve` on a port the system chooses, and waits until it listens. `before` is put in front of the
// command line (strace, unshare); `doors`: who is not let in does nothing but look.
export async function serve(t, data, { more = [], before = [], doors = false, listen = "127.0.0.1:0" } = {}) {
  const open = doors ? [] : ["--anyone-may-score"];
  // Tests ask for it by a name of documentation (RFC 2606) as well.
  const known = ["--name", "hub.example"];
  const line = [...before, program, "serve", "--data", data, "--listen", listen, ...open, ...known, ...more];
  const child = spawn(line[0], line.slice(1), { stdio: ["ignore", "pipe", "pipe"] });
  const hub = { child, out: "", err: "", port: 0 };
  hub.ended = new Promise((resolve) => child.on("close", (code, signal) => resolve({ code, signal })));
  t.after(() => child.kill("SIGKILL"));
  child.stderr.on("data", (text) => (hub.err += text));
  const listening = new Promise((resolve) => {
    child.stdout.on("data", (text) => {
      hub.out += text;
      const found = /https?:\/\/localhost:(\d+)\/table/.exec(hub.out);
      if (found) resolve(Number(found[1]));
    });
  });
  const first = await Promise.race([listening, hub.ended]);
  if (typeof first !== "number") throw new Error(`the hub did not start: ${JSON.stringify(first)} ${hub.err}`);
  hub.port = first;
  hub.url = `http://127.0.0.1:${first}`;
  hub.ready = async () => (await fetch(`${hub.url}/readyz`)).json();
  hub.stop = (signal) => {
    child.kill(signal);
    return hub.ended;
  };
  return hub;
}
