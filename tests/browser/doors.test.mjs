// Letting devices in, as people see it: real pages in Chromium, a real hub with its doors closed. docs/doors.md, "In the morning".
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { Hub, openBrowser, until, watch } from "./evening.mjs";
import { require } from "../packages.mjs";

const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const csv = [
    "mat,bout,category,rules,time,round,white,white_club,blue,blue_club",
    "1,1,women -57 kg,2018,4:00,final,Ada Norlund,Sund JC,Mirela Costin,Orsova JK",
    "2,2,women -63 kg,2018,4:00,final,Runa Skeld,Sund JC,Ivana Petrov,Tara Judo", "",
].join("\n");

let browser;
before(async () => { browser = await openBrowser(); });
after(() => browser?.close());

async function device(t, hub, path, complaints) {
    const context = await browser.newContext();
    t.after(() => context.close());
    const page = await context.newPage();
    watch(page, complaints);
    await page.goto(hub.address + path);
    return page;
}

// WCAG 2.2, levels A and AA, as far as axe can see it.
async function accessible(page) {
    await page.evaluate(axe);
    const found = await page.evaluate(() => globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"] }));
    assert.deepEqual(found.violations.map((rule) => [rule.id, rule.nodes.map((node) => node.target)]), []);
}

test("a hub with its doors closed is opened from its terminal, and the desk lets a table in and shuts it out", { timeout: 120_000 }, async (t) => {
    const hub = await Hub.start({ csv, doors: true });
    t.after(() => hub.stop());
    const complaints = [];

    // Who only looks is asked nothing.
    const board = await device(t, hub, "/board.html?mat=1", complaints);
    await board.getByText("Ada Norlund").first().waitFor();

    // The first desk: the code comes with the address, behind the #, and is gone from there at once.
    const code = (await hub.tool("code")).split("\n")[0];
    const desk = await device(t, hub, `/desk.html#code=${code}`, complaints);
    await desk.getByTestId("devices").waitFor();
    assert.equal(new URL(desk.url()).hash, "");

    const table = await device(t, hub, "/table.html?mat=2", complaints);
    const shown = table.getByTestId("door-code");
    await shown.waitFor();
    assert.match(await shown.textContent(), /^\d{3} \d{3}$/);
    await accessible(table);
    const waiting = desk.getByTestId("waiting");
    await waiting.waitFor();
    assert.ok((await waiting.textContent()).includes(await shown.textContent()), "both show the same digits");
    await accessible(desk);
    await waiting.getByTestId("let-in-2").click();
    await table.getByTestId("take-2").click();
    await table.getByTestId("next-bout").click();
    await table.getByTestId("key-hajime").waitFor();
    assert.equal(await table.getByTestId("take-1").count(), 0, "it is let in for one mat");

    // Reloaded it is known.
    await table.reload();
    await table.getByTestId("key-hajime").waitFor();

    // Shut out, with a reason, it is told at once; and the mat is free.
    const one = desk.getByTestId("inside").filter({ hasText: "table of mat 2" });
    await one.getByTestId("shut-out").click();
    await desk.getByTestId("reason").fill("left in the café");
    await desk.getByTestId("shut-out-now").click();
    await until("the table to be told", async () => /shut this device out: left in the café/.test(await table.locator("body").textContent()));
    await until("the mat to be free", async () => (await desk.getByTestId("mat-2").getByTestId("line").textContent()) === "no table");
    const log = await hub.tool("journal", "show");
    assert.match(log, /let in as desk/);
    assert.match(log, /let in as table of mat 2/);
    assert.match(log, /shut out: left in the café/);
    assert.deepEqual(complaints, []);
});

test("a wrong code makes no desk, and a typed one does", { timeout: 60_000 }, async (t) => {
    const hub = await Hub.start({ csv, doors: true });
    t.after(() => hub.stop());
    const code = (await hub.tool("code")).split("\n")[0];
    const desk = await device(t, hub, "/desk.html", []);
    await desk.getByTestId("terminal-code").fill("0000-0000");
    await desk.getByTestId("use-code").click();
    await until("a word about it", async () => /not the code/.test(await desk.getByTestId("refused").textContent()));
    assert.equal(await desk.getByTestId("devices").count(), 0);
    await desk.getByTestId("terminal-code").fill(code.toLowerCase().replace("-", " "));
    await desk.getByTestId("use-code").click();
    await desk.getByTestId("devices").waitFor();
    // A set-up page, let in by the desk, lets tables in as well.
    const setUp = await device(t, hub, "/setup.html", []);
    await setUp.getByTestId("door-code").waitFor();
    await desk.getByTestId("make").click();
    await desk.getByTestId("let-in").click();
    await setUp.getByTestId("devices").waitFor();
    await accessible(setUp);
    const table = await device(t, hub, "/table.html", []);
    await table.getByTestId("door-code").waitFor();
    await setUp.getByTestId("let-in-1").click();
    await table.getByTestId("take-1").waitFor();
});
