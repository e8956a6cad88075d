// The desk takes in the calls that a table kept, from a file: chosen, looked at, then one press.
import { create } from "@bufbuild/protobuf";
import { signal } from "@preact/signals";
import { type Call, RunClockSchema, type Welcome } from "../gen/honbu/v1/hub_pb";
import { type Read, readKept } from "../kept_file";
import type { Link } from "../link";
import type { Answer, Requests } from "../requests";

const atOnce = 200; // calls in one command

interface Piece {
    run: string;
    clock: Read["runs"][number]["clock"];
    calls: Call[];
    words: string; // what the hub says of it
    done: boolean;
}

const trouble = signal("");
const chosen = signal<Read | undefined>(undefined);
const pieces = signal<Piece[]>([]);
const busy = signal(false);
const taken = signal(false);

function piecesOf({ runs }: Read): Piece[] {
    return runs.flatMap(({ run, clock, calls }) => {
        const all: Piece[] = [];
        for (let at = 0; at < calls.length; at += atOnce) all.push({ run, clock, calls: calls.slice(at, at + atOnce), words: "", done: false });
        return all;
    });
}

// Calls that were made for another competition are none of this hub's.
function otherJournal({ file }: Read, welcome: Welcome | undefined): string {
    if (!welcome) return "The hub is not in reach. Choose the file again when it is.";
    if (file.epoch === welcome.epoch || welcome.earlierEpochs.includes(file.epoch)) return "";
    return `These calls were made for another competition or rehearsal${file.title && ` (${file.title})`}, not for this hub's. Nothing of them can be taken here.`;
}

export function HandIn({ link, requests }: { link: Link; requests: Requests }) {
    const ask = (file: Read["file"], piece: Piece, onlyLook: boolean): Promise<Answer> => {
        const clock = piece.clock && create(RunClockSchema, { run: piece.run, ...piece.clock });
        return requests.ask({ case: "handIn", value: { device: file.device, hand: file.hand, calls: piece.calls, onlyLook, clock } });
    };
    // One after another: a later piece of a run follows an earlier one.
    const each = async (file: Read["file"], onlyLook: boolean): Promise<boolean> => {
        for (const [i, piece] of pieces.value.entries()) {
            const { done, words } = await ask(file, piece, onlyLook);
            pieces.value = pieces.value.map((one, at) => (at === i ? { ...one, words, done } : one));
            if (!done) return false;
        }
        return true;
    };
    const choose = async (picked: File | undefined) => {
        [chosen.value, pieces.value, trouble.value, taken.value] = [undefined, [], "", false];
        if (!picked) return;
        const read = readKept(await picked.text());
        trouble.value = typeof read === "string" ? read : otherJournal(read, link.welcome.value);
        if (typeof read === "string" || trouble.value) return;
        chosen.value = read;
        pieces.value = piecesOf(read);
        busy.value = true;
        await each(read.file, true);
        busy.value = false;
    };
    const take = async ({ file }: Read) => {
        busy.value = true;
        taken.value = await each(file, false);
        busy.value = false;
    };
    const read = chosen.value;
    return (
        <section class="hand-in" aria-labelledby="hand-in" data-testid="hand-in">
            <h2 id="hand-in">Calls from a table's file</h2>
            <p>When a table can't reach this hub: at the table <i>Menu</i>, <i>Save the kept calls as a file</i>; bring the file here.</p>
            <input type="file" accept=".json,application/json" aria-label="The table's file" data-testid="hand-in-file" disabled={busy.value || !link.welcome.value}
                onChange={({ currentTarget }) => {
                    void choose(currentTarget.files?.[0]);
                    currentTarget.value = ""; // the same name may be chosen again
                }} />
            {trouble.value && <p role="alert" data-testid="hand-in-trouble">{trouble.value}</p>}
            {read && <>
                <p data-testid="hand-in-what">Mat {read.file.mat}{read.file.hand && `, ${read.file.hand}`}: {read.runs.reduce((sum, { calls }) => sum + calls.length, 0)} calls,
                    written {new Date(read.file.written).toLocaleString()}.</p>
                <ul>{read.file.bouts.map(({ bout, category, white, blue }) => <li key={bout}>Bout {bout}, {category}: {white} – {blue}</li>)}</ul>
                <ol data-testid="hand-in-pieces">{pieces.value.map((piece) => <li key={`${piece.run}/${piece.calls[0]?.id?.number}`} data-done={piece.done}>
                    Calls {piece.calls[0]?.id?.number} to {piece.calls.at(-1)?.id?.number}: {piece.words || "…"}</li>)}</ol>
                {!taken.value && <button type="button" data-testid="hand-in-take" disabled={busy.value} onClick={() => void take(read)}>
                    Take these calls in: they count for nothing until they are decided</button>}
                {taken.value && <p role="status" data-testid="hand-in-done">Taken. What is new waits among the calls that were set aside.</p>}
            </>}
        </section>
    );
}
