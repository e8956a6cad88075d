#!/usr/bin/env node
// Figures of the engine alone, with the aims beside them: node tests/bench/engine.mjs [BUILD-FOLDER]
//
// One call folded, a bout folded anew, a day, allocations; the same work in wasm and natively; the size of
// honbu.wasm. Nothing here passes or fails: run it on a quiet machine and look.
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { brotliCompressSync, gzipSync } from "node:zlib";
import { digestByWasm } from "../toolchain/digest_wasm.mjs";

const build = resolve(process.argv[2] ?? ".build/release");
const report = JSON.parse(execFileSync(join(build, "engine_bench"),
    ["--benchmark_format=json", "--benchmark_repetitions=5", "--benchmark_report_aggregates_only=true"],
    { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] }));
const of = (name) => report.benchmarks.find((each) => each.run_name === name && each.aggregate_name === "median");
const say = (what, value, aim = "") => console.log(`${what.padEnd(52)} ${value.padEnd(16)} ${aim}`);
const us = (name) => `${(of(name).real_time / 1000).toFixed(2)} µs`;
const each = (name) => of(name).allocations_per_event.toFixed(2);

say("(median of five)", "seen", "aim");
say("one call folded, of 40", `${(of("fold_40/plain").per_event * 1e9).toFixed(0)} ns`, "100 ns, then 50");
say("a bout of 40 calls folded anew", us("fold_40/plain"), "4 µs, then 2");
say("   with corrections in it", us("fold_40/corrected"));
say("   what is coming as well (30 calls)", us("frames_40"));
say("   whether the 40th call may be entered", us("no_entry_40"));
say("a day of 440 bouts", `${of("day_of_440").real_time.toFixed(2)} ms`, "10 ms, then 5");
say(`   entered call by call (${of("day_of_440").calls} calls)`, `${of("day_of_440_call_by_call").real_time.toFixed(1)} ms`);
say("allocations for each call folded, of 40", each("fold_40/plain"), "0");
say("   with corrections in it", each("fold_40/corrected"));
say("   in a day", each("day_of_440"), "0");

// The digest work of tests/toolchain, which is generating, asking, folding, encoding and hashing.
const bouts = 10_000;
const took = (work) => Math.min(...Array.from({ length: 3 }, () => {
    const begun = performance.now();
    work();
    return performance.now() - begun;
}));
const native = took(() => execFileSync(join(build, "state_digest"), [String(bouts)]));
const wasm = took(() => digestByWasm(build, bouts));
say(`wasm against native, ${bouts} generated bouts`, `${(wasm / native).toFixed(2)} ×`, "2.5 ×, then 1.5");

const size = readFileSync(join(build, "honbu.wasm"));
const kb = (bytes) => `${(bytes / 1024).toFixed(1)} KB`;
say("honbu.wasm", kb(size.length));
say("   gzip", kb(gzipSync(size, { level: 9 }).length), "40 KB, then 20");
say("   brotli", kb(brotliCompressSync(size).length));
