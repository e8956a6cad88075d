// The table's logic: honbu.wasm, behind the functions of docs/table.md.
//
// Loaded once; after that it needs no network. Text and bytes go through one buffer of the module.
// Nothing is decided here.
import type { Met } from "./clock";
import type { Allotment, Joint_Source, Verdict_Kind } from "./gen/honbu/v1/hub_pb";

type Exports = Record<string, (...args: number[]) => number> & { memory: WebAssembly.Memory };

export interface Kept {
    run: string;
    number: number;
    bytes: string; // hex
}

export interface Doing {
    save: Kept[];
    send: object[]; // calls in proto3 JSON
}

export type Fit = "usual" | "unusual" | "impossible";

// What may be said after a key's id, or a correction that a call is open to.
export interface Choice {
    id: string;
    words: string;
}

export interface KeyShown extends Choice {
    fit: Fit;
    why: string;
    arguments?: Choice[];
}

export interface CallRef {
    run: string;
    number: number;
}

export interface CallShown extends CallRef {
    words: string; // as corrected
    was?: string; // as called, if that was something else
    key: string; // the id that enters it; empty: none does
    correction: "" | "strike" | "replaced" | "moved";
    struckBy?: CallRef;
    actions: Choice[];
    side: "white" | "blue" | "both" | "none";
    clock: string;
    golden: boolean;
    standing: "counts" | "struck" | "without_effect";
    saved: boolean;
    verdict: "none" | "applied" | "without_effect" | "set_aside";
}

export interface BoutShown {
    bout: number;
    category: string;
    round: string;
    white: string;
    blue: string;
    state: "waiting" | "begun" | "confirmed" | "desk";
}

export interface Shown {
    charge: "none" | "in_charge" | "lost";
    line: boolean;
    mat: number;
    term: number;
    hand: string;
    unsent: number;
    unsaved: number;
    notice: string;
    warning: string;
    start: string;
    state: string; // where the bout is, in one word
    because: string; // the rule that decided, after kachi
    offers: string[];
    prompts: string[];
    view: object; // a MatView in proto3 JSON
    keys: KeyShown[];
    calls: CallShown[]; // as they were entered
    bouts: BoutShown[];
    readback: string;
}

// The two halves of a name of 16 hex digits.
function halves(name: string): [number, number] {
    return [parseInt(name.slice(0, 8), 16), parseInt(name.slice(8), 16)];
}

export function fromHex(hex: string): Uint8Array {
    return Uint8Array.from({ length: hex.length / 2 }, (_, i) => parseInt(hex.slice(2 * i, 2 * i + 2), 16));
}

export class Engine {
    private readonly utf8 = new TextEncoder();
    private readonly text = new TextDecoder();

    private constructor(private readonly wasm: Exports) {}

    static async load(address: string): Promise<Engine> {
        const answer = await fetch(address);
        if (!answer.ok) throw new Error(`${address}: the hub answered ${answer.status}`);
        const module = await WebAssembly.compile(await answer.arrayBuffer());
        const imports: WebAssembly.Imports = {};
        for (const { module: from, name } of WebAssembly.Module.imports(module)) {
            // The engine asks nothing of the world; a C library may name a way to stop.
            (imports[from] ??= {})[name] = () => { throw new Error(`the engine stopped: ${name}`); };
        }
        const { exports } = await WebAssembly.instantiate(module, imports);
        const wasm = exports as Exports;
        wasm._initialize?.();
        return new Engine(wasm);
    }

    private call(name: string, ...args: number[]): number {
        const made = this.wasm[name];
        if (!made) throw new Error(`the engine has no ${name}`);
        return made(...args);
    }

    private put(bytes: Uint8Array): number {
        const at = this.call("honbu_room", bytes.length) >>> 0;
        new Uint8Array(this.wasm.memory.buffer).set(bytes, at);
        return bytes.length;
    }

    private putText(text: string): number {
        return this.put(this.utf8.encode(text));
    }

    private answer(length: number): string {
        const at = this.call("honbu_out") >>> 0;
        return this.text.decode(new Uint8Array(this.wasm.memory.buffer, at, length));
    }

    foldVersion(): number {
        return this.call("honbu_fold_version");
    }

    // Of a kept call, in proto3 JSON.
    callJson(bytes: Uint8Array): object {
        return JSON.parse(this.answer(this.call("honbu_call_json", this.put(bytes)))) as object;
    }

    open(run: string, hand: string): void {
        this.call("table_open", ...halves(run), this.putText(hand));
    }

    restore(bytes: Uint8Array, verdict: number): void {
        this.call("table_restore", this.put(bytes), verdict);
    }

    // How another run's clock meets this one: by the device's wall clock, or by the hub's.
    earlierRun(run: string, met: Met, source: Joint_Source): void {
        this.call("table_earlier_run", ...halves(run), met.there, met.here, source);
    }

    allot(allotment: Allotment, now: number): void {
        this.call("table_allot_begin", allotment.mat, allotment.term);
        for (const rules of allotment.rules) this.call("table_allot_rules", this.put(rules));
        for (const bout of allotment.bouts) {
            const { white, blue } = bout;
            const words = [bout.category, bout.round, white?.name, white?.club, blue?.name, blue?.club];
            const length = this.putText(words.map((word) => word ?? "").join("\0"));
            this.call("table_allot_bout", bout.bout, bout.rules, bout.timeMs, bout.goldenMs,
                (bout.confirmed ? 1 : 0) | (bout.atDesk ? 2 : 0), white?.person ?? 0, white?.from ?? 0, white?.fromBout ?? 0,
                blue?.person ?? 0, blue?.from ?? 0, blue?.fromBout ?? 0, length);
            for (const call of bout.calls) this.call("table_allot_call", this.put(call));
            for (const { run, number } of bout.gone) this.call("table_allot_gone", ...halves(run), number);
        }
        this.call("table_allot_end", now);
    }

    welcome(runs: readonly { run: string; last: number }[]): void {
        this.call("table_welcome_begin");
        for (const { run, last } of runs) this.call("table_welcome_run", ...halves(run), last);
        this.call("table_welcome_end");
    }

    lineDown(): void {
        this.call("table_line_down");
    }

    verdict(run: string, number: number, kind: Verdict_Kind, stateDiffers: boolean): void {
        this.call("table_verdict", ...halves(run), number, kind, stateDiffers ? 1 : 0);
    }

    again(): void {
        this.call("table_again");
    }

    refused(run: string, number: number, words: string): void {
        this.call("table_refused", ...halves(run || "0".repeat(16)), number, this.putText(words));
    }

    matLost(words: string): void {
        this.call("table_mat_lost", this.putText(words));
    }

    saved(run: string, number: number): void {
        this.call("table_saved", ...halves(run), number);
    }

    // Empty: taken. Else the words to show; nothing has changed.
    press(key: string, now: number, run = "0".repeat(16), number = 0): string {
        return this.answer(this.call("table_press", this.putText(key), ...halves(run), number, now));
    }

    next(now: number): string {
        return this.answer(this.call("table_next", now));
    }

    openBout(bout: number, now: number): string {
        return this.answer(this.call("table_open_bout", bout, now));
    }

    doing(): Doing {
        return JSON.parse(this.answer(this.call("table_doing"))) as Doing;
    }

    show(now: number): Shown {
        return JSON.parse(this.answer(this.call("table_show", now))) as Shown;
    }
}
