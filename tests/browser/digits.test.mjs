// The figures of every clock come twice: from the engine where it writes a sentence, and from the pages where a
// clock runs by itself between two of its words. They must be the same text at the same millisecond.
//
// What is checked against: honbu.wasm itself; that remaining time is rounded up, so that 0:00 comes with the
// signal, and that a hold and golden score are rounded down (engine/bout/clock_text.h: common practice, no source).
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { test } from "node:test";
import { require } from "../packages.mjs";

const esbuild = require("esbuild");
const text = new TextDecoder();

async function engine() {
    const module = await WebAssembly.compile(await readFile(join(process.env.HONBU_BUILD, "honbu.wasm")));
    const stop = () => { throw new Error("the engine stopped"); };
    const imports = {};
    for (const { module: from, name } of WebAssembly.Module.imports(module)) (imports[from] ??= {})[name] = stop;
    const { exports } = await WebAssembly.instantiate(module, imports);
    exports._initialize?.();
    return (ms, down) => {
        const length = exports.honbu_digits(ms, down ? 1 : 0);
        return text.decode(new Uint8Array(exports.memory.buffer, exports.honbu_out() >>> 0, length));
    };
}

async function page() {
    const built = await esbuild.build({ entryPoints: [new URL("../../clients/web/src/frames.ts", import.meta.url).pathname],
        bundle: true, format: "esm", write: false, logLevel: "warning" });
    return import(`data:text/javascript;base64,${Buffer.from(built.outputFiles[0].contents).toString("base64")}`);
}

const digits = await engine();
const frames = await page();

// Every value a clock can stand at near a change of its last digit, to well over the longest bout.
const values = [];
for (let second = 0; second <= 30 * 60; second++) {
    for (const beside of [-2, -1, 0, 1, 2, 499, 500, 501]) values.push(second * 1000 + beside);
}
const from0 = values.filter((ms) => ms >= 0);

test("pages and engine write the same figures", () => {
    for (const ms of from0) {
        assert.equal(frames.downText(ms), digits(ms, true), `${ms} ms, counting down`);
        assert.equal(frames.upText(ms), digits(ms, false), `${ms} ms, counting up`);
    }
    assert.equal(digits(1, true), "0:01");
    assert.equal(digits(999, false), "0:00");
    assert.equal(digits(60_001, true), "1:01");
});

test("each clock of a frame rounds its own way, also while it runs", () => {
    const clock = { running: true, ms: 0 };
    const frame = { from: 1000, regularMs: 240_000, hold: { running: true, ms: 0 }, pastHold: { ms: 0 },
        absence: { running: true, leftMs: 60_000 } };
    for (const gone of from0.filter((ms) => ms <= 60_000)) {
        const now = 1000 + gone;
        const down = { ...frame, clock: { ...clock, down: true, ms: 240_000 } };
        assert.equal(frames.contestReading(down, now).text, digits(240_000 - gone, true));
        const up = { ...frame, clock: { ...clock, down: false } };
        assert.equal(frames.contestReading(up, now).text, digits(gone, false));
        assert.equal(frames.totalReading(up, now).text, digits(240_000 + gone, false));
        assert.equal(frames.holdReading(frame, now).text, digits(gone, false));
        assert.equal(frames.absenceReading(frame, now).text, digits(60_000 - gone, true));
        assert.equal(frames.pastHoldReading({ pastHold: { ms: gone } }).text, digits(gone, false));
    }
});
