// One athlete's part of the table: name, what the board shows, and the keys of one hand.
//
// The keys of the home row lie as the fingers do, the little finger outside; each carries the number
// it changes. The hold's clock stands over its own key.
import { holdReading, pastHoldReading } from "../frames";
import type { BoutHead, Frame, Level } from "../gen/honbu/v1/hub_pb";
import type { KeyShown } from "../engine";
import { labelOf } from "../keymap";
import { boardOf, heldBefore, holds, isAbsent, isDecided, levelCount, levelId, levelWord, nameOf, seatOf, type SideName, wears, wins, wordOf } from "../sides";
import { Missing } from "../ui/board";
import { Face } from "../ui/face";
import { Fit } from "../ui/fit";
import { Penalties } from "../ui/scores";
import { runNow } from "../clock";
import { Key } from "./keys";

const rare = ["hansoku_make", "kiken_gachi", "fusen_gachi", "hantei", "submission"];

interface AthleteProps {
    side: SideName;
    left: SideName;
    bout: BoutHead;
    frame: Frame;
    keys: ReadonlyMap<string, KeyShown>;
    press: (id: string, stamp: number) => void;
}

export function Athlete({ side, left, bout, frame, keys, press }: AthleteProps) {
    const seat = seatOf(bout, side);
    const board = boardOf(frame, side);
    const word = wordOf(bout, side);
    const won = wins(frame.winner, side);
    const isLeft = side === left;
    const key = (id: string) => ({ shown: keys.get(`${id}_${side}`), stroke: labelOf(`${id}_${side}`, left), press });
    const levels = [...bout.levels];
    const home = levels.map((level) => <LevelKey key={level} level={level} count={levelCount(board, level)} side={side} {...key(levelId(level))} />);
    const hold = (
        <Key key="osaekomi" {...key("osaekomi")} words="osaekomi" class={`key-hold${holds(frame, side) ? " key-holding" : ""}`}>
            <span class="key-count">
                {holds(frame, side) && <Face name="hold" label={`hold of ${word}`} read={() => holdReading(frame, runNow())} />}
                {heldBefore(frame, side) && <Face name="past-hold-time" label={`last hold of ${word}`} read={() => pastHoldReading(frame)} />}
            </span>
            {holds(frame, side) && <span class="key-reached">{frame.hold && levelWord(frame.hold.reached)}</span>}
        </Key>
    );
    const others = rare.map((id) => <Key key={id} class="key-rare" {...key(id)} words={rareWords[id]} />);
    return (
        <section class={`athlete ${wears(bout, side)}`} role="group" aria-label={word} data-testid={`half-${side}`} data-won={won}
            data-lost={isDecided(frame.winner) && !won}>
            <header class="athlete-head">
                <div class="athlete-who"><b>{word}</b><span>{seat?.club}</span>
                    {board?.hansokuMake && <strong class="athlete-out" data-testid={`hansoku_make-${side}`}>hansoku-make</strong>}
                    {isAbsent(frame, side) && <Missing frame={frame} now={runNow} word={word} />}
                    {won && <strong class="athlete-won" data-testid="winner">winner</strong>}</div>
                <Fit class="athlete-name" testid={`name-${side}`} text={nameOf(seat)} />
            </header>
            <div class="home-row" data-hand={isLeft ? "left" : "right"}>
                {isLeft ? [...home, hold] : [hold, ...home.reverse()]}
            </div>
            <Key class="key-shido" {...key("shido")} words="shido">
                <Penalties side={side} board={board} />
            </Key>
            <div class="rare-row" data-hand={isLeft ? "left" : "right"}>{isLeft ? others : others.reverse()}</div>
        </section>
    );
}

const rareWords: Record<string, string> = {
    hansoku_make: "hansoku-make", kiken_gachi: "kiken-gachi", fusen_gachi: "fusen-gachi", hantei: "hantei",
    submission: "submission",
};

interface LevelKeyProps {
    level: Level;
    count: number;
    side: SideName;
    shown: KeyShown | undefined;
    stroke: string;
    press: (id: string, stamp: number) => void;
}

function LevelKey({ level, count, side, ...key }: LevelKeyProps) {
    return (
        <Key {...key} words={levelWord(level)} class="key-level">
            <span class="key-count" data-n={count} data-testid={`score-${levelId(level)}-${side}`}>{count}</span>
        </Key>
    );
}
