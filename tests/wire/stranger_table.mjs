// A table without an engine: calls of one bout with `seen` 0. Written from docs/protocol.md (sections 3, 4, 7
// and 8) and proto/ alone.
// What the engine would refuse, this table does not know: it enters what it is told.
import { appendFileSync, closeSync, existsSync, fsyncSync, openSync, readFileSync } from "node:fs";
import { sha256 } from "./stranger_journal.mjs";
import { newName } from "./stranger_line.mjs";

// "Write the call into lasting storage and wait until that is complete": one line of JSON a call, and a sync.
export class Store {
    constructor(path) {
        this.path = path;
        this.calls = existsSync(path) ? readFileSync(path, "utf8").split("\n").filter(Boolean).map((line) => JSON.parse(line)) : [];
    }

    add(submit) {
        const file = openSync(this.path, "a");
        appendFileSync(file, `${JSON.stringify(submit)}\n`);
        fsyncSync(file);
        closeSync(file);
        this.calls.push(submit);
    }

    // In the order in which runs began, which is the order of the file.
    runs() { return [...new Set(this.calls.map(({ call }) => call.id.run))]; }
    of(run) { return this.calls.filter(({ call }) => call.id.run === run); }
}

export class Table {
    constructor({ device, mat, hand, store, rate = 1 }) {
        Object.assign(this, { device, mat, hand, store, rate });
        this.run = newName();
        this.began = performance.now();
        this.number = 0;
        this.entered = 0;
        this.verdicts = new Map();
        this.refusals = [];
        this.allotments = 0;
        this.measured = 0;
    }

    // Until the first welcome nobody has told what the hub's fold version is: see `hello` of the test.
    hello(foldVersion) {
        return { role: "ROLE_TABLE", device: this.device, run: this.run, foldVersion, hand: this.hand };
    }

    runMs(at = performance.now()) { return Math.floor((at - this.began) * this.rate); }

    welcome(welcome, forget) {
        this.rate = welcome.rehearsalRate;
        if (forget) this.allotment = null;
        const term = this.allotment?.term ?? 0; // "which term it believes it holds"
        this.foldVersion = welcome.foldVersion;
        this.told = 0;
        this.resend(welcome.runs);
        if (this.mat) this.line.send("takeMat", { mat: this.mat, term });
    }

    // Section 8: from `last + 1` of each run, older runs first. A call of this run that the hub has recorded, but whose
    // verdict was lost with the line, is sent as well: nothing else tells whether it counts.
    resend(heads) {
        this.resent = 0;
        for (const run of this.store.runs()) {
            const last = heads.find((head) => head.run === run)?.last ?? 0;
            for (const submit of this.store.of(run)) {
                const { id } = submit.call;
                if (id.number <= last && (run !== this.run || this.verdict(id))) continue;
                this.line.send("submit", submit);
                this.resent += 1;
            }
        }
    }

    hear(kind, value) {
        if (kind === "clockAnswer") this.tellRunClock();
        if (kind === "allotment") {
            this.allotment = value;
            this.allotments += 1;
        }
        if (kind === "verdict") this.verdicts.set(`${value.call.run} ${value.call.number}`, value);
        if (kind === "refusal") this.refused(value);
        if (kind === "matLost") this.lostMat = value;
    }

    refused(refusal) {
        this.refusals.push(refusal);
        if (refusal.reason !== "REASON_NUMBER_GAP") return;
        for (const submit of this.store.of(refusal.call.run)) if (!this.verdicts.has(`${refusal.call.run} ${submit.call.id.number}`)) this.line.send("submit", submit);
    }

    // The same moment on both clocks, after the first good answers and with every later one.
    tellRunClock() {
        const { clock } = this.line;
        if (clock.answers < 3) return;
        const at = performance.now();
        const told = { run: this.run, runMs: this.runMs(at), hubMs: Math.round(clock.hubTime(at)), roundTripMs: Math.round(clock.best.trip) };
        if (this.line.send("runClock", told)) this.measured += 1;
    }

    given(bout) { return this.allotment.bouts.find((one) => one.bout === bout); }

    // Show it, save it, send it. Gives the reference of the call.
    call(bout, what, { typed, entered } = {}) {
        this.number += 1;
        this.entered = Math.max(this.entered, entered ?? this.runMs());
        const id = { run: this.run, number: this.number };
        const { term = 0, mat = this.mat } = this.allotment ?? {};
        const submit = { call: { id, term, mat, bout, entered: this.entered, seen: 0, ...what } };
        if (typed) submit.typed = typed;
        this.store.add(submit);
        this.line.send("submit", submit);
        return id;
    }

    verdict(id) { return this.verdicts.get(`${id.run} ${id.number}`); }
    waiting() { return this.store.calls.filter(({ call }) => !this.verdict(call.id)).length; }

    // "32 bytes: SHA-256 of those rules", which a confirmation carries.
    rulesHash(bout) {
        const rules = this.allotment.rules[this.given(bout).rules];
        return sha256(Buffer.from(rules, "base64")).toString("base64");
    }

    // What is read back and confirmed: without an engine of its own this table takes it from the view that the hub
    // shows of the announced bout. `points` by the level that won is the only thing a view does not have.
    confirmation(view, { means = "MEANS_NONE", points }) {
        const { winner, way, regularMs, goldenScore, clock, white, blue } = view.frames[0];
        const elapsed = goldenScore ? clock.ms : regularMs;
        return {
            winner, way, goldenScore, regularMs, goldenMs: goldenScore ? clock.ms : 0, white, blue, means, points,
            decidedMs: elapsed, stoppedMs: elapsed, rulesHash: this.rulesHash(view.bout.bout), foldVersion: this.foldVersion,
        };
    }

    // How another run's clock meets this one, from the allotment: the same moment on both by way of hub time.
    joint(earlier) {
        const theirs = this.allotment.clocks.find((clock) => clock.run === earlier);
        const at = performance.now();
        const there = Math.round(theirs.runMs + this.line.clock.hubTime(at) - theirs.hubMs);
        return { joint: { earlier, there, here: this.runMs(at), source: "SOURCE_HUB_CLOCK" } };
    }
}
