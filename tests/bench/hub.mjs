#!/usr/bin/env node
// Figures of the hub beside programs that do only the unavoidable: node tests/bench/hub.mjs BUILD [--only C1,C4] [--quick]
//
// Both sides run in turn, several rounds (--rounds N, else 5), and what is printed are medians and the median of the rounds'
// ratios. --quick is one round with fewer events. docs/speed.md says what each figure is. Nothing here passes or fails: run it on a quiet
// machine and look.
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { cpus, loadavg, release, tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { countCalls, countInstructions, Sides, there } from "./sides.mjs";

const args = process.argv.slice(2);
const quick = args.includes("--quick");
const option = (name) => (args.includes(name) ? args.splice(args.indexOf(name), 2)[1] : undefined);
const only = option("--only")?.split(",");
const rounds = Number(option("--rounds") ?? (quick ? 1 : 5));
const build = resolve(args.find((arg) => !arg.startsWith("--")) ?? ".build/release");
const sides = new Sides(build);

const wanted = (...figures) => figures.some((figure) => !only || only.includes(figure));
const median = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];
const less = (count) => Math.max(2, Math.round(quick ? count / 5 : count));
const round = (value) => (value >= 100 ? value.toFixed(0) : value >= 10 ? value.toFixed(1) : value.toFixed(2));

// -- the table
const say = (...cells) => console.log([cells[0].padEnd(4), cells[1].padEnd(56), ...cells.slice(2, 5).map((cell) => cell.padStart(11)), cells[5] ?? ""].join("  "));
// `pairs`: [hub, beside] of each round; where there is nothing to compare with, [hub].
function row(figure, what, unit, pairs, aim) {
    if (!wanted(figure)) return;
    const side = (at) => (pairs[0][at] === undefined ? "" : `${round(median(pairs.map((pair) => pair[at])))} ${unit}`);
    const ratio = pairs[0][1] === undefined ? "" : `${median(pairs.map(([hub, other]) => hub / other)).toFixed(2)} ×`;
    say(figure, what, side(0), side(1), ratio, aim);
}

// Runs the hub and then the other side, `rounds` times; [[hub, other], ...].
async function inTurn(hub, other) {
    const out = [];
    for (let i = 0; i < rounds; i++) {
        const first = await hub();
        out.push([first, await other(first)]);
    }
    return out;
}
const of = (pairs, value) => pairs.map((pair) => pair.map((side) => value(side)));
const skipped = (pairs) => {
    const part = 1 - median(pairs.map(([hub]) => hub.deliveries / hub.expected));
    return part > 0.001 ? `, ${(part * 100).toFixed(0)} % skipped for newer ones` : "";
};

// -- C1, C4, C5: one event in flight
async function oneInFlight(screens, events) {
    const load = ["--screens", screens, "--flight", less(events), "--each", 1, "--settle", screens >= 2000 ? 6 : 1];
    const bouts = Math.ceil(events / 20) + 2;
    const pairs = await inTurn(() => sides.hub({ bouts }, load), (hub) => sides.floor(hub.bytes, {}, load));
    const bytes = median(pairs.map(([hub]) => hub.bytes));
    row("C1", `CPU per delivery, one event in flight, ${screens} screens, ${bytes} B`, "µs", of(pairs, (side) => side.cpu_us_each), "1.3 ×, then 1.15");
    if (screens === 50) {
        const synced = await inTurn(() => sides.hub({ bouts }, load), (hub) => sides.bare("fdatasync", hub, {}, load));
        row("C1", "   the same beside bare, which syncs too", "µs", of(synced, (side) => side.cpu_us_each), "for comparison");
    }
    if (screens < 2000) return;
    row("C4", `memory per idle screen, ${screens} screens`, "KiB", of(pairs, (side) => side.memory / 1024), "4 KiB, then 2");
    row("C5", `CPU per client coming in, storm of ${screens}`, "µs", of(pairs, (side) => side.storm_us), "2 ×, then 1.5");
}
async function shortFrames() {
    const load = ["--screens", 2000, "--flight", less(100), "--each", 1];
    const floor = await sides.floor(150, {}, load);
    say("C1", "   the floor with frames of 150 B, 2000 screens", "", `${round(floor.cpu_us_each)} µs`, "", "for comparison");
}

// -- C2: sixteen mats, one event in flight on each
async function sixteenInFlight(screens, times) {
    const hall = { mats: 16, bouts: Math.ceil(times / 20) + 2 };
    const load = ["--screens", screens, "--flight", less(times), "--each", 16];
    const pairs = await inTurn(() => sides.hub(hall, load), (hub) => sides.floor(hub.bytes, hall, load));
    row("C2", `CPU per delivery, 16 events in flight, ${screens} screens`, "µs", of(pairs, (side) => side.cpu_us_each), "1.5 ×, then 1.2");
}

// -- C3: at a steady rate, from the press to the screen
async function steady(screens, rate, mats) {
    const events = less(rate * 10);
    const hall = { mats, bouts: Math.ceil(events / mats / 20) + 2 };
    const load = ["--screens", screens, "--rate", rate, "--events", events];
    const against = async (other) => inTurn(() => sides.hub(hall, load), other);
    const floor = await against((hub) => sides.floor(hub.bytes, hall, load));
    const what = `${screens} screens, ${rate} events/s`;
    row("C3", `99th percentile delivery, ${what}${skipped(floor)}`, "ms", of(floor, (side) => side.shown_us[1] / 1000), "1.3 ×, then 1.15");
    const bare = await against((hub) => sides.bare("fdatasync", hub, hall, load));
    row("C3", "   the same beside bare, which syncs too", "ms", of(bare, (side) => side.shown_us[1] / 1000), "for comparison");
}

// -- C6, C7: with the disk
const boards = 50;
const tables = 20;
async function durable(rate) {
    const events = less(rate * 10);
    const hall = { mats: tables, bouts: Math.ceil(events / tables / 20) + 2 };
    const load = ["--screens", boards, "--rate", rate, "--events", events];
    const pairs = await inTurn(() => sides.hub(hall, load), (hub) => sides.bare("fdatasync", hub, hall, load));
    const ms = (name, at) => of(pairs, (side) => side[name][at] / 1000);
    row("C6", `press to acknowledged, ${rate} events/s, median`, "ms", ms("ack_us", 0), "1.3 ×, then 1.1");
    row("C6", "   99th percentile", "ms", ms("ack_us", 1), "1.5 ×, then 1.2");
    row("C6", `press to ${boards} boards, ${rate} events/s, median${skipped(pairs)}`, "ms", ms("shown_us", 0), "1.3 ×, then 1.1");
    row("C6", "   99th percentile", "ms", ms("shown_us", 1), "1.5 ×, then 1.2");
}
async function busy(way) {
    const hall = { mats: tables, bouts: 100 };
    const load = ["--screens", boards, "--busy", quick ? 2 : 4];
    const pairs = await inTurn(() => sides.hub(hall, load), (hub) => sides.bare(way, hub, hall, load));
    row("C7", `durable events/s, 20 tables, 50 boards, beside ${way}${skipped(pairs)}`, "/s", of(pairs, (side) => side.events_a_second), "0.9 ×, then 1.2");
}

// -- C8: a long journal
async function restart() {
    const records = quick ? 100_000 : 1_000_000;
    const folder = mkdtempSync(join(tmpdir(), "honbu-bench-"));
    try {
        const million = (...words) => execFileSync(sides.program("bench_million"), words.map(String), { encoding: "utf8" });
        million("write", folder, records);
        let floor;
        const start = async () => {
            const begun = performance.now();
            const hub = await sides.start([sides.program("honbu"), "serve", "--anyone-may-score", "--data", folder, "--listen", "127.0.0.1:0"], /localhost:(\d+)\/table/);
            const took = (performance.now() - begun) / 1000;
            const memory = Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${hub.child.pid}/status`, "utf8"))[1]) / 1024;
            await hub.stop();
            return { took, memory };
        };
        const pairs = await inTurn(start, () => {
            floor = JSON.parse(million("floor", folder));
            return { took: floor.read_s + floor.parse_s };
        });
        row("C8", `start with ${records} records, to serving`, "s", of(pairs, (side) => side.took), "1.3 ×, then 1.0");
        row("C8", `   memory then`, "MiB", pairs.map(([hub]) => [hub.memory]), "");
    } finally {
        rmSync(folder, { recursive: true, force: true });
    }
}

// -- C11, C12
async function idle() {
    const hall = { mats: 12 };
    const seen = [];
    for (let i = 0; i < (quick ? 1 : 3); i++) seen.push([(await sides.hub(hall, ["--screens", 60, "--idle", quick ? 10 : 30])).idle * 100]);
    row("C11", "an idle hall: 12 mats with a bout on, 60 screens", "% CPU", seen, "1 %, then 0.3");
}
async function counts() {
    const burst = (screens, times) => ["--screens", screens, "--flight", times, "--each", 16];
    const hall = { mats: 16, bouts: 10 };
    const counted = {};
    if (there("strace")) {
        const run = await sides.hub(hall, burst(2000, less(20)), countCalls(counted));
        row("C12", "system calls per delivery, 16 in flight, 2000 screens", "", [[counted.calls / run.deliveries]], "0.15, then 0.1");
    } else say("C12", "system calls per delivery: not measured, strace missing");
    if (there("callgrind_control")) {
        const folder = mkdtempSync(join(tmpdir(), "honbu-bench-"));
        const file = join(folder, "callgrind");
        const before = ["valgrind", "--tool=callgrind", "--instr-atstart=no", `--callgrind-out-file=${file}`];
        const run = await sides.hub({ ...hall, before }, burst(500, less(25)), countInstructions(counted, file))
            .finally(() => rmSync(folder, { recursive: true, force: true }));
        row("C12", "instructions in user space per delivery, 16 in flight, 500", "", [[counted.instructions / run.deliveries]], "500, then 250");
    } else say("C12", "instructions per delivery: not measured, valgrind missing");
}

const machine = cpus();
console.log(`${machine.length} cores (${machine[0].model.trim()}), Linux ${release()}, load ${loadavg()[0].toFixed(1)} at the start; ${rounds} rounds\n`);
say("", "", "hub", "beside", "ratio", "aim");
if (wanted("C1")) {
    await oneInFlight(50, 1000);
    await oneInFlight(500, 400);
}
if (wanted("C1", "C4", "C5")) {
    await oneInFlight(2000, 150);
    await oneInFlight(10000, 40);
}
if (wanted("C1")) await shortFrames();
if (wanted("C2")) for (const [screens, times] of [[50, 200], [500, 100], [2000, 50], [10000, 15]]) await sixteenInFlight(screens, times);
if (wanted("C3")) {
    await steady(2000, 10, 10);
    await steady(50, 400, 20);
}
if (wanted("C6")) for (const rate of [100, 1000]) await durable(rate);
if (wanted("C7")) for (const way of ["fdatasync", "sqlite"]) await busy(way);
if (wanted("C8")) await restart();
if (wanted("C11")) await idle();
if (wanted("C12")) await counts();
