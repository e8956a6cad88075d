// Who may come in, at the real hub: docs/doors.md. The terminal's code makes the first desk, the desk lets a table in, and what
// is secret stands in no file, no log and no address.
import assert from "node:assert/strict";
import { randomBytes } from "node:crypto";
import { readFileSync, readdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { Client, wire } from "../wire_client.mjs";
import { demo, honbu, scratch, serve } from "../crash/hub.mjs";

const limit = { timeout: 30_000 };
const { Reason } = wire;
const name = () => randomBytes(8).toString("hex");
const secret = () => randomBytes(32).toString("base64url"); // RFC 4648, 5

class Device {
    constructor(hub, role) {
        Object.assign(this, { hub, role, device: name(), run: name(), token: secret(), requests: 0 });
    }

    async knock(more = {}) {
        this.client?.close();
        this.client = await Client.connect(this.hub.port);
        const { role, device, token } = this;
        const run = role === "ROLE_TABLE" ? { run: this.run, foldVersion: this.hub.fold } : {};
        this.client.send({ case: "hello", value: { schema: 2, role, device, token, hand: "Renske", ...run, ...more } });
        return this.heard(["welcome", "atTheDoor", "goodbye"]);
    }

    heard(kinds, fits = () => true) {
        const { client } = this;
        return new Promise((found) => {
            const look = () => {
                const at = client.heard.findIndex((message) => kinds.includes(message.case) && fits(message.value));
                if (at >= 0) found(client.heard.splice(at, 1)[0]);
                return at >= 0;
            };
            if (!look()) client.waiting.push(look);
        });
    }

    async ask(kind, value) {
        const request = ++this.requests;
        this.client.send({ case: kind, value: { request, ...value } });
        return this.heard(["done", "refusal"], (said) => said.request === request);
    }
}

async function closed(t) {
    const data = scratch(t);
    const hub = await serve(t, data, { more: ["--competition", demo, "--title", "Evening Cup"], doors: true });
    const looker = await Client.connect(hub.port, { role: "ROLE_HALL" });
    hub.fold = looker.welcome.foldVersion;
    looker.close();
    return { data, hub };
}

async function firstDesk(hub, data) {
    const desk = new Device(hub, "ROLE_DESK");
    const code = honbu("code", "--data", data).out.split("\n")[0];
    assert.match(code, /^[0-9A-HJKMNP-TV-Z]{4}-[0-9A-HJKMNP-TV-Z]{4}$/); // Crockford's Base32
    const door = await desk.knock();
    assert.equal(door.case, "atTheDoor");
    assert.equal(door.value.takesCode, true);
    desk.client.send({ case: "useCode", value: { code } });
    assert.equal((await desk.heard(["welcome", "refusal"])).case, "welcome");
    return { desk, code };
}

test("the terminal's code makes one desk, and the desk lets a table in for its mat", limit, async (t) => {
    const { hub, data } = await closed(t);
    const { desk, code } = await firstDesk(hub, data);
    const second = new Device(hub, "ROLE_DESK");
    await second.knock();
    second.client.send({ case: "useCode", value: { code } });
    assert.equal((await second.heard(["welcome", "refusal"])).value.reason, Reason.WRONG_CODE);

    desk.client.send({ case: "subscribe", value: { door: true } });
    const table = new Device(hub, "ROLE_TABLE");
    const { value: door } = await table.knock();
    assert.match(door.code, /^\d{6}$/);
    const { value: seen } = await desk.client.next("door", (view) => view.waiting.some((one) => one.device === table.device));
    assert.equal(seen.waiting.find((one) => one.device === table.device).code, door.code);
    const done = await desk.ask("letIn", { device: table.device, code: door.code, right: "RIGHT_TABLE", mat: 2 });
    assert.equal(done.case, "done", done.value.words);
    const { value: welcome } = await table.client.next("welcome");
    assert.equal(welcome.mat, 2);
    table.client.send({ case: "takeMat", value: { mat: 1 } });
    assert.equal((await table.heard(["allotment", "refusal"])).value.reason, Reason.NOT_LET_IN);
    table.client.send({ case: "takeMat", value: { mat: 2 } });
    assert.equal((await table.heard(["allotment", "refusal"])).case, "allotment");

    // After a crash both are known.
    await hub.stop("SIGKILL");
    const again = await serve(t, data, { doors: true });
    again.fold = hub.fold;
    for (const device of [desk, table]) {
        device.hub = again;
        assert.equal((await device.knock()).case, "welcome");
    }

    // Shut out it is disconnected, and comes no further than the door.
    const out = await desk.ask("shutOut", { device: table.device, reason: "left in the café" });
    assert.equal(out.case, "done", out.value.words);
    assert.equal((await table.heard(["goodbye"])).value.reason, Reason.SHUT_OUT);
    assert.equal(await table.client.closed, 1008); // RFC 6455, 7.4.1
    assert.equal((await table.knock()).case, "atTheDoor");
});

test("nobody else gets further than the door", limit, async (t) => {
    const { hub, data } = await closed(t);
    const { desk } = await firstDesk(hub, data);
    const stranger = new Device(hub, "ROLE_DESK");
    assert.equal((await stranger.knock({ token: "" })).value.reason, Reason.NOT_LET_IN);
    assert.equal((await stranger.knock({ token: "too-short" })).value.reason, Reason.UNREADABLE);
    assert.equal((await stranger.knock({ device: desk.device })).value.reason, Reason.NOT_LET_IN);
    assert.equal((await stranger.knock()).case, "atTheDoor");
    stranger.client.send({ case: "letIn", value: { request: 1, device: stranger.device, code: "000000", right: "RIGHT_DESK" } });
    assert.equal((await stranger.heard(["goodbye"])).value.reason, Reason.HELLO_FIRST);
    assert.equal((await hub.ready()).number, 3); // epoch, competition, and the desk
});

test("what is secret stands in no file and no log", limit, async (t) => {
    const { hub, data } = await closed(t);
    const { desk, code } = await firstDesk(hub, data);
    await hub.stop("SIGTERM");
    const kept = readdirSync(data, { recursive: true }).map((file) => join(data, file)).filter((file) => statSync(file).isFile());
    assert.ok(kept.length > 0);
    for (const file of kept) {
        const bytes = readFileSync(file);
        for (const word of [desk.token, code, code.replace("-", "")]) assert.equal(bytes.indexOf(word), -1, file);
    }
    assert.ok(!kept.some((file) => file.endsWith("desk-code")), "used up, it is gone");
    for (const said of [hub.out, hub.err, honbu("journal", "show", "--data", data).out, honbu("journal", "export", "--data", data).out]) {
        assert.ok(!said.includes(desk.token) && !said.includes(code), said);
    }
});

test("a code is for a folder with a journal", limit, (t) => {
    const { code, err } = honbu("code", "--data", join(scratch(t), "nothing"));
    assert.equal(code, 1);
    assert.match(err, /There is no journal in .*nothing/);
});
