// What strangers can do through somebody's browser, and what people's text can do on a screen: real pages in Chromium,
// a real hub with both entrances, and a web server of somebody else.
// Sources: RFC 6455, 10.2 (Origin); Fetch standard (CORS, Cross-Origin-Resource-Policy); CSP 3 (frame-ancestors); RFC 9110,
// 15.5.20 (a name the hub does not know); W3C Secure Contexts; UAX #9 (marks that turn text); WCAG 2.2 by axe-core.
import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { createServer } from "node:http";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { honbu, scratch, serve } from "../crash/hub.mjs";
import { require } from "../packages.mjs";
import { wire } from "../wire_client.mjs";
import { browserFlags, until, watch } from "./evening.mjs";

const { chromium } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const limit = { timeout: 120_000 };
const endings = [];
const whole = { after: (end) => endings.unshift(end) };
// Markup as somebody could type it. What turns text or can't be seen no file and no table brings in any more; a journal
// from before could, so the hub's words are changed on their way to the page.
const typed = "Bice Moro";
const turned = "\u202eBice\u202c oroM\u200b Moro\u200f";
const csv = ["bout,mat,category,rules,time,round,white,white_club,blue,blue_club",
    `1,1,women -57 kg,2025,4:00,final,<img src=x onerror=document.title='no'>,Dojo Fernhill,${typed},Judo Saltmarsh`, ""].join("\n");
let browser;
let hub;
let crowd;
let stranger;

const crowdOf = (out) => Number(/For spectators.*\n\s+http:\/\/127\.0\.0\.1:(\d+)\//.exec(out)[1]);

before(async () => {
    const data = scratch(whole);
    const file = join(data, "competition.csv");
    writeFileSync(file, csv);
    hub = await serve(whole, data, { more: ["--competition", file, "--title", "Lantern Cup", "--public-listen", "127.0.0.1:0"] });
    crowd = crowdOf(hub.out);
    stranger = createServer((request, answer) => answer.setHeader("Content-Type", "text/html").end("<title>elsewhere</title>"));
    await new Promise((ready) => stranger.listen(0, "127.0.0.1", ready));
    // Two names for this machine: one the hub is known by (--name hub.example), and one it is not.
    browser = await chromium.launch({ executablePath: "/usr/bin/chromium",
        args: [...browserFlags, "--host-resolver-rules=MAP hub.example 127.0.0.1, MAP stranger.example 127.0.0.1"] });
});
after(async () => {
    await browser?.close();
    stranger?.close();
    hub?.child.kill("SIGTERM");
    for (const end of endings) await end();
});

async function open(t, address, options = {}) {
    const context = await browser.newContext(options);
    t.after(() => context.close());
    const page = await context.newPage();
    const answer = await page.goto(address);
    return { page, answer };
}

// In a page of another origin: every way a page has to reach for another server, and what came of each.
async function reach(hosts) {
    const result = {};
    const told = (promise) => promise.then((value) => value, () => "refused");
    for (const host of hosts) {
        const at = `http://${host}`;
        result[`${host} fetch`] = await told(fetch(`${at}/v1`).then((answer) => answer.text()));
        result[`${host} fetch without cors`] = await told(fetch(`${at}/v1`, { mode: "no-cors" }).then((answer) => answer.type));
        result[`${host} post`] = await told(fetch(`${at}/v1`, { method: "POST", body: "x" }).then((answer) => answer.status));
        result[`${host} script`] = await new Promise((done) => {
            const script = document.createElement("script");
            script.onload = () => done("loaded");
            script.onerror = () => done("refused");
            script.src = `${at}/board.js`;
            document.head.append(script);
        });
        result[`${host} picture`] = await new Promise((done) => {
            const picture = new Image();
            picture.onload = () => done("loaded");
            picture.onerror = () => done("refused");
            picture.src = `${at}/honbu.svg`;
        });
        for (const protocol of ["honbu.v1.proto", "honbu.v1.json"]) {
            result[`${host} ${protocol}`] = await new Promise((done) => {
                const socket = new WebSocket(`ws://${host}/ws`, protocol);
                socket.onopen = () => done("open");
                socket.onerror = () => done("refused");
            });
        }
        result[`${host} events`] = await new Promise((done) => {
            const source = new EventSource(`${at}/v1/events`);
            source.addEventListener("hub", () => done("heard"));
            source.onerror = () => {
                source.close();
                done("refused");
            };
        });
        result[`${host} frame`] = await new Promise((done) => {
            const frame = document.createElement("iframe");
            frame.onload = () => {
                // A frame that was refused shows the browser's own page, which is none of ours either way; what
                // counts is that no page of the hub runs in it: it would be heard saying hello.
                done("shut");
            };
            frame.src = `${at}/board.html?mat=1`;
            document.body.append(frame);
        });
    }
    return result;
}

test("a page of another origin gets nothing from either entrance", limit, async (t) => {
    const hosts = [`127.0.0.1:${hub.port}`, `127.0.0.1:${crowd}`];
    const { page } = await open(t, `http://127.0.0.1:${stranger.address().port}/`);
    const refusedFrames = [];
    page.on("console", (message) => {
        if (/frame/i.test(message.text())) refusedFrames.push(message.text());
    });
    const result = await page.evaluate(reach, hosts);
    for (const [what, became] of Object.entries(result)) {
        assert.equal([what, became].join(": "), [what, what.endsWith("frame") ? "shut" : "refused"].join(": "));
    }
    await until("both frames to be refused", () => refusedFrames.filter((text) => /frame-ancestors/.test(text)).length >= 2);
    assert.equal((await hub.ready()).number, 2); // and nothing has changed
});

// DNS rebinding: a stranger's name led to this machine makes his page same-origin with the hub, as far as a browser can see.
test("under a name that is not the hub's nothing is shown", limit, async (t) => {
    const { page, answer } = await open(t, `http://stranger.example:${hub.port}/table.html`);
    assert.equal(answer.status(), 421);
    const { status, socket } = await page.evaluate(async () => ({
        status: (await fetch("/v1")).status,
        socket: await new Promise((done) => {
            const line = new WebSocket(`ws://${location.host}/ws`, "honbu.v1.proto");
            line.onopen = () => done("open");
            line.onerror = () => done("refused");
        }),
    }));
    assert.deepEqual([status, socket], [421, "refused"]);
});

test("markup is shown as it was typed, and what turns text or can't be seen is not shown", limit, async (t) => {
    for (const path of ["/hall.html", "/board.html?mat=1"]) {
        const context = await browser.newContext();
        t.after(() => context.close());
        const page = await context.newPage();
        let changed = 0;
        await page.routeWebSocket(/\/ws$/, (line) => {
            line.connectToServer().onMessage((bytes) => {
                const message = wire.fromBinary(wire.ToClientSchema, bytes);
                const { bout, next = [] } = message.kind.case === "mat" ? message.kind.value : {};
                for (const head of [bout, ...next]) {
                    if (head?.blue?.name !== typed) continue;
                    head.blue.name = turned;
                    changed += 1;
                }
                line.send(Buffer.from(wire.toBinary(wire.ToClientSchema, message)));
            });
        });
        await page.goto(`http://127.0.0.1:${hub.port}${path}`);
        await page.getByText("<img src=x").first().waitFor({ state: "attached" });
        const text = await page.evaluate(() => document.body.innerHTML + document.body.textContent + document.title);
        assert.doesNotMatch(text, /[\u061c\u200b\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff]/);
        assert.match(text, /Bice oroM Moro/);
        assert.ok(changed > 0);
        assert.equal(await page.locator("img[src=x]").count(), 0);
        assert.notEqual(await page.title(), "no");
    }
    const { page } = await open(t, `http://127.0.0.1:${hub.port}/table.html?mat=1`);
    await page.getByTestId("take-1").click();
    await page.getByTestId("next-bout").click();
    await page.getByText("<img src=x").first().waitFor({ state: "attached" });
    assert.doesNotMatch(await page.evaluate(() => document.body.innerHTML), /[\u200b\u202a-\u202e]/);
});

test("a page that came without encryption says so all day, beside what it shows; the crowd's does not", limit, async (t) => {
    for (const [path, what] of [["/board.html?mat=1", ".board"], ["/hall.html", ".hall"], ["/table.html?mat=1", "#page"], ["/desk.html", "#page"], ["/", "#page"]]) {
        const { page } = await open(t, `http://hub.example:${hub.port}${path}`);
        const line = page.locator("#readable");
        await line.waitFor();
        assert.match(await line.textContent(), /^NOT ENCRYPTED: .*can't load again.*screen may go dark/);
        const above = await line.boundingBox();
        const below = await page.locator(what).first().boundingBox();
        assert.ok(below.y >= above.y + above.height - 0.5, `${path}: the line ends at ${above.y + above.height}, the page begins at ${below.y}`);
        assert.ok(above.height <= 32, `${above.height} px`);
        if (path !== "/" && what !== "#page") {
            const { height, inside } = await page.evaluate(() => ({ height: document.documentElement.scrollHeight, inside: innerHeight }));
            assert.ok(height <= inside + 1, `${path} is ${height} px high in a window of ${inside}`);
        }
    }
    const { page } = await open(t, `http://hub.example:${crowd}/board.html?mat=1`);
    await page.getByText("<img src=x").first().waitFor({ state: "attached" });
    await page.waitForLoadState("networkidle").catch(() => {});
    assert.equal(await page.locator("#readable").count(), 0);
});

test("spectators find boards, hall and results, and no way to a table", limit, async (t) => {
    const { page } = await open(t, `http://127.0.0.1:${crowd}/`);
    await page.getByTestId("mat-1").waitFor();
    assert.equal(await page.locator("a[href*=table], a[href*=desk], a[href*=setup]").count(), 0);
    await page.getByRole("link", { name: "Board" }).first().click();
    await page.getByText("<img src=x").first().waitFor({ state: "attached" });
});

test("over TLS pages are secure, and /trust tells how to get there, without any script", limit, async (t) => {
    const data = scratch(t);
    assert.equal(honbu("certificates", "--data", data, "--name", "localhost", "--address", "127.0.0.1").code, 0);
    const sure = await serve(t, data, { more: ["--public-listen", "127.0.0.1:0"] });
    t.after(() => sure.stop("SIGTERM"));
    await assert.rejects(open(t, `https://localhost:${sure.port}/hall.html`), /ERR_CERT_AUTHORITY_INVALID/); // nobody trusts it yet
    const { page } = await open(t, `https://localhost:${sure.port}/hall.html`, { ignoreHTTPSErrors: true });
    await until("the hall to be live", async () => (await page.locator(".hall[data-stale=false]").count()) === 1);
    assert.equal(await page.evaluate(() => window.isSecureContext), true);
    assert.equal(await page.locator("#readable").count(), 0);

    // This one is good for eight days. Of one that ends within a day the desk is told.
    const short = scratch(t);
    assert.equal(honbu("certificates", "--data", short, "--name", "localhost", "--days", "1").code, 0);
    const ending = await serve(t, short);
    t.after(() => ending.stop("SIGTERM"));
    const { page: desk } = await open(t, `https://localhost:${ending.port}/desk.html`, { ignoreHTTPSErrors: true });
    await desk.getByTestId("certificate").waitFor();
    assert.match(await desk.getByTestId("certificate").textContent(), /certificate ends on \d{4}-\d\d-\d\d/);
    const { page: calm } = await open(t, `https://localhost:${sure.port}/desk.html`, { ignoreHTTPSErrors: true });
    await calm.getByRole("heading", { name: "Results desk" }).waitFor();
    await calm.waitForLoadState("networkidle");
    assert.equal(await calm.getByTestId("certificate").count(), 0);

    const authority = readFileSync(join(data, "certificates", "authority.pem"), "utf8");
    for (const at of [`https://localhost:${sure.port}`, `http://127.0.0.1:${crowdOf(sure.out)}`]) {
        const { page: bare } = await open(t, `${at}/trust`, { javaScriptEnabled: false, ignoreHTTPSErrors: true });
        const text = (await bare.textContent("main")).replace(/\s+/g, " ");
        assert.match(text, /localhost, 127\.0\.0\.1/);
        const [first, second] = sure.out.match(/^ {4}([0-9A-F]{2}:){15}[0-9A-F]{2}$/gm).map((line) => line.trim());
        assert.ok(text.includes(`${first} ${second}`), "the fingerprint is the terminal's");
        assert.equal(await bare.getByRole("link", { name: "Download" }).getAttribute("href"), "/authority.crt");
    }
    const { page: scripted } = await open(t, `http://127.0.0.1:${crowdOf(sure.out)}/trust`);
    const complaints = [];
    watch(scripted, complaints);
    await scripted.reload();
    await scripted.getByText("iPhone or iPad").click();
    const tags = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"];
    await scripted.evaluate(axe);
    const { violations } = await scripted.evaluate((runOnly) => globalThis.axe.run(document, { runOnly }), tags);
    assert.deepEqual(violations.map((rule) => [rule.id, rule.nodes.map((node) => node.target)]), []);
    assert.deepEqual(complaints, []);
    const pem = await scripted.evaluate(async () => (await fetch("/authority.pem")).text());
    assert.equal(pem, authority);
});
