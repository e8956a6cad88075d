// honbu.wasm asks its page for nothing: no clock, no output, no random numbers, so it can't depend on any.
// What brings imports in by accident is listed in README.md beside this file.
import { readFileSync } from "node:fs";

const bytes = readFileSync(`${process.env.HONBU_BUILD}/honbu.wasm`);
const wasm = await WebAssembly.compile(bytes);
const imports = WebAssembly.Module.imports(wasm).map((each) => `${each.module}.${each.name}`);
const exports = WebAssembly.Module.exports(wasm).map((each) => each.name);
console.log(`honbu.wasm: ${bytes.length} bytes, exports ${exports.join(", ")}`);
if (imports.length > 0) {
    console.error(`honbu.wasm imports ${imports.join(", ")}; see tests/toolchain/README.md for what does that.`);
    process.exit(1);
}
