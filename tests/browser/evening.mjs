// An evening in the hall, for tests: a real hub on a folder of its own, Debian's chromium, pages.
//
// Nothing is pretended: the hub is the program that was built, the journal is on the disk, a crash is
// SIGKILL. A press is the browser's own input event at a chosen instant (see press), so that a bout
// played at a rehearsal rate has exactly the times it is meant to have.
import { execFile, spawn } from "node:child_process";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";
import { require } from "../packages.mjs";

const { chromium } = require("playwright-core");
const run = promisify(execFile);
const program = process.env.HONBU;

export const browserFlags = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-backgrounding-occluded-windows",
    "--disable-renderer-backgrounding", "--disable-background-timer-throttling"];

async function freePort() {
    const server = createServer();
    await new Promise((ready) => server.listen(0, "127.0.0.1", ready));
    const { port } = server.address();
    await new Promise((closed) => server.close(closed));
    return port;
}

export const pause = (ms) => new Promise((done) => setTimeout(done, ms));

// Asks again and again until `look` gives something other than undefined; the test's own time limit ends it.
export async function until(what, look, limitMs = 20_000) {
    const begun = Date.now();
    for (;;) {
        const found = await look();
        if (found !== undefined && found !== false) return found;
        if (Date.now() - begun > limitMs) throw new Error(`waited ${limitMs} ms for: ${what}`);
        await pause(5);
    }
}

export class Hub {
    // `rules`: the text of each rule set that does not ship, by its name; `doors`: who is not let in only looks.
    static async start({ csv, title = "Evening Cup", rate = 1, rules = {}, doors = false }) {
        const hub = new Hub();
        hub.folder = await mkdtemp(join(tmpdir(), "honbu-evening-"));
        hub.data = join(hub.folder, "data");
        hub.file = join(hub.folder, "competition.csv");
        await writeFile(hub.file, csv);
        hub.rules = [];
        for (const [name, text] of Object.entries(rules)) {
            const file = join(hub.folder, `${name}.rules`);
            await writeFile(file, text);
            hub.rules.push("--rules", file);
        }
        hub.title = title;
        hub.rate = rate;
        hub.open = doors ? [] : ["--anyone-may-score"];
        hub.port = await freePort();
        hub.address = `http://127.0.0.1:${hub.port}`;
        await hub.again();
        return hub;
    }

    // Starts the program on the same folder, or as `more` says.
    async again(...more) {
        const words = ["serve", ...this.open, "--data", this.data, "--listen", `127.0.0.1:${this.port}`,
            "--competition", this.file, "--title", this.title, ...this.rules, ...more];
        if (this.rate !== 1) words.push("--rehearsal-rate", String(this.rate));
        this.said = "";
        this.process = spawn(program, words, { stdio: ["ignore", "pipe", "pipe"] });
        this.process.stdout.on("data", (text) => { this.said += text; });
        this.process.stderr.on("data", (text) => { this.said += text; });
        this.ended = new Promise((ended) => this.process.on("exit", (code, signal) => ended({ code, signal })));
        await until(`the hub to serve (it said: ${this.said})`, async () => {
            if (this.process.exitCode !== null) throw new Error(`the hub ended: ${this.said}`);
            const answer = await fetch(`${this.address}/healthz`).catch(() => undefined);
            return answer?.ok;
        });
    }

    async kill() {
        this.process.kill("SIGKILL");
        return this.ended;
    }

    async stop() {
        if (this.process.exitCode === null && this.process.signalCode === null) {
            this.process.kill("SIGTERM");
        }
        const end = await this.ended;
        await rm(this.folder, { recursive: true, force: true });
        return end;
    }

    async tool(...words) {
        const { stdout } = await run(program, [...words, "--data", this.data]);
        return stdout;
    }
}

export async function openBrowser() {
    return chromium.launch({ executablePath: "/usr/bin/chromium", args: browserFlags });
}

// Keeps what a page complains of, so that a test can look at it in the end.
export function watch(page, complaints) {
    page.on("pageerror", (error) => complaints.push(String(error)));
    page.on("console", (message) => {
        if (message.type() === "error" && !/net::ERR|WebSocket connection/.test(message.text())) {
            complaints.push(message.text());
        }
    });
}

// The keys a table's keyboard has for a left-hand white (docs/look.md), by table key id.
const strokes = {
    ippon_white: "KeyA", waza_ari_white: "KeyS", yuko_white: "KeyD", osaekomi_white: "KeyF", shido_white: "KeyE",
    ippon_blue: "Semicolon", waza_ari_blue: "KeyL", yuko_blue: "KeyK", osaekomi_blue: "KeyJ", shido_blue: "KeyI",
    toketa: "KeyG", shido_both: "KeyT", start: "Space", hajime: "Space", mate: "Space",
};

// Whoever sits at the table.
export class Operator {
    constructor(page, rate) {
        this.page = page;
        this.rate = rate;
    }

    static async sit(page, hub, mat) {
        const operator = new Operator(page, hub.rate);
        await page.goto(`${hub.address}/table.html?mat=${mat}`);
        await page.getByTestId(`take-${mat}`).click();
        await page.getByTestId("next-bout").waitFor();
        operator.cdp = await page.context().newCDPSession(page);
        return operator;
    }

    // Presses a table key at a wall-clock instant (milliseconds since 1970, with fractions). The event
    // carries the instant as its time, as a keyboard's driver would stamp it; handed over a little early,
    // or late on a busy machine, it counts when it was made.
    async press(id, wall = Date.now() + 15) {
        const early = wall - 12 - Date.now();
        if (early > 0) await pause(early);
        const timestamp = wall / 1000;
        const code = strokes[id];
        if (code) {
            await this.cdp.send("Input.dispatchKeyEvent", { type: "rawKeyDown", code, timestamp });
            await this.cdp.send("Input.dispatchKeyEvent", { type: "keyUp", code, timestamp });
            return;
        }
        const box = await this.page.getByTestId(`key-${id}`).boundingBox();
        if (!box) throw new Error(`the table shows no key ${id}`);
        const at = { x: box.x + box.width / 2, y: box.y + box.height / 2, button: "left", clickCount: 1, timestamp };
        await this.cdp.send("Input.dispatchMouseEvent", { type: "mousePressed", ...at });
        await this.cdp.send("Input.dispatchMouseEvent", { type: "mouseReleased", ...at });
    }
}

// What a page shows of a mat, every time it shows something else: a picture is kept of each change, so
// that a busy machine can look late and still see all of it.
export class Watcher {
    static async on(name, page, selector) {
        const watcher = new Watcher();
        Object.assign(watcher, { name, page, pictures: [], at: 0 });
        await page.locator(selector).first().waitFor();
        await page.evaluate(record, selector);
        return watcher;
    }

    async look() {
        this.pictures.push(...await this.page.evaluate(() => globalThis.honbuPictures.splice(0)));
        return this.pictures.at(-1);
    }

    // Waits for a picture, from the last one found on, of which `why` has nothing to say.
    async sees(what, why, limitMs = 20_000) {
        let last = "nothing was shown";
        await until(`${what} on the ${this.name}`, async () => {
            await this.look();
            for (let i = this.at; i < this.pictures.length; i++) {
                last = why(this.pictures[i]);
                if (last) continue;
                this.at = i;
                return true;
            }
            return undefined;
        }, limitMs).catch((error) => { throw new Error(`${error.message}; ${last}`); });
    }
}

// Runs in the page.
function record(selector) {
    globalThis.honbuPictures = [];
    let last = "";
    const number = (at) => (at ? Number(at.textContent) : 0);
    // A side's part of a screen is labelled with the side's word, which is white or blue in our rules.
    const sideOf = (at) => at.closest("section[aria-label]")?.getAttribute("aria-label");
    const picture = () => {
        const part = document.querySelector(selector);
        if (!part) return;
        const find = (id) => part.querySelector(`[data-testid="${id}"]`);
        const side = (name) => ({
            ippon: number(find(`score-ippon-${name}`)), waza_ari: number(find(`score-waza_ari-${name}`)),
            yuko: number(find(`score-yuko-${name}`)), koka: number(find(`score-koka-${name}`)),
            shido: number(find(`shido-${name}`)),
            out: find(`hansoku_make-${name}`) !== null,
        });
        const clock = find("clock");
        const hold = find("hold");
        const seen = {
            bout: find("bout")?.textContent ?? "", white: side("white"), blue: side("blue"),
            clock: clock ? { ms: Number(clock.dataset.ms), text: clock.textContent } : undefined,
            hold: hold ? { ms: Number(hold.dataset.ms), text: hold.textContent, side: sideOf(hold) } : undefined,
            golden: find("golden") !== null,
            words: find("words")?.textContent ?? "",
            winners: [...part.querySelectorAll('[data-testid="winner"]')].map(sideOf),
            stale: document.querySelector('[data-testid="stale"]') !== null,
        };
        const text = JSON.stringify(seen);
        if (text === last) return;
        last = text;
        globalThis.honbuPictures.push(seen);
    };
    new MutationObserver(picture).observe(document.body,
        { subtree: true, childList: true, characterData: true, attributes: true });
    picture();
}
