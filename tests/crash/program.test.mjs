// The program from outside: what it says when it can't do what it was asked, and how it ends.
import assert from "node:assert/strict";
import { createServer } from "node:net";
import { readFileSync, writeFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { demo, honbu, scratch, serve } from "./hub.mjs";
import { Table } from "./table.mjs";

const serveIn = (data, ...more) => honbu("serve", "--data", data, "--listen", "127.0.0.1:0", ...more);

test("says what it is", () => {
  const cmake = readFileSync(new URL("../../CMakeLists.txt", import.meta.url), "utf8");
  const version = /project\(honbu VERSION (\S+)/.exec(cmake)[1];
  assert.deepEqual(honbu("--version"), { code: 0, out: `honbu ${version}\n`, err: "" });
});

test("every command explains itself", () => {
  const commands = ["serve", "check", "replay", "journal", "journal verify", "journal show", "rules", "rules list", "rules show", "rules check"];
  for (const words of ["", ...commands]) {
    const { code, out } = honbu(...words.split(" ").filter(Boolean), "--help");
    assert.equal(code, 0, words);
    assert.match(out, /Usage: honbu/, words);
  }
});

test("an unknown option is named, with the help that lists the known ones", () => {
  const { code, err } = honbu("serve", "--dat", "x");
  assert.equal(code, 2);
  assert.match(err, /'--dat' is not known here\. Did you mean --data\? honbu serve --help/);
  assert.equal(honbu("sreve").code, 2);
  assert.equal(honbu().code, 2);
});

test("a port that is taken is named, and what to do", async (t) => {
  const other = createServer();
  await new Promise((resolve) => other.listen(0, "127.0.0.1", resolve));
  t.after(() => other.close());
  const { port } = other.address();
  const { code, err } = honbu("serve", "--data", scratch(t), "--listen", `127.0.0.1:${port}`);
  assert.equal(code, 1);
  assert.match(err, new RegExp(`Port ${port} is taken by another program\\. Choose another with --listen`));
});

test("an address that is none of this machine's is named", (t) => {
  // 192.0.2.0/24 is for documentation and on no machine (RFC 5737).
  const { code, err } = honbu("serve", "--data", scratch(t), "--listen", "192.0.2.1:8080");
  assert.equal(code, 1);
  assert.match(err, /can't listen on 192\.0\.2\.1:8080/);
});

test("a folder that is a file, or can't be made, is named", (t) => {
  const file = join(scratch(t), "file");
  writeFileSync(file, "");
  for (const [data, words] of [[file, /is a file, not a folder/], [join(file, "below"), /can't be made/]]) {
    const { code, err } = serveIn(data);
    assert.equal(code, 1);
    assert.match(err, words);
  }
});

test("a competition file with mistakes is refused whole, with every line", async (t) => {
  const folder = scratch(t);
  const file = join(folder, "wrong.csv");
  writeFileSync(file, readFileSync(demo, "utf8").replace("\n1,1,", "\n1,99,").replace("\n2,2,", "\nx,2,"));
  for (const { code, err } of [honbu("check", file), serveIn(join(folder, "data"), "--competition", file)]) {
    assert.equal(code, 1);
    assert.match(err, /line 2/);
    assert.match(err, /line 3/);
  }
  // Nothing was half-applied: the good file can still be loaded into the same folder.
  const hub = await serve(t, join(folder, "data"), { more: ["--competition", demo] });
  assert.match(hub.out, /53 bouts on 3 mats/);
});

test("answers pages and says how it is", async (t) => {
  const hub = await serve(t, scratch(t), { more: ["--competition", demo, "--title", "Test day"] });
  assert.match(hub.out, /Test day: 53 bouts on 3 mats\./);
  assert.match(hub.out, /Whoever uses it can score/);
  assert.equal(await (await fetch(`${hub.url}/healthz`)).text(), "ok\n");
  const ready = await hub.ready();
  assert.match(ready.epoch, /^[0-9a-f]{16}$/);
  assert.equal(ready.number, 2);
  assert.equal(ready.room, true);
  for (const path of ["/", "/table", "/board", "/hall", "/desk"]) {
    const page = await fetch(hub.url + path);
    assert.equal(page.status, 200, path);
    assert.match(page.headers.get("content-security-policy"), /default-src 'self'/);
    const again = await fetch(hub.url + path, { headers: { "if-none-match": page.headers.get("etag") } });
    assert.equal(again.status, 304, path);
  }
});

for (const signal of ["SIGTERM", "SIGINT"]) {
  test(`${signal} ends it with a goodbye, and leaves one file`, { timeout: 20_000 }, async (t) => {
    const data = scratch(t);
    const hub = await serve(t, data, { more: ["--competition", demo] });
    const table = await Table.connect(hub.port, "00000000000000aa");
    assert.deepEqual(await hub.stop(signal), { code: 0, signal: null });
    assert.equal(await table.closed, 1001); // "going away", RFC 6455 7.4.1
    assert.equal(table.goodbye[1], 11); // REASON_STOPPING
    assert.equal(table.goodbye[3], 1); // come back
    assert.throws(() => statSync(join(data, "journal.sqlite-wal")), { code: "ENOENT" });
    assert.equal(honbu("journal", "verify", "--data", data).code, 0);
  });
}

test("a rehearsal and a competition don't share a journal", async (t) => {
  const data = scratch(t);
  const hub = await serve(t, data, { more: ["--competition", demo, "--rehearsal-rate", "10"] });
  assert.match(hub.out, /REHEARSAL/);
  await hub.stop("SIGTERM");
  const { code, err } = serveIn(data);
  assert.equal(code, 1);
  assert.match(err, /rehearsal at 10 times the speed.*--rehearsal-rate 10/);
  const again = await serve(t, data, { more: ["--rehearsal-rate", "10"] });
  assert.equal((await again.ready()).number, 2);
});

test("the same competition file goes on, another one is refused", async (t) => {
  const data = scratch(t);
  const title = ["--title", "Day"];
  const hub = await serve(t, data, { more: ["--competition", demo, ...title] });
  await hub.stop("SIGTERM");
  const again = await serve(t, data, { more: ["--competition", demo, ...title] });
  assert.equal((await again.ready()).number, 2);
  await again.stop("SIGTERM");

  const other = join(scratch(t), "other.csv");
  const lines = readFileSync(demo, "utf8").trimEnd().split("\n");
  writeFileSync(other, [lines[0], lines[1], ""].join("\n"));
  const { code, err } = serveIn(data, "--competition", other, ...title);
  assert.equal(code, 1);
  assert.match(err, /already has a competition \(Day\)/);
});
