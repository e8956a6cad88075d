// Do the programs behind the figures still do what they say? Small runs of each; no time is looked at. What is expected follows from
// the run itself: each screen gets each event once, and frames are as big as they were asked to be.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import test from "node:test";
import { Sides } from "./sides.mjs";

const build = process.env.HONBU_BUILD ?? ".build/release";
const sides = new Sides(build);
const screens = 5;
const events = 6;
const load = ["--screens", screens, "--flight", events, "--each", 2, "--settle", 0];
const hall = { mats: 2 };

const told_all = (side) => {
    assert.equal(side.events, events * 2);
    assert.equal(side.deliveries, events * 2 * screens);
};

test("every screen gets every event of the hub, of the floor and of bare, in frames of one size", async () => {
    const hub = await sides.hub(hall, load);
    told_all(hub);
    const floor = await sides.floor(hub.bytes, hall, load);
    told_all(floor);
    assert.ok(Math.abs(floor.bytes - hub.bytes) <= 1, `${floor.bytes} and ${hub.bytes} bytes`);
    for (const way of ["fdatasync", "sqlite"]) told_all(await sides.bare(way, hub, hall, load));
});

test("a long journal has the records asked for, and every link of it holds", () => {
    const folder = mkdtempSync(join(tmpdir(), "honbu-bench-"));
    try {
        const records = 2_000;
        const million = (...words) => JSON.parse(execFileSync(sides.program("bench_million"), words.map(String), { encoding: "utf8" }));
        assert.equal(million("write", folder, records).records, records);
        assert.equal(million("floor", folder).records, records);
        const verified = execFileSync(sides.program("honbu"), ["journal", "verify", "--data", folder], { encoding: "utf8" });
        assert.match(verified, /record 2000\b/);
    } finally {
        rmSync(folder, { recursive: true, force: true });
    }
});
