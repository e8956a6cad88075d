// The pictures of README, taken anew:  HONBU=.build/release/honbu node tests/browser/pictures.mjs
//
// A real hub with the demo competition, three tables, some calls; then docs/pictures/table.png and hall.png.
import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { Hub, openBrowser, Operator, pause } from "./evening.mjs";

const root = fileURLToPath(new URL("../../", import.meta.url));
const hub = await Hub.start({ csv: await readFile(`${root}deploy/demo/competition.csv`, "utf8"), title: "Vinterfjell Lantern Cup" });
const browser = await openBrowser();

async function page(width, height, path) {
    const made = await (await browser.newContext({ viewport: { width, height } })).newPage();
    if (path) await made.goto(hub.address + path);
    return made;
}

const tables = [];
for (const mat of [1, 2, 3]) {
    const operator = await Operator.sit(await page(1366, 768), hub, mat);
    await operator.page.getByTestId("next-bout").click();
    tables.push(operator);
}
const hall = await page(1920, 1080, "/hall.html");
const [one, two, three] = tables;
for (const table of tables) await table.press("hajime");
await two.press("yuko_blue");
await pause(1500);
await two.press("shido_white");
await two.press("mate");
await one.press("waza_ari_white");
await one.press("shido_blue");
await three.press("osaekomi_white");
await pause(4500);
await one.press("osaekomi_blue");
await pause(7500);
await one.page.screenshot({ path: `${root}docs/pictures/table.png` });
await hall.screenshot({ path: `${root}docs/pictures/hall.png` });
await browser.close();
await hub.stop();
