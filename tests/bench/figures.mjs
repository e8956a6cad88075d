// Figures of the whole program, for people: node tests/bench/figures.mjs BUILD-FOLDER
//
// Table press to board change (200 presses in a real browser), start with an empty journal and with 20,000
// records, memory with 50 screens, sizes. Nothing here passes or fails.
import { execFileSync } from "node:child_process";
import { readFileSync, statSync } from "node:fs";
import { join, resolve } from "node:path";
import { gzipSync } from "node:zlib";

const build = resolve(process.argv[2] ?? ".build/release");
process.env.HONBU = join(build, "honbu");
const { Hub, openBrowser, Operator, until } = await import("../browser/evening.mjs");
const { Client } = await import("../wire_client.mjs");

const bouts = 500;
const rows = Array.from({ length: bouts }, (_, i) => `${i + 1},1,men -73 kg,2025,4:00,round 1,White ${i},Club A,Blue ${i},Club B`);
const csv = `bout,mat,category,rules,time,round,white,white_club,blue,blue_club\n${rows.join("\n")}\n`;

const say = (what, value) => console.log(`${what.padEnd(58)} ${value}`);
const quantile = (values, q) => [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(values.length * q))];
const ms = (value) => `${value.toFixed(1)} ms`;
const memory = (pid) => Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, "utf8"))[1]);

async function restart(hub) {
    hub.process.kill("SIGTERM");
    await hub.ended;
    const begun = performance.now();
    await hub.again();
    return performance.now() - begun;
}

// -- sizes
const wasm = readFileSync(join(build, "honbu.wasm"));
say("program", `${(statSync(process.env.HONBU).size / 1e6).toFixed(2)} MB`);
say("wasm engine", `${(wasm.length / 1024).toFixed(0)} KiB, gzip ${(gzipSync(wasm, { level: 9 }).length / 1024).toFixed(0)} KiB`);

// -- press to board
const hub = await Hub.start({ csv, title: "Figures" });
const browser = await openBrowser();
const table = await browser.newPage();
const board = await browser.newPage();
await board.goto(`${hub.address}/board.html?mat=1`);
const operator = await Operator.sit(table, hub, 1);
await table.getByTestId("next-bout").click();
await operator.press("hajime");
await until("the board", async () => (await board.getByTestId("clock").count()) > 0);
// Both pages read the same machine's clock; the board notes when its yuko cell changes.
await board.evaluate(() => {
    globalThis.changes = [];
    const cell = document.querySelector('[data-testid="score-yuko-white"]');
    new MutationObserver(() => globalThis.changes.push([Number(cell.textContent), performance.timeOrigin + performance.now()]))
        .observe(cell, { childList: true, characterData: true, subtree: true });
});
await table.evaluate(() => {
    globalThis.presses = [];
    window.addEventListener("keydown", (event) =>
        globalThis.presses.push([event.code, performance.timeOrigin + event.timeStamp]), true);
});
const yuko = (count) => until("the board", async () =>
    (await board.evaluate(() => globalThis.changes.at(-1)?.[0])) === count || undefined);
for (let i = 0; i < 100; i++) {
    await operator.press("yuko_white");
    await yuko(1);
    await table.keyboard.press("Backspace"); // undo: strikes it again
    await yuko(0);
}
const presses = (await table.evaluate(() => globalThis.presses)).filter(([code]) => code === "KeyD" || code === "Backspace");
const changes = await board.evaluate(() => globalThis.changes);
const took = presses.map(([, at], i) => changes[i][1] - at);
say(`table press to board change, ${took.length} presses, median`, ms(quantile(took, 0.5)));
say("   99th percentile", ms(quantile(took, 0.99)));
await browser.close();

// -- start
say("start with a small journal, to serving", ms(await restart(hub)));

// -- memory with 50 screens
const before = memory(hub.process.pid);
const screens = [];
for (let i = 0; i < 50; i++) {
    const screen = await Client.connect(hub.port, { role: "ROLE_HALL" });
    screen.send({ case: "subscribe", value: { allMats: true } });
    screens.push(screen);
}
await Promise.all(screens.map((screen) => screen.next("mat")));
say("memory of the hub, no screens / with 50 screens", `${(before / 1024).toFixed(1)} MiB / ${(memory(hub.process.pid) / 1024).toFixed(1)} MiB`);
for (const screen of screens) screen.close();
await hub.stop();

// -- 20,000 records: 500 bouts of 40 calls
const big = await Hub.start({ csv, title: "Figures" });
const client = await Client.connect(big.port, { role: "ROLE_TABLE", device: "00000000000000aa", run: "00000000000000bb", foldVersion: 2 });
client.send({ case: "takeMat", value: { mat: 1 } });
const { term } = (await client.next("allotment")).value;
let number = 0;
let answered = 0;
client.onMessage = (kind) => { if (kind.case === "verdict") answered += 1; };
const begun = performance.now();
for (let bout = 1; bout <= bouts; bout++) {
    for (let i = 0; i < 40; i++) {
        number += 1;
        const plain = i === 0 ? "PLAIN_CALLED" : i % 2 === 1 ? "PLAIN_HAJIME" : "PLAIN_MATE";
        client.send({ case: "submit", value: { call: { id: { run: "00000000000000bb", number }, term, mat: 1, bout,
            entered: number * 1000, plain } } });
    }
    await until("verdicts", async () => number - answered < 200 || undefined);
}
await until("the last verdict", async () => answered === number || undefined);
say(`${number} calls from one table, 200 on their way at once`, `${(number / ((performance.now() - begun) / 1000)).toFixed(0)} a second`);
client.close();
say(`start with ${number} records, to serving`, ms(await restart(big)));
say("   honbu journal replay over them", (() => {
    const at = performance.now();
    execFileSync(process.env.HONBU, ["journal", "replay", "--data", big.data], { maxBuffer: 1e8 });
    return ms(performance.now() - at);
})());
say("memory of the hub with them", `${(memory(big.process.pid) / 1024).toFixed(1)} MiB`);
await big.stop();
