// A line to the hub: hello, signs of life, hub time, coming back. Written from docs/protocol.md and proto/
// alone, by somebody who had read nothing else of the project. A flavour (stranger_protobuf.mjs or
// stranger_json.mjs) makes messages of plain objects and back; the objects are the same in both.
import { randomBytes } from "node:crypto";
import { require } from "../packages.mjs";

const { WebSocket } = require("ws");

const steady = () => performance.now();
const u32 = 2 ** 32;

// Section 4: the answer with the shortest round trip is believed, and an old one counts a little less.
export class HubClock {
    constructor(rate, now = steady) {
        this.rate = rate;
        this.now = now;
        this.best = null;
        this.drawn = 0;
        this.asked = new Map();
        this.answers = 0;
    }

    ask() {
        const sent = Math.floor(this.now()) % u32;
        this.asked.set(sent, this.now());
        return { sent };
    }

    answer({ sent, hubMs }) {
        const t0 = this.asked.get(sent);
        if (t0 === undefined) return;
        this.asked.delete(sent);
        const t1 = this.now();
        this.answers += 1;
        const fresh = { middle: (t0 + t1) / 2, hubMs, trip: t1 - t0, at: t1 };
        const aged = this.best && this.best.trip + (t1 - this.best.at) * 0.0001;
        if (!this.best || fresh.trip <= aged) this.best = fresh;
    }

    // null until the first answer: what is drawn then has no hub time.
    hubTime(at = this.now()) {
        if (!this.best) return null;
        return this.best.hubMs + (at - this.best.middle) * this.rate;
    }

    // What is drawn never steps back while a connection lasts.
    toDraw() {
        const time = this.hubTime();
        if (time !== null) this.drawn = Math.max(this.drawn, time);
        return this.drawn;
    }
}

// `parts` are told everything: part.welcome(welcome, forget), part.hear(kind, value), part.wants() for the
// subscription. `hello()` gives role, device and so on; the position is the line's.
export class Line {
    constructor({ url, flavour, hello, parts }) {
        Object.assign(this, { url, flavour, hello, parts });
        this.position = { epoch: "", number: 0, hash: "" };
        this.earlier = new Set();
        this.live = false;
        this.welcomed = false;
        this.stopped = false;
        this.pause = 300;
        this.connections = 0;
        this.goodbyes = [];
        for (const part of parts) part.line = this;
    }

    start() {
        this.stopped = false;
        const socket = new WebSocket(this.url, this.flavour.subprotocol, { perMessageDeflate: false, maxPayload: 1 << 20 });
        this.socket = socket;
        this.welcomed = false;
        this.farewell = null;
        this.heard = steady();
        socket.on("open", () => {
            this.heard = steady();
            this.put("hello", {
                schema: 2, ...this.hello(), page: "stranger 1",
                seenEpoch: this.position.epoch, seenNumber: this.position.number, seenHash: this.position.hash,
            });
        });
        socket.on("message", (data, binary) => this.take(this.flavour.decode(data, binary)));
        socket.on("ping", () => { this.heard = steady(); });
        socket.on("error", () => {});
        socket.on("close", (code) => this.ended(socket, code));
        this.timers = [setInterval(() => this.beat(), 1500), setInterval(() => this.watch(), 250)];
    }

    stop() {
        this.stopped = true;
        clearTimeout(this.again);
        return new Promise((done) => {
            if (!this.socket || this.socket.readyState === WebSocket.CLOSED) return done();
            this.socket.once("close", () => done());
            this.socket.close(1000);
        });
    }

    // As if a cable were pulled: no close frame.
    cut() { this.socket.terminate(); }

    // False: there is no line now. What matters is sent after the next welcome.
    send(kind, value = {}) {
        if (!this.welcomed) return false;
        return this.put(kind, value);
    }

    put(kind, value) {
        if (this.socket.readyState !== WebSocket.OPEN) return false;
        this.socket.send(this.flavour.encode({ [kind]: value }));
        return true;
    }

    take(message) {
        this.heard = steady();
        const [kind, value] = Object.entries(message)[0] ?? ["nothing", {}];
        if (kind === "welcome") this.greeted(value);
        if (kind === "clockAnswer") this.clock.answer(value);
        if (kind === "goodbye") {
            this.farewell = value;
            this.goodbyes.push(value);
        }
        if (kind === "record") this.saw(value.number, value.hash);
        for (const part of this.parts) part.hear?.(kind, value);
    }

    greeted(welcome) {
        const before = this.position;
        const other = before.epoch !== "" && before.epoch !== welcome.epoch;
        if (this.earlier.has(welcome.epoch)) {
            this.wrongFolder = true;
            this.stopped = true;
            this.socket.close(1000);
            return;
        }
        this.earlier = new Set(welcome.earlierEpochs ?? []);
        const forget = other || (welcome.missing ?? 0) > 0 || Boolean(welcome.differs);
        this.position = { epoch: welcome.epoch, number: welcome.number, hash: welcome.hash ?? "" };
        this.welcome = welcome;
        this.clock = new HubClock(welcome.rehearsalRate);
        this.welcomed = true;
        this.live = true;
        this.connections += 1;
        this.pause = 300;
        for (const part of this.parts) part.welcome?.(welcome, forget);
        this.subscribe();
        this.askTimes(5);
    }

    // One Subscribe holds what all parts want: each replaces the one before.
    subscribe() {
        const wanted = Object.assign({}, ...this.parts.map((part) => part.wants?.() ?? {}));
        if (Object.keys(wanted).length > 0) this.send("subscribe", wanted);
    }

    askTimes(times) {
        const socket = this.socket;
        const one = () => {
            if (this.socket !== socket || !this.send("clockAsk", this.clock.ask())) return;
            times -= 1;
            this.timers.push(setTimeout(one, times > 0 ? 60 : 4000));
        };
        one();
    }

    // A number with its hash, or without: then nothing is known of what the record was.
    saw(number, hash = "") {
        if (number > this.position.number || (number === this.position.number && hash)) {
            this.position = { ...this.position, number, hash };
        }
    }

    // Not before the welcome: a heartbeat, too, ends a line that has not said hello.
    beat() { this.send("heartbeat"); }

    watch() {
        const silent = steady() - this.heard;
        if (silent > 5000) this.live = false;
        if (silent > 9500) this.socket.terminate();
    }

    ended(socket, code) {
        if (socket !== this.socket) return;
        this.live = false;
        this.welcomed = false;
        this.closeCode = code;
        for (const timer of this.timers) clearTimeout(timer);
        for (const part of this.parts) part.lost?.();
        if (this.stopped || (this.farewell && !this.farewell.comeBack)) return;
        this.again = setTimeout(() => this.start(), this.pause * (0.5 + Math.random() / 2) + 150);
        this.pause = Math.min(this.pause * 2, 4500);
    }
}

// Waits until `look()` is true; tests say what they waited for.
export async function until(what, look, ms = 20000) {
    const end = steady() + ms;
    for (;;) {
        const found = await look();
        if (found) return found;
        if (steady() > end) throw new Error(`waited in vain: ${what}`);
        await new Promise((go) => setTimeout(go, 15));
    }
}

// Section 1: 64 random bits as 16 hex digits, never all zeros.
export function newName() {
    const bits = randomBytes(8);
    bits[7] |= 1;
    return bits.toString("hex");
}
