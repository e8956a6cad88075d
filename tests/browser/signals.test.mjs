// When the end signal sounds (clients/web/src/signals.ts).
//
// What is checked against: the signal comes when time is up; under rules that let it wait, it comes when the
// hold that is running then ends (`end-signal`; docs/rules.md, section 6.2, names who says so).
import assert from "node:assert/strict";
import { test } from "node:test";
import { require } from "../packages.mjs";

const esbuild = require("esbuild");
const built = await esbuild.build({ entryPoints: [new URL("../../clients/web/src/signals.ts", import.meta.url).pathname],
    bundle: true, format: "esm", write: false, logLevel: "warning",
    nodePaths: [new URL("../../clients/web/node_modules", import.meta.url).pathname] });
const { signalsOf } = await import(`data:text/javascript;base64,${Buffer.from(built.outputFiles[0].contents).toString("base64")}`);

const none = 0;
const timeUp = 1;
const holdEnded = 3; // Frame.Why of proto/honbu/v1/hub.proto
const view = (...frames) => ({ bout: { bout: 1 }, frames });
const kinds = (signals) => signals.map(({ kind, from }) => `${kind} at ${from}`);
const fighting = { from: 0, why: none, timeUp: false, signalWaits: false };

test("time up sounds at its instant, and the end of a hold has its own sound", () => {
    const up = { from: 5000, why: timeUp, timeUp: true, signalWaits: false };
    assert.deepEqual(kinds(signalsOf(view(fighting, up), undefined)), ["time_up at 5000"]);
    const ended = { from: 9000, why: holdEnded, timeUp: true, signalWaits: false };
    assert.deepEqual(kinds(signalsOf(view(fighting, up, ended), fighting)), ["time_up at 5000", "hold_ended at 9000"]);
});

test("a signal that waits sounds when the hold ends by itself, once", () => {
    const waits = { from: 5000, why: timeUp, timeUp: true, signalWaits: true };
    const ended = { from: 9000, why: holdEnded, timeUp: true, signalWaits: false };
    const coming = signalsOf(view(fighting, waits, ended), fighting);
    assert.deepEqual(kinds(coming), ["time_up at 9000"]);
    // Looked at again later, it is the same signal under the same name.
    const again = signalsOf(view(fighting, waits, ended), ended);
    assert.deepEqual(again.map(({ key }) => key), coming.map(({ key }) => key));
});

test("a signal that waits sounds at toketa, and not again with the next call", () => {
    const waits = { from: 5000, why: timeUp, timeUp: true, signalWaits: true };
    const toketa = { from: 7000, why: none, timeUp: true, signalWaits: false };
    assert.deepEqual(kinds(signalsOf(view(toketa), waits)), ["time_up at 7000"]);
    assert.deepEqual(kinds(signalsOf(view({ ...toketa, from: 8000 }), toketa)), []);
});
