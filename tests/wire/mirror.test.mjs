// A second copy of the journal, with the real hub: it follows, says when it does not, and the hall goes on from it after
// the machine with the journal is gone. What is beside it: `honbu journal verify` on either folder; a new epoch as
// docs/journal.md, section 8, says it.
import assert from "node:assert/strict";
import { existsSync, rmSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { competition, honbu, scratch, serve } from "./one_hub.mjs";
import { screen, Table } from "./table.mjs";

const limit = { timeout: 60_000 };
const device = "00000000000000a1";
const desk = (port) => screen(port, { tables: true }, "ROLE_DESK", { device: "00000000000000d1" });
const mirrorIs = (client, how) => client.next("tables", ({ mirror }) => mirror?.how === how).then(({ value }) => value.mirror);
const [follows, stopped] = [1, 3];

function verified(folder) {
    const { code, out, err } = honbu("journal", "verify", "--data", folder);
    assert.equal(code, 0, err);
    const [, epoch, record, hash] = /epoch (\w+), record (\d+), hash (\w+)/.exec(out);
    return { epoch, record: Number(record), hash };
}

test("the mirror has what the journal has, and the hall goes on from it in a new epoch", limit, async (t) => {
    const folder = scratch(t);
    const [data, stick, next] = ["data", "stick", "next"].map((name) => join(folder, name));
    const first = await serve(t, data, { more: ["--competition", competition(folder, { bouts: 6 }), "--mirror", stick] });
    const table = await Table.sit(first.port, device, 1);
    for (let bout = 1; bout <= 3; ++bout) await table.confirm(bout);
    const looking = await desk(first.port);
    await mirrorIs(looking, follows);
    await first.stop("SIGTERM"); // what was acknowledged last is there as well
    assert.equal(existsSync(join(data, "journal.sqlite-wal")), false, "a hub with a mirror leaves one file too");
    const before = verified(data);
    assert.deepEqual(verified(stick), before);

    // No hub goes on in the copy itself, nor over a journal that has not gone on from it.
    const other = join(folder, "other");
    await (await serve(t, other, { more: ["--competition", competition(folder, { bouts: 6 })] })).stop("SIGTERM");
    for (const [more, words] of [[["--data", stick], /holds a copy of a journal/],
        [["--data", other, "--from-copy", stick], /not one that has gone on from/],
        [["--data", data, "--mirror", other], /holds a hub's own journal, not a mirror/],
        [["--data", data, "--mirror", data], /in the same folder/]]) {
        const { code, err } = honbu("serve", ...more, "--listen", "127.0.0.1:0");
        assert.equal(code, 1);
        assert.match(err, words);
    }
    assert.equal(statSync(join(stick, "journal.sqlite")).mode & 0o007, 0, "it names people");
    rmSync(data, { recursive: true }); // that machine is gone
    const second = await serve(t, next, { more: ["--from-copy", stick, "--mirror", join(folder, "stick 2")] });
    const { epoch, number } = await second.ready();
    assert.notEqual(epoch, before.epoch);
    assert.equal(number, before.record + 1);
    const shown = await screen(second.port, { allMats: true, results: true });
    assert.deepEqual(shown.welcome.earlierEpochs, [before.epoch]);
    for (let bout = 1; bout <= 3; ++bout) assert.equal((await shown.next("finished")).value.bout.bout, bout);
    const { value: view } = await shown.next("mat", ({ mat }) => mat === 1);
    assert.equal(view.table, 0, "nobody has a mat until it is taken again");
    const again = await Table.sit(second.port, device, 1, { run: "00000000000000a2" });
    assert.ok(again.allotment.term > table.allotment.term + 1, `term ${again.allotment.term}`);
    await again.confirm(4);
    await second.stop("SIGTERM");
    const after = verified(next);
    assert.deepEqual(verified(join(folder, "stick 2")), after);
    // The same command again, as a service does: it has gone on from there already.
    await (await serve(t, next, { more: ["--from-copy", stick] })).stop("SIGTERM");
    assert.deepEqual(verified(next), after);
    assert.deepEqual(verified(stick), before, "the copy stayed as it was");
    // From now on a journal like any other.
    await (await serve(t, next)).stop("SIGTERM");
});

test("a start from a copy that fails leaves it a copy, and the right command goes on", limit, async (t) => {
    const folder = scratch(t);
    const [data, copy, next] = ["data", "copy", "next"].map((name) => join(folder, name));
    const file = competition(folder, { bouts: 4 });
    await (await serve(t, data, { more: ["--competition", file] })).stop("SIGTERM");
    assert.equal(honbu("journal", "copy", "--data", data, "--to", copy).code, 0);
    const wrong = honbu("serve", "--data", next, "--from-copy", copy, "--competition", file, "--title", "Another", "--listen", "127.0.0.1:0");
    assert.equal(wrong.code, 1);
    assert.match(wrong.err, /already has this competition/);
    const without = honbu("serve", "--data", next, "--listen", "127.0.0.1:0");
    assert.equal(without.code, 1);
    assert.match(without.err, /was to go on from a copy, and that start was broken off/);
    const source = honbu("journal", "copy", "--data", next, "--to", join(folder, "third"));
    assert.match(source.err, /is no whole copy/);
    await (await serve(t, next, { more: ["--from-copy", copy] })).stop("SIGTERM");
    assert.equal(verified(next).record, verified(copy).record + 1);
    await (await serve(t, next)).stop("SIGTERM");
});

test("a mirror that can't be written is said to the desk, delays nothing, and goes on when it can", limit, async (t) => {
    const folder = scratch(t);
    const [data, place] = ["data", "place"].map((name) => join(folder, name));
    const stick = join(place, "mirror");
    writeFileSync(place, "no folder");
    const hub = await serve(t, data, { more: ["--competition", competition(folder, { bouts: 4 }), "--mirror", stick] });
    const looking = await desk(hub.port);
    const mirror = await mirrorIs(looking, stopped);
    assert.match(mirror.words, /can't be made/);
    const table = await Table.sit(hub.port, device, 1);
    await table.confirm(1);
    const figures = await (await fetch(`${hub.url}/metrics`)).text();
    assert.match(figures, /^honbu_mirror_follows 0$/m);
    rmSync(place);
    await mirrorIs(looking, follows);
    await hub.stop("SIGKILL");
    assert.deepEqual(verified(stick), verified(data));
});

test("journal copy takes what is new, beside a running hub, and leaves alone what is another's", limit, async (t) => {
    const folder = scratch(t);
    const [data, copy, other] = ["data", "copy", "other"].map((name) => join(folder, name));
    const file = competition(folder, { bouts: 4 });
    const hub = await serve(t, data, { more: ["--competition", file] });
    const table = await Table.sit(hub.port, device, 1);
    assert.equal(honbu("journal", "copy", "--data", data, "--to", copy).code, 0);
    await table.confirm(1);
    const { code, out } = honbu("journal", "copy", "--data", data, "--to", copy);
    assert.equal(code, 0);
    assert.match(out, /The copy in .* has \d+ records, [1-9]\d* of them new\./);
    assert.deepEqual(verified(copy), verified(data));
    await (await serve(t, other, { more: ["--competition", file] })).stop("SIGTERM");
    const refused = honbu("journal", "copy", "--data", other, "--to", copy);
    assert.equal(refused.code, 1);
    assert.match(refused.err, /more records|another journal/);
    assert.deepEqual(verified(copy), verified(data));
    const lines = honbu("journal", "export", "--data", data).out.trim().split("\n").map((line) => JSON.parse(line).record);
    assert.deepEqual(lines.map(({ number }) => number), Array.from(lines, (_, i) => i + 1));
    assert.equal(lines.at(-1).hash, verified(data).hash.slice(0, 16));
    await hub.stop("SIGTERM");
});
