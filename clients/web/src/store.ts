// What this device keeps through a crash: IndexedDB, strict durability.
//
// A write is done when its transaction has completed, and never said to be done before. Calls are
// kept as the engine's own bytes, in the order they were made, with the verdict once it is known.
// One database for each device and hub; the pages of one browser share it.
import { type DBSchema, type IDBPDatabase, openDB } from "idb";
import type { Anchor } from "./clock";

export interface KeptCall {
    run: string;
    number: number;
    bytes: Uint8Array;
    verdict: number; // 0: none yet
    epoch: string; // of the hub's journal they were made for
}

export interface KeptRun {
    run: string;
    anchor: Anchor;
}

// What the table works from while no hub is in reach.
export interface KeptTable {
    mat: number;
    allotment: Uint8Array; // of the wire, empty: none, or another table has the mat
    epoch: string;
    seen: number;
    hash?: string; // of the record `seen`
}

interface Shelves extends DBSchema {
    words: { key: string; value: string };
    calls: { key: number; value: KeptCall; indexes: { call: [string, number] } };
    runs: { key: string; value: KeptRun };
    tables: { key: number; value: KeptTable };
}

type Word = "hand" | "swap" | "epoch";

const strict = { durability: "strict" } as const;

export function newName(): string {
    const bytes = crypto.getRandomValues(new Uint8Array(8));
    return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

// 256 random bits in base64url (RFC 4648, 5): by it the hub knows this device again.
export function newSecret(): string {
    const bytes = crypto.getRandomValues(new Uint8Array(32));
    return btoa(String.fromCharCode(...bytes)).replace(/\+/g, "-").replace(/\//g, "_").replace(/=/g, "");
}

// Who this device is to the hub, on all its pages.
export interface Who {
    device: string;
    token: string;
}

export function wordsOf(error: unknown): string {
    return error instanceof Error ? error.message : String(error);
}

export class Store {
    private constructor(private readonly shelves: IDBPDatabase<Shelves>) {}

    static async open(): Promise<Store> {
        const shelves = await openDB<Shelves>("honbu-table", 1, {
            upgrade(made) {
                made.createObjectStore("words");
                made.createObjectStore("calls", { autoIncrement: true }).createIndex("call", ["run", "number"]);
                made.createObjectStore("runs", { keyPath: "run" });
                made.createObjectStore("tables", { keyPath: "mat" });
            },
            blocking() {
                shelves.close(); // a newer page wants to change the shelves
            },
        });
        // Ask the browser not to clear this when the disk gets tight; absent on plain http.
        void navigator.storage?.persist?.().catch(() => false);
        return new Store(shelves);
    }

    // This device's lasting name and secret, made the first time.
    async who(): Promise<Who> {
        const change = this.shelves.transaction("words", "readwrite", strict);
        const lasting = async (word: string, make: () => string) => {
            const known = await change.store.get(word);
            const value = known ?? make();
            if (!known) await change.store.put(value, word);
            return value;
        };
        const device = await lasting("device", newName);
        const token = await lasting("secret", newSecret);
        await change.done;
        return { device, token };
    }

    async word(name: Word): Promise<string> {
        return (await this.shelves.get("words", name)) ?? "";
    }

    async setWord(name: Word, value: string): Promise<void> {
        await this.shelves.put("words", value, name);
    }

    // In the order they were made.
    async calls(epoch: string): Promise<KeptCall[]> {
        return (await this.shelves.getAll("calls")).filter((call) => call.epoch === epoch);
    }

    // How many calls have no answer yet, of this journal and of all others.
    async unanswered(epoch: string): Promise<{ here: number; elsewhere: number }> {
        const calls = (await this.shelves.getAll("calls")).filter((call) => call.verdict === 0);
        const here = calls.filter((call) => call.epoch === epoch).length;
        return { here, elsewhere: calls.length - here };
    }

    // What a table begins with. Runs in the order they were begun.
    async everything(mat: number) {
        const [hand, epoch, runs, table] = await Promise.all(
            [this.word("hand"), this.word("epoch"), this.runs(), this.table(mat)]);
        const [who, calls] = await Promise.all([this.who(), this.calls(epoch)]);
        return { hand, epoch, who, calls, runs: runs.sort((a, b) => a.anchor.wall - b.anchor.wall), table };
    }

    // The hub goes on in another journal, and what was made for the last one belongs to it too.
    async carryOver(from: string, to: string): Promise<void> {
        const change = this.shelves.transaction(["calls", "words"], "readwrite", strict);
        for await (const cursor of change.objectStore("calls")) {
            if (cursor.value.epoch === from) void cursor.update({ ...cursor.value, epoch: to });
        }
        void change.objectStore("words").put(to, "epoch");
        await change.done;
    }

    // What the hub lacks has no answer any more, whatever a hub has said before: it was started from an
    // older copy, or its disk lost what it had said it keeps.
    async forgetAnswers(epoch: string, runs: readonly { run: string; last: number }[]): Promise<void> {
        const last = new Map(runs.map((head) => [head.run, head.last]));
        const change = this.shelves.transaction("calls", "readwrite", strict);
        for await (const cursor of change.store) {
            const { run, number, verdict, epoch: made } = cursor.value;
            const lacks = made === epoch && number > (last.get(run) ?? 0);
            if (lacks && verdict !== 0) void cursor.update({ ...cursor.value, verdict: 0 });
        }
        await change.done;
    }

    // Resolves when the calls, and the clock they were made by, are in lasting storage.
    async keep(calls: readonly KeptCall[], run: KeptRun): Promise<void> {
        const change = this.shelves.transaction(["calls", "runs"], "readwrite", strict);
        for (const call of calls) void change.objectStore("calls").add(call);
        void change.objectStore("runs").put(run);
        await change.done;
    }

    async setVerdict(run: string, number: number, verdict: number): Promise<void> {
        const change = this.shelves.transaction("calls", "readwrite", strict);
        const cursor = await change.store.index("call").openCursor([run, number]);
        if (cursor) await cursor.update({ ...cursor.value, verdict });
        await change.done;
    }

    async runs(): Promise<KeptRun[]> {
        return this.shelves.getAll("runs");
    }

    async setRun(run: KeptRun): Promise<void> {
        await this.shelves.put("runs", run);
    }

    async table(mat: number): Promise<KeptTable | undefined> {
        return this.shelves.get("tables", mat);
    }

    // Of mats that this device has left no names stay behind.
    async setTable(table: KeptTable): Promise<void> {
        const change = this.shelves.transaction("tables", "readwrite", strict);
        await change.store.put(table);
        for await (const cursor of change.store) {
            const left = cursor.value.mat !== table.mat && cursor.value.allotment.length > 0;
            if (left) await cursor.update({ ...cursor.value, allotment: new Uint8Array() });
        }
        await change.done;
    }

    // Everything of this event, once the hub has it all; the device keeps its name.
    async clear(): Promise<void> {
        const change = this.shelves.transaction(["calls", "runs", "tables"], "readwrite", strict);
        void change.objectStore("calls").clear();
        void change.objectStore("runs").clear();
        void change.objectStore("tables").clear();
        await change.done;
    }
}

// For pages that keep nothing else. A browser that keeps nothing at all is another device each time.
export async function whoIsThis(): Promise<Who> {
    try {
        return await (await Store.open()).who();
    } catch {
        return { device: newName(), token: newSecret() };
    }
}
