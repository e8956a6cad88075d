// The board of one mat: for the athletes, coaches, referees and stands.
//
// The same component on a hub-fed screen (board.html) and in the window a table opens for itself.
// It is given a view and a clock, and draws what they say.
import { useRef } from "preact/hooks";
import { absenceReading, contestReading, frameAt, holdReading, pastHoldReading, totalReading } from "../frames";
import { type BoutHead, type Frame, type MatView, Phase } from "../gen/honbu/v1/hub_pb";
import { boardOf, heldBefore, holds, isAbsent, isDecided, levelWord, nameOf, order, seatOf, type SideName, wears, wins, wordOf } from "../sides";
import { useWatched } from "./drawing";
import { Face } from "./face";
import { Fit } from "./fit";
import { Penalties, Scores } from "./scores";

export interface BoardProps {
    mat: number;
    view: MatView | undefined;
    now: () => number;
    swap: boolean;
    title: string;
    rehearsal: string;
    stale: string; // not live: what to say in large words. Empty: live
    distance: string; // from how far this board can be read
}

export function Board(props: BoardProps) {
    const { mat, view, now, swap, stale } = props;
    const ref = useRef<HTMLDivElement>(null);
    const frame = useWatched(ref, () => view && frameAt(view, now()));
    const bout = view?.bout;
    return (
        <div class="board" ref={ref} data-stale={stale !== ""} data-testid="board">
            <header class="board-top">
                <h1>Mat {mat}</h1>
                {bout && <Fit class="board-what" testid="bout" text={heading(bout)} />}
                {props.rehearsal ? <strong class="board-rehearsal" data-testid="rehearsal">{props.rehearsal}</strong>
                    : <span class="board-title">{props.title}</span>}
            </header>
            {stale ? <Fit class="stale" testid="stale" text={stale} role="alert" /> : <span />}
            {bout && frame
                ? <Bout bout={bout} frame={frame} now={now} swap={swap} />
                : <main class="board-empty"><p>No bout on this mat now</p></main>}
            <footer class="board-foot">
                {view?.next[0] ? <Fit class="board-next" testid="next" text={`Next here: ${pairing(view.next[0])}`} />
                    : <span class="board-next" />}
                <span class="board-distance">{props.distance}</span>
            </footer>
        </div>
    );
}

export function heading(bout: BoutHead): string {
    return [bout.category, bout.round, `bout ${bout.bout}`].filter(Boolean).join(" · ");
}

export function pairing(bout: BoutHead): string {
    return `${heading(bout)} · ${nameOf(bout.white)} – ${nameOf(bout.blue)}`;
}

interface BoutProps {
    bout: BoutHead;
    frame: Frame;
    now: () => number;
    swap: boolean;
}

function Bout({ bout, frame, now, swap }: BoutProps) {
    const running = frame.clock?.running ?? false;
    return (
        <main class="board-bout">
            {order(swap).map((side) => <Half key={side} side={side} bout={bout} frame={frame} now={now} />)}
            <section class="board-clock" data-state={running ? "runs" : "stands"} data-golden={frame.goldenScore}>
                <p class="board-golden"><Above frame={frame} now={now} /></p>
                <Face name="clock" label="contest clock" read={() => contestReading(frame, now())} />
                <Fit class="board-words" testid="words" text={stateWords(frame)} />
            </section>
        </main>
    );
}

// What stands over a contest clock: a review, or golden score with all that has been fought.
export function Above({ frame, now }: { frame: Frame; now: () => number }) {
    if (frame.review) return <span data-testid="review">review</span>;
    if (!frame.goldenScore) return null;
    return (
        <><span data-testid="golden">golden score</span>{" "}
            <span class="total">total <Face name="total" label="time fought in all" read={() => totalReading(frame, now())} /></span></>
    );
}

// Who was called for and is not there.
export function Missing({ frame, now, word }: { frame: Frame; now: () => number; word: string }) {
    const calls = frame.absence?.calls ?? 0;
    return (
        <p class="missing" data-over={frame.absence?.over} data-testid="missing">
            <span>{frame.absence?.over ? "not there" : calls > 1 ? `called for, call ${calls}` : "called for"}</span>{" "}
            {frame.absence?.running && <Face name="absence" label={`time left for ${word}`} read={() => absenceReading(frame, now())} />}
        </p>
    );
}

// The engine's words, or how the clock stands when it has nothing to say.
export function stateWords(frame: Frame): string {
    if (frame.words && frame.words !== "golden score") return frame.words;
    if (frame.clock?.running) return "";
    return frame.phase === Phase.STOPPED ? "the clock stands" : "";
}

interface HalfProps {
    side: SideName;
    bout: BoutHead;
    frame: Frame;
    now: () => number;
}

function Half({ side, bout, frame, now }: HalfProps) {
    const seat = seatOf(bout, side);
    const board = boardOf(frame, side);
    const won = wins(frame.winner, side);
    const holding = holds(frame, side);
    return (
        <section class={`half ${wears(bout, side)}`} data-testid={`half-${side}`} data-won={won}
            data-lost={isDecided(frame.winner) && !won} role="group" aria-label={wordOf(bout, side)}>
            <p class="half-who"><span class="half-word">{wordOf(bout, side)}</span>
                <span class="half-club">{seat?.club}</span></p>
            <Fit class="half-name" testid={`name-${side}`} text={nameOf(seat)} />
            <Scores side={side} board={board} levels={bout.levels} />
            <div class="half-foot">
                <Penalties side={side} board={board} />
                {board?.hansokuMake && <Fit class="out" testid={`hansoku_make-${side}`} text="hansoku-make" />}
                {isAbsent(frame, side) && <Missing frame={frame} now={now} word={wordOf(bout, side)} />}
                {won && <p class="winner" data-testid="winner">winner</p>}
                {heldBefore(frame, side) && !won && (
                    <div class="hold hold-past" data-testid="past-hold"><span class="hold-word">held</span>
                        <Face name="past-hold-time" label={`last hold of ${wordOf(bout, side)}`} read={() => pastHoldReading(frame)} />
                    </div>
                )}
                {holding && (
                    <div class="hold" data-running={frame.hold?.running}>
                        <span class="hold-word">osaekomi</span>
                        <Face name="hold" label={`hold of ${wordOf(bout, side)}`} read={() => holdReading(frame, now())} />
                        <span class="hold-level">{frame.hold && levelWord(frame.hold.reached)}</span>
                    </div>
                )}
            </div>
        </section>
    );
}
