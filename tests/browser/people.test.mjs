// The desk erases a name, and it goes from every page that is open: desk, board, hall and table, and from what the table's
// browser keeps. Real pages in Chromium, a real hub. docs/personal-data.md, 5; that erasing is asked once, in plain words,
// with what will change: common practice, no source.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Client } from "../wire_client.mjs";
import { Hub, openBrowser, Operator, until, watch } from "./evening.mjs";

const csv = [
    "mat,bout,category,rules,time,round,white,white_club,blue,blue_club",
    "1,1,women -57 kg,2018,4:00,semi-final,Ada Norlund,Sund JC,Mirela Costin,Orsova JK",
    "1,2,women -57 kg,2018,4:00,semi-final,Runa Skeld,Fjell JK,Ivana Petrov,Tara Judo",
    "1,3,women -57 kg,2018,4:00,final,winner of 1,,winner of 2,",
    "2,4,women -63 kg,2018,4:00,final,Runa Skeld,Fjell JK,Oda Lint,Tara Judo", "",
].join("\n");

let browser;
before(async () => { browser = await openBrowser(); });
after(() => browser?.close());

// Everything this page's browser keeps, as text.
const kept = (page) => page.evaluate(async () => {
    let all = JSON.stringify({ ...localStorage });
    const text = new TextDecoder();
    for (const { name } of await indexedDB.databases()) {
        const base = await new Promise((open, failed) => {
            const asked = indexedDB.open(name);
            asked.onsuccess = () => open(asked.result);
            asked.onerror = () => failed(asked.error);
        });
        for (const shelf of base.objectStoreNames) {
            const rows = await new Promise((read) => {
                base.transaction(shelf).objectStore(shelf).getAll().onsuccess = ({ target }) => read(target.result);
            });
            for (const row of rows) all += JSON.stringify(row, (_, value) => (value instanceof Uint8Array ? text.decode(value) : value));
        }
        base.close();
    }
    return all;
});

test("a name is erased at the desk, and goes from every screen", { timeout: 120_000 }, async (t) => {
    const hub = await Hub.start({ csv });
    t.after(() => hub.stop());
    const complaints = [];
    const open = async (path) => {
        const page = await (await browser.newContext()).newPage();
        watch(page, complaints);
        if (path) await page.goto(`${hub.address}${path}`);
        return page;
    };
    const table = await open();
    await Operator.sit(table, hub, 1);
    await table.getByTestId("next-bout").click();
    await table.getByTestId("key-hajime").waitFor();
    const [board, hall, desk] = [await open("/board.html?mat=1"), await open("/hall.html"), await open("/desk.html")];
    // Bout 2 has a result of its own, from paper.
    const other = await Client.connect(hub.port, { role: "ROLE_DESK", device: "00000000000000e1" });
    other.send({ case: "enterResult", value: { request: 1, bout: 2, from: "RESULT_FROM_PAPER", reason: "the laptop was off",
        result: { winner: "WINNER_WHITE", way: "WAY_IPPON", white: { ippon: 1 }, blue: {} } } });
    await other.next("done");
    const shows = (page, words) => until(`a page to show ${words}`, async () => (await page.textContent("body")).includes(words));
    for (const page of [table, board, hall]) await shows(page, "Ada Norlund");
    await shows(desk, "Runa Skeld");
    assert.match(await kept(table), /Ada Norlund/);

    // Found by a part of the name; nothing is done before the word is typed.
    const corner = desk.getByTestId("people");
    assert.match(await corner.textContent(), /Public pages show names in full\./);
    const erase = async (find, reason) => {
        await desk.getByTestId("find").fill(find);
        await desk.getByTestId("find-now").click();
        await desk.getByTestId("kept").first().waitFor();
        await until("one to be found", async () => await desk.getByTestId("kept").count() === 1);
        const person = await desk.getByTestId("kept").getAttribute("data-person");
        await desk.getByTestId("erase").click();
        const words = await desk.getByTestId("erase-words").textContent();
        assert.ok(words.includes(`“Athlete ${person}”`) && words.includes("for good"), words);
        const now = desk.getByTestId("erase-now");
        assert.equal(await now.isDisabled(), true);
        await desk.getByTestId("erase-reason").fill(reason);
        assert.equal(await now.isDisabled(), true);
        await desk.getByTestId("erase-typed").fill("erase");
        await now.click();
        await until("the hub to have done it", async () => /The name is erased/.test(await desk.getByTestId("people-answer").textContent()));
        return `Athlete ${person}`;
    };
    await desk.getByTestId("find").fill("nobody of that name");
    await desk.getByTestId("find-now").click();
    await until("nobody to be found", async () => /Nobody here/.test(await desk.getByTestId("people-answer").textContent()));
    const ada = await erase("norl", "asked for it");
    for (const page of [table, board, hall]) {
        await shows(page, ada);
        assert.ok(!(await page.textContent("body")).includes("Norlund"));
        assert.ok(!(await page.textContent("body")).includes("Sund JC"));
    }
    await until("the table's browser to have lost it", async () => !/Norlund|Sund JC/.test(await kept(table)));

    // Of a result that stands in the list already.
    const runa = await erase("skeld", "asked for it too");
    const row = desk.locator('[data-testid="finished-row"][data-bout="2"]');
    await until("the result to have the number", async () => (await row.getByTestId("name-white").textContent()) === runa);
    assert.ok(!(await desk.textContent("body")).includes("Fjell JK"));
    await hub.kill();
    await hub.again("--public-names", "initials");
    await shows(desk, runa);
    await until("the desk to say what the public sees", async () => /show initials, and no clubs/.test(await desk.getByTestId("public-names").textContent()));
    await shows(board, ada);
    assert.deepEqual(complaints, []);

    // A table that goes to another mat keeps no names of the one it has left.
    await table.goto(`${hub.address}/table.html?mat=2`);
    await table.getByTestId("take-2").click();
    await table.getByTestId("next-bout").waitFor();
    await until("mat 1 to be forgotten", async () => !/Mirela Costin/.test(await kept(table)));
    assert.match(await kept(table), /Oda Lint/);
    assert.ok(!(await hub.tool("journal", "people")).includes("Norlund"));
});
