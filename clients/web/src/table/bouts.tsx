// Which bout is next, and the list of all bouts of this mat to open another one.
import type { BoutShown, Shown } from "../engine";
import { type BoutHead, Phase, type Frame } from "../gen/honbu/v1/hub_pb";
import { label } from "../keymap";
import { type SideName, wears, wordOf } from "../sides";
import { onPress } from "./keys";
import { Over } from "./over";

interface NextProps {
    shown: Shown;
    frame: Frame | undefined;
    current: number; // 0: none
    callNext: (stamp: number) => void;
    choose: () => void;
}

export function nextOf(shown: Shown, current: number): BoutShown | undefined {
    return shown.bouts.find(({ state, bout }) => state === "waiting" && bout !== current);
}

export function Next({ shown, frame, current, callNext, choose }: NextProps) {
    const next = nextOf(shown, current);
    const free = !frame || frame.phase === Phase.CONFIRMED;
    return (
        <section class="next" data-free={free} aria-label="Next bout">
            <p class="next-what" data-testid="next">
                {next ? <><b>Next: bout {next.bout}</b> {[next.category, next.round].filter(Boolean).join(" · ")}<br />
                    {next.white} – {next.blue}</> : "No more bouts waiting on this mat"}
            </p>
            <div class="next-keys">
                {next && <button type="button" class="next-key" data-testid="next-bout" aria-keyshortcuts="N" {...onPress(callNext)}>
                    call next bout <kbd>{label("KeyN")}</kbd></button>}
                <button type="button" data-testid="other-bouts" {...onPress(choose)}>all bouts</button>
            </div>
        </section>
    );
}

// No bout is on the mat: who is called next, in large letters.
export function Waiting({ shown, head, left }: { shown: Shown; head: BoutHead | undefined; left: SideName }) {
    const next = nextOf(shown, 0);
    if (!next) return <main class="fight fight-empty"><p>No bout on the mat, and none is waiting.</p></main>;
    const who = (side: SideName) => (
        <section class={`waiting ${wears(head, side)}`}>{head && <span>{wordOf(head, side)}</span>}<b>{next[side]}</b></section>
    );
    return (
        <main class="fight fight-empty">
            <p>No bout on the mat. Next: bout {next.bout}, {[next.category, next.round].filter(Boolean).join(", ")}</p>
            {who(left)}{who(left === "white" ? "blue" : "white")}
        </main>
    );
}

interface AllProps {
    shown: Shown;
    current: number;
    open: (bout: number, stamp: number) => void;
    close: () => void;
}

export function AllBouts({ shown, current, open, close }: AllProps) {
    return (
        <Over title="Bouts of this mat" close={close}>
            <ol class="bouts">
                {shown.bouts.map((bout) => (
                    <li key={bout.bout} data-state={bout.state} data-testid={`bout-${bout.bout}`}>
                        <b>{bout.bout}</b>
                        <span>{[bout.category, bout.round].filter(Boolean).join(" · ")}<br />{bout.white} – {bout.blue}</span>
                        <i>{bout.bout === current ? "on the mat" : bout.state === "desk" ? "at the desk" : bout.state}</i>
                        {bout.bout !== current && <button type="button" data-testid={`open-${bout.bout}`}
                            aria-label={`open bout ${bout.bout}`} {...onPress((stamp) => open(bout.bout, stamp))}>open</button>}
                    </li>
                ))}
            </ol>
        </Over>
    );
}
