// honbu status: docs/operation.md, section 3.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { demo, freePort, honbu, program, scratch, serve } from "./hub.mjs";
import { Table } from "./table.mjs";

const limit = { timeout: 60_000 };

// As honbu(), while the hub's output is still read.
async function status(...line) {
  const child = spawn(program, ["status", ...line], { stdio: ["ignore", "pipe", "pipe"] });
  let [out, err] = ["", ""];
  child.stdout.on("data", (text) => (out += text));
  child.stderr.on("data", (text) => (err += text));
  const code = await new Promise((done) => child.on("close", done));
  return { code, out, err };
}

test("a hub that is well says so, by its folder and by its address", limit, async (t) => {
  const data = scratch(t);
  const hub = await serve(t, data, { more: ["--competition", demo, "--title", "Lantern Cup"] });
  for (const line of [["--data", data], ["--at", hub.url]]) {
    const { code, out, err } = await status(...line);
    assert.deepEqual([code, err], [0, ""]);
    assert.match(out, /^Lantern Cup runs since \d{4}-\d\d-\d\d \d\d:\d\d:\d\d, for \d+ s\. honbu \d+\.\d+\.\d+\.$/m);
    assert.match(out, /^2 records are kept, the last \d+ s ago\. Their disk has [\d.]+ [GM]iB left\.$/m);
    assert.match(out, /^There is no second copy \(--mirror\)\.$/m);
    for (const mat of [1, 2, 3]) assert.match(out, new RegExp(`^Mat ${mat}: no table has taken it\\.$`, "m"));
    assert.match(out, /^Connected: 0 tables, 0 desks, 0 boards, 0 hall screens, 0 that only read\.$/m);
    assert.match(out, /^All is well\.$/m);
  }
});

test("a table that is out of reach, and a second copy that stopped, are to look at", limit, async (t) => {
  const folder = scratch(t);
  const data = join(folder, "data");
  const hub = await serve(t, data, { more: ["--competition", demo, "--mirror", "/proc/none"] });
  const table = await Table.connect(hub.port, "00000000000000aa");
  table.takeOver(2);
  await table.until(() => table.terms.length > 0);
  assert.match((await status("--data", data)).out, /^Mat 2: its table is there\.$/m);
  table.socket.terminate();
  let told;
  do told = await status("--data", data); while (!/mat 2/.test(told.out) || !/second copy has stopped/.test(told.out));
  assert.equal(told.code, 1);
  assert.match(told.out, /^Look: mat 2: its table is out of reach, and goes on alone\./m);
  assert.match(told.out, /^Look: the second copy has stopped and lacks \d+ records?\. ./m);
  assert.match(told.out, /^2 things to look at, in the lines with Look\.$/m);
  await hub.stop("SIGTERM");
});

test("a hub that was stopped, and one that was killed, are told apart", limit, async (t) => {
  const data = join(scratch(t), "data");
  const none = await status("--data", data);
  assert.deepEqual([none.code, none.out], [2, `No hub runs, and there is no folder ${data}.\n`]);
  assert.equal(existsSync(data), false);

  const hub = await serve(t, data, { more: ["--competition", demo, "--title", "Lantern Cup"] });
  assert.ok(existsSync(join(data, "running")));
  await hub.stop("SIGTERM");
  assert.equal(existsSync(join(data, "running")), false);
  const stopped = await status("--data", data);
  assert.equal(stopped.code, 2);
  assert.match(stopped.out, /^No hub runs on it\. The folder .* holds a journal with 2 records, of Lantern Cup, begun on \d{4}-/);
  assert.match(stopped.out, /^To go on: honbu serve --data /m);

  const again = await serve(t, data);
  await again.stop("SIGKILL");
  const killed = await status("--data", data);
  assert.equal(killed.code, 2);
  assert.match(killed.out, /ended without stopping: it was killed, or the power was cut\. What was acknowledged is kept\./);
  const copy = join(data, "..", "copy");
  assert.equal(honbu("journal", "copy", "--data", data, "--to", copy).code, 0);
  assert.match((await status("--data", copy)).out, /holds a copy of a journal with 2 records.*\n.*\nTo go on from it: honbu serve --data A-NEW-FOLDER --from-copy /);
});

test("a hub that is there and says nothing is to look at", limit, async (t) => {
  const data = scratch(t);
  const hub = await serve(t, data);
  hub.child.kill("SIGSTOP");
  const { code, out } = await status("--data", data);
  hub.child.kill("SIGCONT");
  assert.equal(code, 1);
  assert.match(out, /^Look: a hub runs there \(process \d+, started on .*\), but does not answer\./);
});

test("where nobody is, and what is no address, is said", limit, async () => {
  const nobody = await status("--at", `http://127.0.0.1:${await freePort()}`);
  assert.equal(nobody.code, 2);
  assert.match(nobody.out, /^No hub answers at http:\/\/127\.0\.0\.1:\d+ \(Connection refused\)\.$/m);
  assert.match((await status("--at", "hub")).out, /'hub' is no address of a hub\. Write it like https/);
  const neither = await status();
  assert.equal(neither.code, 2);
  assert.match(neither.err, /--data is required/);
});

// Whose certificate counts: RFC 9525 (the address it is for), and nobody's word but the authority's.
test("over https it is checked from elsewhere, and by the folder it is this machine's own", limit, async (t) => {
  const data = scratch(t);
  assert.equal(honbu("certificates", "--data", data, "--name", "localhost", "--address", "127.0.0.1").code, 0);
  const hub = await serve(t, data, { more: ["--public-listen", "127.0.0.1:0"] });
  const authority = join(data, "certificates", "authority.pem");
  const own = await status("--data", data);
  assert.equal(own.code, 0, own.out);
  assert.match(own.out, /^The certificate holds until \d{4}-\d\d-\d\d /m);
  const checked = await status("--at", `https://127.0.0.1:${hub.port}`, "--authority", authority);
  assert.equal(checked.code, 0, checked.out);
  const stranger = await status("--at", `https://127.0.0.1:${hub.port}`);
  assert.equal(stranger.code, 2);
  assert.match(stranger.out, /^No hub answers at https:.*certificate/);
  const misnamed = await status("--at", `https://[::ffff:127.0.0.1]:${hub.port}`, "--authority", authority);
  assert.equal(misnamed.code, 2, misnamed.out);
});
