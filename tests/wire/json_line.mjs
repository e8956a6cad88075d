// A client of the JSON flavour, with a WebSocket and JSON.parse and nothing else: docs/protocol.md, section 14.
import assert from "node:assert/strict";
import { require } from "../packages.mjs";

const { WebSocket } = require("ws");
export const subprotocol = "honbu.v1.json";

export class JsonLine {
    // `offers` is the subprotocol or a list of them. Fails with the hub's sentence if it refuses.
    static async open(port, offers = subprotocol) {
        const line = new JsonLine();
        line.heard = [];
        line.texts = []; // the same, as they came
        line.waiting = [];
        line.socket = new WebSocket(`ws://127.0.0.1:${port}/ws`, offers);
        line.closed = new Promise((closed) => line.socket.on("close", (code, words) => closed({ code, words: words.toString() })));
        line.socket.on("message", (data, isBinary) => line.got(data, isBinary));
        await new Promise((open, failed) => {
            line.socket.on("open", open).on("error", failed);
            line.socket.on("unexpected-response", async (_, answer) => {
                let words = "";
                for await (const part of answer) words += part;
                failed(Object.assign(new Error(words), { status: answer.statusCode }));
            });
        });
        return line;
    }

    // With the hello said and answered.
    static async greeted(port, hello = { role: "ROLE_HALL" }) {
        const line = await JsonLine.open(port);
        line.send("hello", { schema: 1, ...hello });
        line.welcome = await line.next("welcome");
        return line;
    }

    got(data, isBinary) {
        if (this.socket.protocol !== subprotocol) return; // not ours to read
        assert.equal(isBinary, false, "the JSON flavour is text messages (RFC 6455, 5.6)");
        const message = JSON.parse(data);
        const kinds = Object.keys(message);
        assert.equal(kinds.length, 1, "a message says one thing");
        if (kinds[0] === "heartbeat") this.send("heartbeat", {});
        this.texts.push(data.toString());
        this.heard.push({ kind: kinds[0], value: message[kinds[0]] });
        this.waiting = this.waiting.filter((look) => !look());
    }

    say(text) {
        this.socket.send(text);
    }
    send(kind, value) {
        this.say(JSON.stringify({ [kind]: value }));
    }

    // The next message of one of these kinds that fits and was not asked for yet. If the line ends first, that is said.
    nextOf(kinds, fits = () => true) {
        return new Promise((found, failed) => {
            const look = () => {
                const at = this.heard.findIndex(({ kind, value }) => kinds.includes(kind) && fits(value));
                if (at < 0) return false;
                found(this.heard.splice(at, 1)[0]);
                return true;
            };
            if (look()) return;
            this.waiting.push(look);
            this.closed.then(({ code, words }) => failed(new Error(`the line ended (${code} ${words}) before a ${kinds}`)));
        });
    }
    async next(kind, fits) {
        return (await this.nextOf([kind], fits)).value;
    }

    close() {
        this.socket.close();
        return this.closed;
    }
}

// A table: takes a mat and sends calls, numbered as docs/protocol.md, 8 asks.
export class JsonTable {
    static async sit(port, device, mat, { run = device, takeOver = false } = {}) {
        const table = new JsonTable();
        const hall = await JsonLine.greeted(port); // tells which engine the hub has
        const { foldVersion } = hall.welcome;
        await hall.close();
        Object.assign(table, { run, number: 0, foldVersion });
        table.line = await JsonLine.greeted(port, { role: "ROLE_TABLE", device, run, foldVersion, hand: "Ngaio Ō" });
        table.line.send("takeMat", { mat, takeOver });
        const { kind, value } = await table.line.nextOf(["allotment", "refusal"]);
        assert.equal(kind, "allotment", value.words);
        table.allotment = value;
        return table;
    }

    call(bout, entered, what) {
        const { mat, term } = this.allotment;
        return { id: { run: this.run, number: ++this.number }, term, mat, bout, entered, ...what };
    }
    // Sends it, and waits for what the hub says of it.
    async answer(call) {
        this.line.send("submit", { call });
        return this.line.nextOf(["verdict", "refusal"], ({ call: about }) => about?.number === call.id.number);
    }
    async make(bout, entered, what) {
        const { kind, value } = await this.answer(this.call(bout, entered, what));
        assert.equal(kind, "verdict", value.words);
        return value;
    }
}
