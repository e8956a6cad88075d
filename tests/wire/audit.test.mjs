// Every record to who audits, over the wire with the real hub: from any number on, also after a restart, when the hub
// has to read them out of its journal. What is beside it: `honbu journal show`, which reads the same file by itself.
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { test } from "node:test";
import { competition, honbu, scratch, serve } from "./one_hub.mjs";
import { screen, Table } from "./table.mjs";

const limit = { timeout: 60_000 };
const desk = (port, auditAfter, more = {}) => screen(port, { audit: true, auditAfter, ...more }, "ROLE_DESK", { device: "00000000000000e7" });

async function readUntil(client, last) {
    const records = [];
    while (records.at(-1)?.number !== last) records.push((await client.next("record")).value);
    return records;
}
const numbers = (records) => records.map(({ number }) => number);
const fromTo = (first, last) => Array.from({ length: last - first + 1 }, (_, i) => first + i);

test("the audit goes on after a restart where it was left, and is what the journal says", limit, async (t) => {
    const folder = scratch(t);
    const first = await serve(t, folder, { more: ["--competition", competition(folder, { bouts: 40 })] });
    const table = await Table.sit(first.port, "00000000000000a1", 1);
    for (let bout = 1; bout <= 20; ++bout) await table.confirm(bout);
    const auditor = await desk(first.port, 0);
    const { number: before } = await first.ready();
    const records = await readUntil(auditor, before);
    auditor.close();
    await first.stop("SIGKILL");

    const second = await serve(t, folder);
    const again = await Table.sit(second.port, "00000000000000a2", 1, { takeOver: true });
    const left = await desk(second.port, before - 30); // in the middle of what this process has only replayed
    for (let bout = 21; bout <= 40; ++bout) await again.confirm(bout);
    const { number: after } = await second.ready();
    const rest = await readUntil(left, after);
    assert.deepEqual(numbers(rest), fromTo(before - 29, after));
    assert.deepEqual(rest.slice(0, 30).map(({ bytes }) => Buffer.from(bytes)), records.slice(-30).map(({ bytes }) => Buffer.from(bytes)));
    left.close();

    const whole = await desk(second.port, 0);
    const all = await readUntil(whole, after);
    assert.deepEqual(numbers(all), fromTo(1, after));
    whole.close();
    await second.stop("SIGTERM");
    // The same chain as the file, which is one file again (docs/journal.md).
    const hash = createHash("sha256").update(Buffer.from(all.at(-1).bytes)).digest("hex");
    const shown = honbu("journal", "verify", "--data", folder);
    assert.equal(shown.code, 0, shown.err);
    assert.ok(shown.out.includes(`record ${after}, hash ${hash}`), shown.out);
    const lines = honbu("journal", "show", "--data", folder).out.trimEnd().split("\n");
    for (const { number, words } of all) assert.ok(lines.some((line) => line.startsWith(`${number} `) && line.includes(words.trim())), `record ${number}: ${words}`);
});

// Only a table or a desk that knows a hash as well is believed: a phone does not set off an alarm at the head table.
test("who has seen more than there is hears how much is missing; of a desk so do the figures", limit, async (t) => {
    const folder = scratch(t);
    const own = await serve(t, folder, { more: ["--competition", competition(folder)] });
    const { epoch, number } = await own.ready();
    const figure = async () => /^honbu_journal_missing_records (\d+)$/m.exec(await (await fetch(`${own.url}/metrics`)).text())[1];
    const comes = (role, more) => screen(own.port, undefined, role, { seenEpoch: epoch, ...more });
    const before = { seenNumber: number };
    const ahead = { seenNumber: number + 17, seenHash: "00000000000000ff", device: "00000000000000e8" };
    const clients = [await comes("ROLE_HALL", before), await comes("ROLE_HALL", ahead)];
    assert.deepEqual(clients.map(({ welcome }) => welcome.missing), [0, 17]);
    assert.equal(await figure(), "0");
    clients.push(await comes("ROLE_DESK", ahead));
    assert.equal(clients.at(-1).welcome.missing, 17);
    assert.equal(await figure(), "17");
    while (!/17 records more/.test(own.err + own.out)) await new Promise((done) => setTimeout(done, 10)); // whoever runs the hub
    clients.push(await comes("ROLE_HALL", { ...before, seenHash: "00000000000000ff" }));
    assert.deepEqual([clients.at(-1).welcome.missing, clients.at(-1).welcome.differs], [0, true]);
    for (const client of clients) client.close();
});
