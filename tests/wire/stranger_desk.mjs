// A desk without an engine: tables, what was set aside, the audit, commands, questions. Written from
// docs/protocol.md (sections 12 and 13), docs/journal.md and proto/ alone.
import { Chain } from "./stranger_journal.mjs";

export class Desk {
    constructor({ device, hand }) {
        Object.assign(this, { device, hand });
        this.requests = 0;
        this.open = new Map();
        this.refusals = [];
        this.asks = [];
        this.asked = new Map();
        this.answers = [];
        this.forget();
    }

    forget() {
        this.chain = new Chain();
        this.records = [];
        this.broken = null;
        this.tables = null;
        this.setAside = null;
    }

    hello() { return { role: "ROLE_DESK", device: this.device, hand: this.hand }; }
    wants() { return { tables: true, setAside: true, audit: true, auditAfter: this.chain.number }; }

    welcome(_welcome, forget) {
        if (forget) this.forget();
        this.asked.clear();
        for (const { kind, value } of this.open.values()) this.line.send(kind, value);
    }

    hear(kind, value) {
        if (kind === "tables") this.tables = value;
        if (kind === "setAside" && !(this.setAside?.number > value.number)) this.setAside = value;
        if (kind === "record") {
            this.follow(value);
        }
        if (kind === "done" || (kind === "refusal" && value.request)) this.settle(value.request, { kind, ...value });
        else if (kind === "allotment" && this.opening) this.settle(this.opening, { kind, ...value });
        else if (kind === "refusal") this.refusals.push(value);
        if (kind === "asked") this.asked.set(value.ask, value);
        if (kind === "askAnswered") {
            this.answers.push(value);
            if (value.how !== "HOW_HEARD") this.asked.delete(value.ask);
        }
    }

    // A chain that does not hold is told, and nothing after that place is believed.
    follow(sent) {
        if (this.broken) return;
        try {
            this.records.push({ sent, read: this.chain.add(sent.number, Buffer.from(sent.bytes, "base64"), sent.hash) });
        } catch (error) {
            this.broken = error;
        }
    }

    settle(request, answer) {
        this.open.get(request)?.done(answer);
        this.open.delete(request);
        if (this.opening === request) this.opening = null;
    }

    // A command and what became of it. After a broken line it is sent again with the next welcome.
    command(kind, value) {
        this.requests += 1;
        const request = this.requests;
        return new Promise((done) => {
            const whole = { request, ...value };
            this.open.set(request, { kind, value: whole, done });
            if (kind === "openBout") this.opening = request;
            this.line.send(kind, whole);
        });
    }

    ofBout(bout) { return this.setAside?.bouts.filter((one) => one.bout === bout) ?? []; }
    ofMat(mat) { return this.tables?.mats.find((one) => one.mat === mat); }
}
