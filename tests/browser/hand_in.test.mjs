// A table whose hub is gone saves its kept calls as a file, and the desk of a hub that goes on elsewhere takes them in: real
// pages in Chromium, real hubs. docs/spare.md, "If a table can't come back"; docs/protocol.md, 12. SHA-256: node's own.
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { Hub, openBrowser, Operator, until, watch } from "./evening.mjs";

const csv = [
    "mat,bout,category,rules,time,round,white,white_club,blue,blue_club",
    "1,1,women -57 kg,2018,4:00,final,Ada Norlund,Sund JC,Mirela Costin,Orsova JK",
    "1,2,women -63 kg,2018,4:00,final,Runa Skeld,Sund JC,Ivana Petrov,Tara Judo", "",
].join("\n");

let browser;
before(async () => { browser = await openBrowser(); });
after(() => browser?.close());

const says = (page, words) => until(`the table to say ${words}`, async () => words.test(await page.getByTestId("indicator").textContent()));

test("what a table kept alone comes to the desk by hand, once", { timeout: 120_000 }, async (t) => {
    const hub = await Hub.start({ csv });
    t.after(() => hub.stop());
    const context = await browser.newContext({ acceptDownloads: true });
    t.after(() => context.close());
    const complaints = [];
    const operator = await Operator.sit(await context.newPage(), hub, 1);
    const { page } = operator;
    watch(page, complaints);
    await page.getByTestId("next-bout").click();
    await page.getByTestId("key-hajime").waitFor();
    await operator.press("hajime");
    await says(page, /^Live.*The hub has every call/);
    const copy = join(hub.folder, "stick");
    await hub.tool("journal", "copy", "--to", copy);
    await hub.kill();
    await says(page, /^Working alone/);
    await operator.press("waza_ari_white"); // in no journal

    // The hub is dead, and the page has never been anywhere else.
    await page.getByTestId("menu").click();
    const [download] = await Promise.all([page.waitForEvent("download"), page.getByTestId("save-kept").click()]);
    assert.match(download.suggestedFilename(), /^mat-1-kept-calls-\d{8}T\d{6}\.json$/);
    const file = join(hub.folder, "kept.json");
    await download.saveAs(file);
    await until("the table to say where it is", async () => /3 calls are in the file mat-1/.test(await page.getByTestId("kept-saved").textContent()));
    const text = await readFile(file, "utf8");
    const kept = JSON.parse(text);
    assert.deepEqual([kept.format, kept.version, kept.mat, kept.title], ["honbu kept calls", 1, 1, "Evening Cup"]);
    assert.deepEqual(kept.runs.map((run) => run.calls.map(({ plain, score }) => plain ?? score?.level)).flat().length, 3);
    assert.deepEqual(kept.bouts.map(({ bout, white, blue }) => [bout, white, blue]), [[1, "Ada Norlund", "Mirela Costin"]]);
    const content = text.slice(0, text.lastIndexOf(',\n "sha256": "'));
    assert.equal(kept.sha256, createHash("sha256").update(content).digest("hex"));

    // Another machine, another address, from the copy.
    const spare = await Hub.start({ csv });
    t.after(() => spare.stop());
    const foreign = join(spare.folder, "kept.json");
    await writeFile(foreign, text);
    const desk = await (await browser.newContext()).newPage();
    watch(desk, complaints);
    const live = () => until("the desk to be live", async () => desk.getByTestId("hand-in-file").isEnabled());
    await desk.goto(`${spare.address}/desk.html`);
    await live();
    await desk.getByTestId("hand-in-file").setInputFiles(foreign);
    await until("the foreign file to be refused", async () =>
        /made for another competition or rehearsal \(Evening Cup\)/.test(await desk.getByTestId("hand-in-trouble").textContent()));
    assert.equal(await desk.getByTestId("hand-in-take").count(), 0);
    await spare.kill();

    spare.data = join(spare.folder, "spare");
    await spare.again("--from-copy", copy);
    await desk.goto(`${spare.address}/desk.html`);
    await live();
    const cut = join(spare.folder, "cut.json");
    for (const [broken, words] of [
        [text.slice(0, 300), /only a part of one/], [text.replace('"number": 2', '"number": 3'), /changed or cut/], ["{}", /no file of a table's calls/],
    ]) {
        await writeFile(cut, broken);
        await desk.getByTestId("hand-in-file").setInputFiles(cut);
        await until(`${words}`, async () => words.test(await desk.getByTestId("hand-in-trouble").textContent()));
    }
    await desk.getByTestId("hand-in-file").setInputFiles(file);
    const pieces = desk.getByTestId("hand-in-pieces");
    await until("the hub to have looked", async () => /The hub has 2 of these 3 calls, and lacks 1\./.test(await pieces.textContent()));
    await desk.getByTestId("hand-in-take").click();
    await desk.getByTestId("hand-in-done").waitFor();
    assert.match(await pieces.textContent(), /1 call was taken, and waits for a decision\./);
    const shown = await spare.tool("journal", "show");
    assert.equal(shown.match(/ 1 call that device [0-9a-f]{16} kept came by hand, [0-9a-f]{16}\/3 to 3, set aside {2}/gm)?.length, 1, shown);

    // A second time it is all there.
    await desk.reload();
    await live();
    await desk.getByTestId("hand-in-file").setInputFiles(file);
    await until("nothing to be new", async () => /The hub has all 3 calls already\./.test(await pieces.textContent()));
    assert.deepEqual(complaints, []);
});
