// Between the hands: the contest clock, the thumbs' key, and what belongs to the bout as a whole.
import { contestReading } from "../frames";
import { type Frame, Phase } from "../gen/honbu/v1/hub_pb";
import type { KeyShown } from "../engine";
import { runNow } from "../clock";
import { label, labelOf } from "../keymap";
import type { SideName } from "../sides";
import { Above, stateWords } from "../ui/board";
import { Face } from "../ui/face";
import { Fit } from "../ui/fit";
import { Key, onPress } from "./keys";

interface MiddleProps {
    frame: Frame;
    keys: ReadonlyMap<string, KeyShown>;
    left: SideName;
    space: string; // what the space bar presses now
    enter: string; // what the enter key presses now
    press: (id: string, stamp: number) => void;
    more: () => void; // opens the less frequent calls
    reopen: () => void; // asks why the bout is opened again
}

export function Middle({ frame, keys, left, space, enter, press, more, reopen }: MiddleProps) {
    // Where the clock runs through mate a pause needs the room; the thumbs' key is yoshi all the same.
    const third = keys.has("pause") ? "pause" : "yoshi";
    const closed = frame.phase >= Phase.ANNOUNCED;
    const key = (id: string) => ({ shown: keys.get(id), stroke: labelOf(id, left), press });
    const thumb = (id: string) => ({ ...key(id), stroke: space === id ? label("Space") : "" });
    const end = (id: string) => ({ ...key(id), stroke: enter === id ? label("Enter") : "" });
    return (
        <section class="middle" aria-label="The bout">
            <div class="middle-clock" data-state={frame.clock?.running ? "runs" : "stands"}>
                <p class="middle-golden"><Above frame={frame} now={runNow} /></p>
                <Face name="clock" label="contest clock" read={() => contestReading(frame, runNow())} />
                <Fit class="middle-words" testid="words" text={stateWords(frame)} />
            </div>
            <div class="pair">
                <Key class="key-thumb" {...thumb("start")} />
                <Key class="key-thumb" {...thumb("mate")} />
            </div>
            <Key class="key-toketa" {...key("toketa")} />
            <div class="triple">
                {closed ? <button type="button" class="key" data-testid="open-again" data-fit="usual" {...onPress(reopen)}>
                    <span class="key-words">open again</span></button> : <Key {...end("sore_made")} />}
                <Key {...end("kachi")} />
                <Key class="key-confirm" {...key("confirm")} words="confirm" />
            </div>
            <div class="rare-middle">
                {["sono_mama", third, "hajime"].map((id) => <Key key={id} class="key-rare" {...key(id)} />)}
                <Key class="key-rare" {...key("shido_both")} words="shido both" />
                <button type="button" class="key key-rare key-more" data-testid="more" aria-keyshortcuts="M" data-fit="usual" {...onPress(more)}>
                    <span class="key-words">more calls</span><kbd>{label("KeyM")}</kbd></button>
            </div>
        </section>
    );
}
