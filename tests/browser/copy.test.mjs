// The laptop with the journal is gone, and the hall goes on from its second copy: a real table page in Chromium, a real
// hub under the same address. docs/journal.md, section 8; docs/spare.md, steps 3 to 6.
import assert from "node:assert/strict";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { Hub, openBrowser, Operator, until } from "./evening.mjs";

const csv = [
    "mat,bout,category,rules,time,round,white,white_club,blue,blue_club",
    "1,1,women -57 kg,2018,4:00,final,Ada Norlund,Sund JC,Mirela Costin,Orsova JK",
    "1,2,women -63 kg,2018,4:00,final,Runa Skeld,Sund JC,Ivana Petrov,Tara Judo", "",
].join("\n");

let browser;
before(async () => { browser = await openBrowser(); });
after(() => browser?.close());

const indicator = (page) => page.getByTestId("indicator").textContent();
const says = (page, words) => until(`the table to say ${words}`, async () => words.test(await indicator(page)));
const hasEveryCall = (page) => says(page, /^Live.*The hub has every call/);

test("a table goes on by itself at a hub that goes on from a copy, and the desk gets what the copy lacked", { timeout: 120_000 }, async (t) => {
    const hub = await Hub.start({ csv });
    t.after(() => hub.stop());
    const context = await browser.newContext();
    t.after(() => context.close());
    const operator = await Operator.sit(await context.newPage(), hub, 1);
    const { page } = operator;
    await page.getByTestId("next-bout").click();
    await page.getByTestId("key-hajime").waitFor();
    await operator.press("hajime");
    await operator.press("mate");
    await hasEveryCall(page);
    const copy = join(hub.folder, "stick");
    await hub.tool("journal", "copy", "--to", copy);
    await operator.press("hajime"); // acknowledged, and not in the copy
    await hasEveryCall(page);

    await hub.kill();
    await says(page, /^Working alone/);
    await operator.press("waza_ari_white"); // in no journal at all
    hub.data = join(hub.folder, "spare");
    await hub.again("--from-copy", copy);

    // Nobody was asked anything. The table has its mat again and knows what became of each call.
    await hasEveryCall(page);
    assert.equal(await page.getByTestId("other-journal").count(), 0);
    const shown = (await hub.tool("journal", "show")).split("\n");
    const mine = shown.filter((line) => / mat 1 {2}bout 1 {2}/.test(line));
    const one = (words, verdict) => mine.filter((line) => line.includes(`  ${words}`) && line.includes(`  ${verdict}`)).length;
    assert.equal(one("hajime", "applied"), 1, shown.join("\n"));
    assert.equal(one("mate", "applied"), 1);
    assert.equal(one("hajime", "set aside"), 1, "under the term before: the desk decides");
    assert.equal(one("waza-ari to white", "set aside"), 1);
    assert.ok(shown.some((line) => /goes on from epoch/.test(line)));
    // The table is told which calls count no more, and the desk sees the same and decides.
    const say = await page.locator(".messages").textContent();
    assert.match(say, /Does not count at the hub, and waits for the desk: hajime, waza-ari white/);
    const desk = await context.newPage();
    await desk.goto(`${hub.address}/desk.html`);
    const aside = desk.getByTestId("aside-1");
    await aside.waitFor();
    assert.match(await aside.textContent(), /Ada Norlund – Mirela Costin/);
    assert.deepEqual(await aside.locator("li").allTextContents(), ["hajime", "waza-ari to white"]);
    // And it goes on.
    await operator.press("hajime");
    await operator.press("waza_ari_white");
    await hasEveryCall(page);
    await aside.getByTestId("dismiss").click();
    await desk.getByTestId("aside-reason").fill("entered again at the table");
    await desk.getByTestId("decide").click();
    await until("the desk to have decided", async () => (await desk.getByTestId("aside-1").count()) === 0);
    const now = await hub.tool("journal", "show");
    assert.match(now, /2 calls set aside dismissed: entered again at the table/);
    assert.equal(now.split("\n").filter((line) => / bout 1 .*waza-ari to white {2}applied/.test(line)).length, 1, now);
});
