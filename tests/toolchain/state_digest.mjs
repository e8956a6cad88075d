// g++, clang 14 and wasm fold the same 100,000 generated bouts to the same states, byte for byte.
//
// HONBU_BUILD is the build whose state_digest and digest.wasm are run, HONBU_CLANG_BUILD that of clang 14. Only
// `tests/run --quick` leaves the last one away; then this says so. Anything else that is missing fails.
import { execFileSync } from "node:child_process";
import { digestByWasm } from "./digest_wasm.mjs";

const count = 100_000;
const build = process.env.HONBU_BUILD;
const clang = process.env.HONBU_CLANG_BUILD;

const native = (folder) => execFileSync(`${folder}/state_digest`, [String(count)], { encoding: "utf8" }).trim();
const digests = [["g++", native(build)], ["wasm", digestByWasm(build, count)]];
if (clang) digests.push(["clang", native(clang)]);

for (const [who, digest] of digests) console.log(`${who.padEnd(6)} ${digest}`);
if (!clang) console.log("clang  not built in this run (tests/run without --quick compares it too)");
if (digests.some(([, digest]) => !/^[0-9a-f]{64}$/.test(digest) || digest !== digests[0][1])) {
    console.error(`These differ over ${count} generated bouts: a compiler folds one of them otherwise. To find the first, run
state_digest COUNT of both with fewer bouts.`);
    process.exit(1);
}
