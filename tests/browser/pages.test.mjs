// Every page as a whole: can it be read and used by everybody, does it keep to itself, does it say when it
// is old. Real hub, real pages (evening.mjs).
//
// What is checked against: WCAG 2.2 level AA, by axe-core with the tags of 2.0, 2.1 and 2.2 A and AA;
// WCAG 2.5.5 (target size, 44 by 44 CSS pixels); CSP level 3 (what the browser itself reports as a
// violation). Five seconds of silence: our own promise (clients/web/README.md).
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, test } from "node:test";
import { require } from "../packages.mjs";
import { Hub, openBrowser, Operator, until, watch } from "./evening.mjs";

const axe = await readFile(require.resolve("axe-core/axe.min.js"), "utf8");
const standard = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

// Text that would be markup, wherever text of the competition file can go.
const person = "<img src=x onerror=alert(1)>";
const club = "<script>alert(2)</script>";
const category = "<b onmouseover=alert(3)>men -60 kg</b>";
const title = "<svg onload=alert(4)> Cup";
const csv = `bout,mat,category,rules,time,round,white,white_club,blue,blue_club
1,1,${category},2025,4:00,final,${person},${club},Tim Aldous,JC Lowgate
2,1,women -70 kg,2018,4:00,semi-final,Tamsin Orrell,Castle Dojo,${person},JC Lowgate
3,1,men +100 kg,2025,4:00,final,Bram Steenwerk,JC Lowgate,Otto Lindqvist,Harbour Judo
4,2,men -81 kg,2009,5:00,round 1,Paulo Ferraz,Castle Dojo,Jun Morioka,Harbour Judo
5,3,men -73 kg,belts,4:00,round 1,Sivert Aune,Castle Dojo,Luca Berti,Harbour Judo
6,3,men -73 kg,belts,4:00,round 1,Niko Rautio,Castle Dojo,Emil Sarka,Harbour Judo
`;
// Red and white belts, red called first, as an older book has it (docs/rules.md, 8.4).
const belts = (await readFile(new URL("../../engine/rules/2025.rules", import.meta.url), "utf8"))
    .replace(/^name .*$/m, "name = belts").replace(/^title .*$/m, "title = Red and white belts")
    .replace(/^side\.first .*$/m, "side.first = red").replace(/^side\.first\.colour .*$/m, "side.first.colour = red")
    .replace(/^side\.second .*$/m, "side.second = white").replace(/^side\.second\.colour .*$/m, "side.second.colour = white");
const widths = [{ width: 390, height: 844 }, { width: 820, height: 1180 }, { width: 1024, height: 768 },
    { width: 1366, height: 768 }];

let hub;
let browser;
let operator;
const pages = {};
const asked = []; // every address that any page asked for
const spoken = []; // every dialog that any page opened
const complaints = [];

async function open(name, path, prepare = async () => undefined) {
    const context = await browser.newContext({ viewport: widths.at(-1) });
    context.on("request", (request) => asked.push(request.url()));
    context.on("page", (page) => {
        watch(page, complaints);
        page.on("websocket", (socket) => asked.push(socket.url()));
        page.on("console", (message) => {
            if (/Content.Security.Policy/i.test(message.text())) complaints.push(message.text());
        });
        page.on("dialog", async (dialog) => {
            if (dialog.type() !== "beforeunload") spoken.push(dialog.message());
            await dialog.accept();
        });
    });
    await context.addInitScript(() => {
        globalThis.violations = [];
        document.addEventListener("securitypolicyviolation", (event) =>
            globalThis.violations.push(`${event.effectiveDirective} ${event.blockedURI}`));
    });
    const page = await context.newPage();
    await prepare(page);
    if (path) await page.goto(hub.address + path);
    pages[name] = page;
    return page;
}

before(async () => {
    hub = await Hub.start({ csv, title, rules: { belts } });
    browser = await openBrowser();
});

after(async () => {
    await browser?.close();
    hub?.process.kill("SIGCONT");
    await hub?.stop();
});

// What axe-core and the measuring find is gathered on the way through the evening and looked at in the end.
const unreadable = [];
const cut = [];
const small = [];

async function read(page, what) {
    await page.evaluate(axe);
    const { passed, found } = await page.evaluate(async (values) => {
        const { violations, passes } = await globalThis.axe.run(document, { runOnly: { type: "tag", values } });
        return { passed: passes.length, found: violations.flatMap(({ id, help, nodes }) =>
            nodes.map(({ target, failureSummary }) => `${id}: ${help}: ${target.join(" ")}: ${failureSummary}`)) };
    }, standard);
    assert.ok(passed > 5, `${what}: there was something to look at`);
    const over = await page.evaluate(() => [...document.querySelectorAll(".fit")].filter((line) => line.checkVisibility()
        && line.firstElementChild.getBoundingClientRect().right > line.getBoundingClientRect().right + 0.5)
        .map((line) => line.textContent));
    cut.push(...over.map((words) => `${what}: ${words}`));
    unreadable.push(...found.map((each) => `${what}: ${each}`));
}

// Everything that can be pressed and is shown, at each width.
async function measure(page, what) {
    for (const size of widths) {
        await page.setViewportSize(size);
        const measured = await page.evaluate(() => {
            const all = [...document.querySelectorAll("button, a[href], input, select, summary, [role=button]")];
            return all.filter((target) => target.checkVisibility({ checkVisibilityCSS: true })).map((target) => {
                const { width, height } = target.getBoundingClientRect();
                return { what: target.dataset.testid ?? target.textContent, width, height };
            });
        });
        assert.ok(measured.length > 0, `${what}: there was something to press`);
        small.push(...measured.filter(({ width, height }) => Math.min(width, height) < 43.99).map((target) =>
            `${what}, ${size.width} wide: ${target.what}: ${target.width} by ${target.height}`));
    }
}

async function check(page, what) {
    await read(page, what);
    await measure(page, what);
}

test("first page", async () => {
    const page = await open("index", "/");
    await page.getByTestId("mat-1").waitFor();
    await check(page, "index");
});

test("table, before a bout", async () => {
    const page = await open("table");
    await page.goto(`${hub.address}/table.html?mat=1`);
    await page.getByTestId("take-1").waitFor();
    await check(page, "table, taking a mat");
    operator = await Operator.sit(page, hub, 1);
    await check(page, "table, no bout yet");
    await page.getByTestId("other-bouts").click();
    await page.getByTestId("open-2").waitFor();
    await check(page, "table, all bouts");
    await page.getByTestId("close").click();
});

test("table, during a bout", async () => {
    const { page } = operator;
    await page.getByTestId("next-bout").click();
    await page.getByTestId("key-hajime").waitFor();
    await page.getByTestId("more").click();
    await page.getByTestId("more-absent_blue").waitFor();
    await check(page, "table, more calls");
    await page.getByTestId("more-absent_blue").click();
    await page.getByTestId("missing").waitFor();
    await check(page, "table, an athlete is missing");
    await page.keyboard.press("KeyM");
    await page.getByTestId("more-present").click();
    for (const key of ["hajime", "yuko_white", "shido_blue", "osaekomi_white"]) await operator.press(key);
    await page.getByTestId("hold").waitFor();
    await page.keyboard.press("Backspace");
    await operator.press("osaekomi_blue");
    await check(page, "table, a hold running");
    await page.keyboard.press("KeyM");
    await page.getByTestId("more-shido_white").click();
    await check(page, "table, the reason of a penalty");
    await page.getByTestId("say-shido_white:false_attack").click();
    const shido = page.getByTestId("call-row").filter({ hasText: "false attack" });
    await shido.getByTestId("correct").click();
    await check(page, "table, correcting a call");
    await page.getByTestId("do-strike").click();
    await until("the shido to be struck", async () => (await shido.last().getAttribute("data-standing")) === "struck");
    await page.getByTestId("menu").click();
    await check(page, "table, menu open");
    await page.getByTestId("menu").click();
});

test("board, hall and desk during a bout", async () => {
    const board = await open("board", "/board.html?mat=1");
    await board.getByTestId("clock").waitFor();
    await read(board, "board");
    const hall = await open("hall", "/hall.html");
    await hall.getByTestId("mat-1").getByTestId("clock").waitFor();
    await read(hall, "hall");
    const desk = await open("desk", "/desk.html");
    await desk.getByTestId("mat-1").getByTestId("clock").waitFor();
    await read(desk, "desk");
});

test("the sentence to read aloud, and the desk with a result", async () => {
    const { page } = operator;
    for (const key of ["toketa", "ippon_white", "sore_made", "kachi"]) await operator.press(key);
    await page.getByTestId("readback").waitFor();
    await check(page, "table, to be read aloud");
    await page.getByTestId("open-again").click();
    await check(page, "table, why the bout is opened again");
    await page.getByTestId("close").click();
    await read(pages.board, "board, with a winner");
    await operator.press("confirm");
    await pages.desk.getByTestId("finished-row").waitFor();
    await read(pages.desk, "desk, with a result");
});

test("names and words of the competition file are text on every page", async () => {
    const { board, hall, desk, index } = pages;
    const { page: table } = operator;
    const row = desk.getByTestId("finished-row");
    assert.equal(await row.getByTestId("name-white").textContent(), person);
    for (const at of [table, board, hall.getByTestId("mat-1")]) {
        assert.equal(await at.getByTestId("name-white").textContent(), person);
        assert.ok((await at.getByTestId("bout").textContent()).includes(category));
        assert.ok((await at.getByTestId("next").textContent()).includes(person)); // bout 2
    }
    for (const at of [row, ...[table, board, hall].map((page) => page.locator("body"))]) {
        assert.ok((await at.textContent()).includes(club));
    }
    for (const page of [index, board, hall, desk]) assert.ok((await page.locator("body").textContent()).includes(title));
    for (const [name, page] of Object.entries(pages)) {
        assert.equal(await page.locator("img, #page svg, #page script, b[onmouseover]").count(), 0, name);
    }
    assert.deepEqual(spoken, []);
});

test("another device asks for the mat, and takes it", async () => {
    const page = await open("other", "/table.html?mat=1");
    await page.getByTestId("take-1").click();
    await page.getByTestId("question").waitFor();
    await check(page, "table, the mat is held by another");
    await page.getByTestId("take-over").click();
    await operator.page.getByTestId("take-back").waitFor();
    await check(operator.page, "table, another has taken the mat");
    // What ended last can be opened again here, though none of its calls was made on this device.
    await page.getByTestId("other-bouts").click();
    await page.getByTestId("open-1").click();
    await page.getByTestId("open-again").click();
    await page.getByTestId("say-reopen:slip").click();
    await page.getByTestId("key-kachi").and(page.locator('[data-fit="usual"]')).waitFor();
    for (const key of ["kachi", "confirm"]) await page.getByTestId(`key-${key}`).click();
    const results = pages.desk.getByTestId("finished-row");
    await until("the second result at the desk", async () => (await results.count()) === 2);
    assert.equal(await results.last().getAttribute("data-replaced"), "true");
    await read(pages.desk, "desk, with a result that was replaced");
    await operator.page.getByTestId("take-back").click();
    await operator.page.getByTestId("next-bout").waitFor();
});

// The field behind an element: what its nearest ancestor with a colour of its own has.
const field = (at) => at.evaluate((element) => {
    for (let each = element; each; each = each.parentElement) {
        const [r, g, b, a = 1] = getComputedStyle(each).backgroundColor.match(/[\d.]+/g).map(Number);
        if (a > 0) return { r, g, b };
    }
    return undefined;
});
const isRed = ({ r, g, b }) => r > 2 * g && r > 2 * b;
const isWhite = ({ r, g, b }) => r === 255 && g === 255 && b === 255;

test("a side has the colour and the word of its rules on every page", async () => {
    const page = await open("belts");
    const table = await Operator.sit(page, hub, 3);
    const waiting = page.locator(".waiting");
    assert.ok(isRed(await field(waiting.first())) && isWhite(await field(waiting.last())), "who is called next");
    assert.deepEqual(await page.locator(".waiting span").allTextContents(), ["red", "white"]);
    await page.getByTestId("next-bout").click();
    await page.getByTestId("key-hajime").waitFor();
    for (const key of ["hajime", "yuko_blue", "waza_ari_white", "mate", "shido_white", "start"]) await table.press(key);
    const board = await open("belts board", "/board.html?mat=3");
    const parts = { table: page, board, hall: pages.hall.getByTestId("mat-3") };
    for (const [name, part] of Object.entries(parts)) {
        await until(`a waza-ari on the ${name}`, async () => (await part.getByTestId("score-waza_ari-white").textContent()) === "1");
        assert.ok(isRed(await field(part.getByTestId("name-white"))), `${name}: the field of red`);
        assert.ok(isWhite(await field(part.getByTestId("name-blue"))), `${name}: the field of white`);
        assert.equal(await part.getByTestId("half-white").or(part.locator(".row").first()).first().getAttribute("aria-label"), "red");
    }
    const row = page.getByTestId("call-row").filter({ hasText: "waza-ari red" });
    assert.equal(await row.getAttribute("data-colour"), "red");
    await check(page, "table, red and white");
    await page.keyboard.press("KeyM");
    await check(page, "table, red and white, more calls");
    await page.getByTestId("close").click();
    await read(board, "board, red and white");
    await read(pages.hall, "hall, red and white");
});

// Above the keys, where nothing may move when it comes: the finger is on its way already.
test("a score that the hold has given already is offered to be taken out, and no key moves", async () => {
    const { belts: page } = pages;
    const table = new Operator(page, 1);
    table.cdp = await page.context().newCDPSession(page);
    await page.setViewportSize({ width: 1366, height: 768 });
    const yuko = page.getByTestId("score-yuko-white");
    await table.press("osaekomi_white");
    await until("the yuko of the hold", async () => (await yuko.textContent()) === "1");
    const before = await page.getByTestId("key-mate").boundingBox();
    await table.press("yuko_white");
    await page.getByTestId("offer").waitFor();
    assert.match(await page.getByTestId("offer").textContent(), /hold has given this yuko/);
    assert.deepEqual(await page.getByTestId("key-mate").boundingBox(), before);
    assert.equal(await yuko.textContent(), "2");
    await check(page, "table, an offer");
    await page.keyboard.press("KeyP");
    await page.getByTestId("offer").waitFor({ state: "detached" });
    assert.equal(await yuko.textContent(), "1");
    for (const key of ["toketa", "mate", "hansoku_make_blue", "sore_made", "kachi"]) await table.press(key);
    await pages["belts board"].getByTestId("hansoku_make-blue").waitFor();
    await read(pages["belts board"], "board, white is out");
    await page.getByTestId("readback").waitFor();
    await page.getByTestId("key-confirm").click();
    const won = pages.desk.getByTestId("finished-row").filter({ hasText: "Sivert Aune" });
    await won.waitFor();
    assert.ok(isRed(await field(won.getByTestId("name-white"))) && isWhite(await field(won.getByTestId("name-blue"))));
    assert.match(await won.getByTestId("words").textContent(), /^red wins by hansoku-make/);
    await read(pages.desk, "desk, red and white");
});

const ms = async (part) => Number(await part.getByTestId("clock").getAttribute("data-ms"));

// The screen's own clock is moved by hand, so that a slow machine does not change what is seen. The page
// promises to say it once nothing was heard for 5 seconds, and says how long it was: so the number it
// begins with must be 5.
test("board and hall say when they are old, stand still, and come back by themselves", async () => {
    const screens = [];
    for (const [name, path] of [["silent board", "/board.html?mat=1"], ["silent hall", "/hall.html"]]) {
        let frames = 0;
        const page = await open(name, undefined, (made) => made.clock.install());
        page.on("websocket", (socket) => socket.on("framereceived", () => { frames += 1; }));
        await page.goto(hub.address + path);
        const part = name === "silent hall" ? page.getByTestId("mat-1") : page;
        screens.push({ name, page, part, heard: () => frames });
    }
    await operator.page.getByTestId("next-bout").click();
    await until("bout 2 on the table", async () => /bout 2/.test(await operator.page.getByTestId("bout").textContent()));
    await operator.press("hajime");
    for (const { part, name } of screens) {
        await until(`a running clock on the ${name}`, async () => {
            const shown = await ms(part).catch(() => 0);
            return shown > 0 && shown < 239_500;
        });
    }
    for (const { page } of screens) await page.clock.pauseAt(await page.evaluate(() => Date.now() + 1000));
    const before = screens.map(({ heard }) => heard());
    await operator.press("shido_white");
    for (const [i, { heard, name }] of screens.entries()) await until(`news on the ${name}`, () => heard() > before[i]);
    hub.process.kill("SIGSTOP");
    for (const { name, page, part } of screens) {
        const stale = page.getByTestId("stale");
        assert.equal(await stale.count(), 0, `${name}: nothing to say yet`);
        const begun = await ms(part);
        for (let steps = 0; steps < 60 && (await stale.count()) === 0; steps++) await page.clock.runFor(250);
        assert.match(await stale.textContent(), /^Not live: last heard 5 s ago/, name);
        const stood = await ms(part);
        assert.ok(stood < begun - 3000, `${name}: the clock ran until then (${begun} to ${stood})`);
        await page.clock.runFor(2000);
        assert.equal(await ms(part), stood, `${name}: it stands still now`);
        assert.match(await stale.textContent(), /last heard 7 s ago/, name);
        await page.clock.runFor(5000); // long enough to give the line up and ask for another
        assert.equal(await ms(part), stood, `${name}: still`);
    }
    for (const { name, page } of screens) {
        await page.clock.resume();
        await read(page, `${name}, not live`);
    }
    hub.process.kill("SIGCONT");
    for (const { name, page, part } of screens) {
        await until(`the ${name} to be live`, async () => (await page.getByTestId("stale").count()) === 0, 60_000);
        await until(`the ${name} to run with the table`, async () => {
            const [shown, table] = await Promise.all([ms(part), ms(operator.page)]);
            return Math.abs(shown - table) < 1000;
        }, 60_000);
        await until(`what was called last on the ${name}`, async () => (await part.getByTestId("shido-white").textContent()) === "1");
    }
    await operator.press("mate");
    await operator.page.getByText("the clock stands").waitFor();
    for (const { name, part } of screens) {
        await part.getByText("the clock stands").waitFor();
        await until(`the ${name} to stand where the table does`, async () => (await ms(part)) === (await ms(operator.page)));
    }
});

test("WCAG 2.2 AA: axe-core finds no violation", () => assert.deepEqual(unreadable, []));

test("no line that is written smaller to fit is cut off", () => assert.deepEqual(cut, []));

test("WCAG 2.5.5: whatever can be pressed is at least 44 by 44 CSS pixels", () => assert.deepEqual(small, []));

test("no page asks anybody but the hub, and none breaks its own policy", async () => {
    const hosts = new Map();
    for (const address of asked) {
        const { protocol, host } = new URL(address);
        if (protocol === "data:") continue; // in the page itself
        hosts.set(`${protocol}//${host}`, address);
    }
    const own = `127.0.0.1:${hub.port}`;
    assert.deepEqual([...hosts.keys()].sort(), [`http://${own}`, `ws://${own}`]);
    for (const [name, page] of Object.entries(pages)) {
        assert.deepEqual(await page.evaluate(() => globalThis.violations), [], name);
        const answer = await page.request.get(page.url());
        assert.match(answer.headers()["content-security-policy"] ?? "", /default-src 'none'/, name);
    }
    assert.deepEqual(complaints, []);
    assert.deepEqual(spoken, []);
});
