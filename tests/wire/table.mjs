// A table without a page: takes a mat and sends calls, numbered as docs/protocol.md, 8 asks.
import { createHash } from "node:crypto";
import { Client } from "../wire_client.mjs";

export const fusenGachi = { award: { to: "SIDE_WHITE", way: "WAY_FUSEN_GACHI" } };

// The next message that fits. If the line ends first, that is said at once.
function nextOf(client, fits) {
    return new Promise((found, failed) => {
        const look = () => {
            const at = client.heard.findIndex(fits);
            if (at < 0) return false;
            found(client.heard.splice(at, 1)[0]);
            return true;
        };
        if (look()) return;
        client.waiting.push(look);
        client.closed.then((code) => failed(new Error(`the line ended (${code}) before what was waited for`)));
    });
}

async function connected(port, hello) {
    const client = await Client.connect(port, hello);
    client.nextOf = (fits) => nextOf(client, fits);
    client.next = (kind, fits = () => true) => nextOf(client, (message) => message.case === kind && fits(message.value));
    return client;
}

// What came instead of the one hoped for is named, not waited out.
function expected(kind, message) {
    if (message.case !== kind) throw new Error(`a ${message.case} came instead of a ${kind}: ${message.value.words ?? message.value.kind}`);
    return message.value;
}

export class Table {
    // Connects and says hello; `device` and `run` are 16 hex digits.
    static async connect(port, device, run = device) {
        const table = new Table();
        table.run = run;
        table.number = 0;
        table.entered = 1_000;
        // A table must name the hub's fold version, which a screen learns from its welcome.
        const hall = await connected(port, { role: "ROLE_HALL" });
        const { foldVersion } = hall.welcome;
        hall.close();
        table.client = await connected(port, { role: "ROLE_TABLE", device, run, foldVersion, hand: "Ngaio" });
        return table;
    }

    // With the mat taken, too; its allotment is kept.
    static async sit(port, device, mat, { run, takeOver = false } = {}) {
        const table = await Table.connect(port, device, run);
        table.client.send({ case: "takeMat", value: { mat, takeOver } });
        await table.allotted();
        return table;
    }
    async allotted() {
        const message = await nextOf(this.client, ({ case: kind }) => kind === "allotment" || kind === "refusal");
        return (this.allotment = expected("allotment", message));
    }

    // The next call of this run, in proto3 JSON; `more` overrules.
    call(bout, what, more = {}) {
        const { mat, term } = this.allotment;
        return { id: { run: this.run, number: ++this.number }, mat, term, bout, entered: (this.entered += 100), ...what, ...more };
    }
    submit(call) {
        this.client.send({ case: "submit", value: { call } });
        return call;
    }
    answer(call) {
        const about = ({ call: { run, number } = {} }) => run === call.id.run && number === call.id.number;
        return nextOf(this.client, ({ case: kind, value }) => (kind === "verdict" || kind === "refusal") && about(value));
    }
    async verdict(call) {
        return expected("verdict", await this.answer(call));
    }
    // Of this call, or of a taking.
    async refusal(call) {
        const taking = ({ case: kind }) => kind === "allotment" || kind === "refusal";
        return expected("refusal", await (call ? this.answer(call) : nextOf(this.client, taking)));
    }
    // Sends the next call, and waits for its verdict.
    async make(bout, what, more) {
        return this.verdict(this.submit(this.call(bout, what, more)));
    }

    // Confirms a bout the shortest way: blue did not appear. Returns the verdict of the confirmation.
    async confirm(bout) {
        for (const what of [{ plain: "PLAIN_CALLED" }, fusenGachi, { plain: "PLAIN_KACHI" }]) await this.make(bout, what);
        const given = this.allotment.bouts.find((one) => one.bout === bout);
        const rulesHash = createHash("sha256").update(this.allotment.rules[given.rules]).digest("base64");
        return this.make(bout, {
            confirm: { winner: "WINNER_WHITE", way: "WAY_FUSEN_GACHI", white: {}, blue: {}, rulesHash, foldVersion: this.client.welcome.foldVersion },
        });
    }

    close() {
        this.client.close();
        return this.client.closed;
    }
}

// `more` is what else its hello says.
export async function screen(port, subscribe, role = "ROLE_HALL", more = {}) {
    const client = await connected(port, { role, ...more });
    if (subscribe) client.send({ case: "subscribe", value: subscribe });
    return client;
}

// Waits until the hub has dealt with everything this client sent before.
export async function dealtWith(client) {
    const sent = (client.asked = (client.asked ?? 0) + 1);
    client.send({ case: "clockAsk", value: { sent } });
    return (await client.next("clockAnswer", (value) => value.sent === sent)).value;
}
