// hall.html?let-in=1: all mats side by side, for everybody who wants to know what happens where.
import "../style/tokens.css";
import "../style/hall.css";
import "../style/door.css";
import { useRef } from "preact/hooks";
import { rehearsalWords } from "../clock";
import { contestReading, frameAt, holdReading, pastHoldReading } from "../frames";
import { type BoutHead, type Frame, type Level, type MatView, Role, TableLine } from "../gen/honbu/v1/hub_pb";
import { boardOf, heldBefore, holds, isAbsent, levelCount, levelId, levelWord, nameOf, order, seatOf, type SideName, wears, wins, wordOf } from "../sides";
import { whoIsThis } from "../store";
import { AtTheDoor } from "../ui/at_door";
import { Above, heading, Missing, stateWords } from "../ui/board";
import { useWatched } from "../ui/drawing";
import { Face } from "../ui/face";
import { Fit } from "../ui/fit";
import { isAsked, listen, mount, staleWords } from "../ui/screen";

const swap = isAsked("swap");
const aloneWords = "table out of reach: this picture is old";
const link = listen(Role.HALL, { allMats: true }, isAsked("let-in") ? { who: await whoIsThis() } : {});

function Page() {
    const title = link.welcome.value?.title ?? "";
    const mats = link.welcome.value?.mats ?? [];
    document.title = ["All mats", title].filter(Boolean).join(" – ");
    if (link.door.value) return <AtTheDoor link={link} as="a screen of the hall" />;
    const stale = link.trouble.value || staleWords(link);
    return (
        <div class="hall" data-stale={stale !== ""}>
            <header class="hall-top"><h1>{title || "All mats"}</h1>
                {rehearsalWords.value && <p class="hall-rehearsal" data-testid="rehearsal">{rehearsalWords.value}</p>}
            </header>
            {stale && <p class="stale" role="alert" data-testid="stale">{stale}</p>}
            <main class="mats" data-count={mats.length}>
                {mats.map((mat) => <Mat key={mat} mat={mat} view={link.mats.value.get(mat)?.view} />)}
            </main>
        </div>
    );
}

function Mat({ mat, view }: { mat: number; view: MatView | undefined }) {
    const ref = useRef<HTMLElement>(null);
    const now = () => link.now(mat);
    const frame = useWatched(ref, () => view && frameAt(view, now()));
    const bout = view?.bout;
    const old = staleWords(link, mat) !== "" || view?.table === TableLine.ALONE;
    return (
        <section class="mat" ref={ref} data-testid={`mat-${mat}`} data-old={old} aria-label={`Mat ${mat}`}>
            <div class="mat-in">
                <header class="mat-top">
                    <h2>Mat {mat}</h2>
                    {bout && <Fit class="mat-what" testid="bout" text={heading(bout)} />}
                </header>
                {bout && frame
                    ? <>
                        <div class="mat-clock" data-state={frame.clock?.running ? "runs" : "stands"}>
                            <Face name="clock" label={`contest clock of mat ${mat}`} read={() => contestReading(frame, now())} />
                            <div class="mat-words">
                                <span class="mat-golden"><Above frame={frame} now={now} /></span>
                                <p data-testid="words">{view.table === TableLine.ALONE ? aloneWords : stateWords(frame)}</p>
                            </div>
                        </div>
                        <div class="mat-sides">
                            <Levels levels={bout.levels} />
                            {order(swap).map((side) => <Row key={side} side={side} bout={bout} frame={frame} now={now} />)}
                        </div>
                    </>
                    : <p class="mat-empty">No bout now</p>}
                <footer class="mat-foot">
                    {view?.next[0] && <><span class="mat-next-word">next</span>
                        <p data-testid="next">{shortPairing(view.next[0])}</p></>}
                </footer>
            </div>
        </section>
    );
}

function shortPairing(bout: BoutHead): string {
    return `bout ${bout.bout} · ${nameOf(bout.white)} – ${nameOf(bout.blue)}`;
}

function Levels({ levels }: { levels: readonly Level[] }) {
    return (
        <p class="row-heads" aria-hidden="true">
            {levels.map((level) => <span key={level}>{levelWord(level)}</span>)}<span>shido</span>
        </p>
    );
}

interface RowProps {
    side: SideName;
    bout: BoutHead;
    frame: Frame;
    now: () => number;
}

function Row({ side, bout, frame, now }: RowProps) {
    const seat = seatOf(bout, side);
    const board = boardOf(frame, side);
    const won = wins(frame.winner, side);
    return (
        <section class={`row ${wears(bout, side)}`} data-won={won} role="group" aria-label={wordOf(bout, side)}>
            <div class="row-who"><b>{wordOf(bout, side)}</b><span>{seat?.club}</span>
                {board?.hansokuMake && <strong class="row-out" data-testid={`hansoku_make-${side}`}>hansoku-make</strong>}
                {won && <strong class="row-won" data-testid="winner">winner</strong>}
                {isAbsent(frame, side) && <Missing frame={frame} now={now} word={wordOf(bout, side)} />}
                {heldBefore(frame, side) && !won && (
                    <span class="row-hold row-past" data-testid="past-hold">held
                        <Face name="past-hold-time" label={`last hold of ${wordOf(bout, side)}`} read={() => pastHoldReading(frame)} /></span>
                )}
                {holds(frame, side) && (
                    <span class="row-hold" data-running={frame.hold?.running}>osaekomi
                        <Face name="hold" label={`hold of ${wordOf(bout, side)}`} read={() => holdReading(frame, now())} /></span>
                )}
            </div>
            <Fit class="row-name" testid={`name-${side}`} text={nameOf(seat)} />
            <dl class="row-scores">
                {bout.levels.map((level) => (
                    <div key={level} data-n={levelCount(board, level)}>
                        <dt class="visually-hidden">{levelWord(level)}</dt>
                        <dd data-testid={`score-${levelId(level)}-${side}`}>{levelCount(board, level)}</dd>
                    </div>
                ))}
                <div class="row-shido" data-n={board?.shido ?? 0}>
                    <dt class="visually-hidden">shido</dt>
                    <dd><span data-testid={`shido-${side}`}>{board?.shido ?? 0}</span></dd>
                </div>
            </dl>
        </section>
    );
}

mount(<Page />);
