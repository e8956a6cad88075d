// The bytes of a record and their chain, read by what docs/journal.md (sections 3 and 4) says and nothing else.
// A rule set's bytes are not on that page, so a competition (fact 2) is read up to its title.
import { createHash } from "node:crypto";

export const sha256 = (bytes) => createHash("sha256").update(bytes).digest();

class Reader {
    constructor(bytes) {
        this.bytes = bytes;
        this.at = 0;
    }

    take(length) {
        if (this.at + length > this.bytes.length) throw new Error(`a byte too few at ${this.at}`);
        this.at += length;
        return this.bytes.subarray(this.at - length, this.at);
    }

    u8() { return this.take(1)[0]; }
    u16() { return this.take(2).readUInt16LE(); }
    u32() { return this.take(4).readUInt32LE(); }
    name() { return this.take(8).readBigUInt64LE().toString(16).padStart(16, "0"); }
    text() { return this.take(this.u16()).toString("utf8"); }
    list(item) { return Array.from({ length: this.u32() }, item); }
    flag() {
        const value = this.u8();
        if (value > 1) throw new Error(`a flag of ${value}`);
        return value === 1;
    }
    end() { if (this.at !== this.bytes.length) throw new Error(`${this.bytes.length - this.at} bytes too many`); }
}

const callRef = (r) => ({ run: r.name(), number: r.u32() });
const joint = (r) => ({ earlier: r.name(), there: r.u32(), here: r.u32(), source: r.u8() });

function boardSide(r) {
    const [koka, yuko, wazaAri, ippon, shido] = [r.u8(), r.u8(), r.u8(), r.u8(), r.u8()];
    return { koka, yuko, wazaAri, ippon, shido, hansokuMake: r.flag() };
}

function result(r) {
    return {
        winner: r.u8(), way: r.u8(), means: r.u8(), flags: r.u8(), goldenScore: r.flag(),
        decidedMs: r.u32(), stoppedMs: r.u32(), regularMs: r.u32(), goldenMs: r.u32(),
        white: boardSide(r), blue: boardSide(r), points: r.u8(), namesExchanged: r.flag(), administrative: r.flag(),
        rulesHash: r.take(32).toString("base64"), foldVersion: r.u32(),
    };
}

const side = (r) => ({ side: r.u8() });
const bare = (plain) => [plain, () => ({})];

// By kind of call: the name of the wire's field (or of its Plain) and what follows.
const kinds = {
    1: bare("PLAIN_CALLED"), 2: bare("PLAIN_HAJIME"), 3: bare("PLAIN_MATE"), 4: bare("PLAIN_SONO_MAMA"), 5: bare("PLAIN_YOSHI"),
    6: ["osaekomi", side], 7: bare("PLAIN_TOKETA"),
    8: ["score", (r) => ({ side: r.u8(), level: r.u8() })],
    9: ["shido", (r) => ({ side: r.u8(), reason: r.u8() })],
    10: ["hansokuMake", (r) => ({ side: r.u8(), directClass: r.u8(), reason: r.u8() })],
    11: ["submission", (r) => ({ side: r.u8(), means: r.u8() })],
    12: ["award", (r) => ({ side: r.u8(), way: r.u8(), flags: r.u8() })],
    13: bare("PLAIN_SORE_MADE"), 14: bare("PLAIN_KACHI"),
    15: ["confirm", result], 16: ["strike", callRef], 17: ["joint", joint], 18: ["absent", side],
    19: bare("PLAIN_PRESENT"), 20: bare("PLAIN_PAUSE"), 21: bare("PLAIN_HOLD_CHANGED"), 22: ["awasete", side],
    23: bare("PLAIN_BOTH_LOSE"), 24: bare("PLAIN_HIKI_WAKE"),
    25: ["doctor", (r) => ({ side: r.u8(), by: r.u8() })],
    26: ["bleeding", (r) => ({ side: r.u8(), site: r.u8() })],
    27: ["injury", (r) => ({ side: r.u8(), harm: r.u8(), by: r.u8() })],
    28: ["judogi", side], 29: bare("PLAIN_REVIEW"), 30: bare("PLAIN_REVIEW_OVER"),
    31: ["setClock", (r) => ({ ms: r.u32() })], 32: ["setHold", (r) => ({ side: r.u8(), ms: r.u32() })],
    33: bare("PLAIN_EXCHANGE_NAMES"),
    34: ["replace", (r) => ({ call: callRef(r), by: what(r) })],
    35: ["move", (r) => ({ call: callRef(r), to: r.u32() })],
    36: bare("PLAIN_ACCEPT"), 37: ["reopen", (r) => ({ ground: r.u8() })],
};

function what(r) {
    const kind = r.u8();
    if (!kinds[kind]) throw new Error(`an unknown kind of call, ${kind}`);
    const [name, fields] = kinds[kind];
    return { name, ...fields(r) };
}

export function readCall(r) {
    return {
        run: r.name(), number: r.u32(), term: r.u32(), mat: r.u16(), bout: r.u32(),
        entered: r.u32(), back: r.u32(), seen: r.u32(), what: what(r),
    };
}

const facts = {
    1: (r) => ({ fact: "epoch began", epoch: r.name(), foldVersion: r.u32(), rate: r.u32(), parent: r.name() }),
    3: (r) => ({ fact: "mat taken", mat: r.u16(), term: r.u32() }),
    4: (r) => ({ fact: "call", call: readCall(r) }),
    5: (r) => ({ fact: "mat freed", mat: r.u16(), term: r.u32() }),
    6: (r) => ({
        fact: "set aside decided", how: r.u8(), into: r.u32(), calls: r.list(() => callRef(r)),
        joined: r.list(() => ({ run: r.name(), ...joint(r) })), reason: r.text(),
    }),
    7: (r) => ({ fact: "result entered", bout: r.u32(), from: r.u8(), replaces: r.u32(), result: result(r), reason: r.text() }),
    8: (r) => ({ fact: "record moved", from: r.u32(), to: r.u32(), reason: r.text() }),
    9: (r) => ({ fact: "bout given back", bout: r.u32() }),
};

export function readRecord(bytes) {
    const r = new Reader(Buffer.from(bytes));
    const head = {
        number: r.u32(), previous: r.take(32).toString("hex"), received: r.u32(), device: r.name(), hand: r.text(), verdict: r.u8(),
    };
    const fact = r.u8();
    if (fact === 2) return { ...head, fact: "competition loaded", title: r.text() };
    if (!facts[fact]) throw new Error(`an unknown fact, ${fact}`);
    const read = { ...head, ...facts[fact](r) };
    r.end();
    return read;
}

export const readFact = (bytes) => facts[bytes[0]](new Reader(Buffer.from(bytes.subarray(1))));

// Follows records as they come: number, link, and the hash that the record was sent with.
export class Chain {
    constructor() {
        this.number = 0;
        this.hash = Buffer.alloc(32);
    }

    add(number, bytes, hash) {
        const read = readRecord(bytes);
        if (number !== this.number + 1 || read.number !== number) throw new Error(`record ${read.number} (${number}) after ${this.number}`);
        if (read.previous !== this.hash.toString("hex")) throw new Error(`record ${number} does not go on from ${this.number}`);
        const own = sha256(bytes);
        if (hash !== own.subarray(0, 8).toString("hex")) throw new Error(`record ${number} has not the hash it came with`);
        this.number = number;
        this.hash = own;
        return read;
    }
}
