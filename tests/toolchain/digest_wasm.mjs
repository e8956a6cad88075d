// Runs digest.wasm (tests/toolchain/digest_wasm.cpp) for so many bouts and gives the digest in hex.
import { readFileSync } from "node:fs";

export function digestByWasm(build, count) {
    const module = new WebAssembly.Module(readFileSync(`${build}/digest.wasm`));
    const asked = WebAssembly.Module.imports(module).map((each) => `${each.module}.${each.name}`);
    if (asked.length > 0) throw new Error(`digest.wasm imports ${asked.join(", ")}; see README.md here for what does that.`);
    const { exports } = new WebAssembly.Instance(module);
    exports._initialize();
    for (let first = 0; first < count; first += 1000) exports.digest_more(first, Math.min(1000, count - first));
    return Array.from({ length: 32 }, (_, i) => exports.digest_byte(i).toString(16).padStart(2, "0")).join("");
}
