// The less frequent calls, over the table: in groups, each athlete's on his or her side. Which of them
// exist, and what may be said about them, is the engine's word; only the groups are made here. What has its
// own key on the table and takes no argument is not repeated.
import { useState } from "preact/hooks";
import type { KeyShown } from "../engine";
import type { BoutHead } from "../gen/honbu/v1/hub_pb";
import { nameOf, order, seatOf, type SideName, wears, wordOf } from "../sides";
import { Asked, questionOf, wantsMore } from "./asked";
import { onPress } from "./keys";
import { Over } from "./over";
import { swapped } from "./swapped";

interface Group {
    title: string;
    ids: readonly string[]; // less the side
}

const ofSide: readonly Group[] = [
    { title: "Scores and wins", ids: ["awasete", "sogo_gachi", "choke", "hantei"] },
    { title: "Penalty, with the reason", ids: ["shido", "hansoku_make"] },
    { title: "Care", ids: ["doctor", "bleeding", "injury", "illness", "head_impact", "unconscious", "judogi"] },
    { title: "Called for, and set by hand", ids: ["absent", "set_hold"] },
];
const ofBout: readonly Group[] = [
    { title: "The bout", ids: ["yoshi", "hold_changed", "review", "review_over"] },
    { title: "For both", ids: ["ippon_both", "shido_both", "hansoku_make_both", "both_lose", "hiki_wake", "judogi_both"] },
    { title: "Called for", ids: ["absent_both", "present"] },
    { title: "Set right", ids: ["set_clock", "exchange_names", "reopen"] },
];

interface MoreProps {
    bout: BoutHead;
    keys: ReadonlyMap<string, KeyShown>;
    first: string; // the key to ask about at once; empty: none
    // Why it was not taken; empty: it was.
    press: (key: string, stamp: number) => string;
    close: () => void;
}

export function More({ bout, keys, first, press, close }: MoreProps) {
    const [asked, setAsked] = useState(first);
    const [answer, setAnswer] = useState("");
    const enter = (key: string, stamp: number) => {
        const no = press(key, stamp);
        setAnswer(no);
        if (!no) close();
    };
    const choose = (key: KeyShown, stamp: number) => {
        setAnswer(key.why);
        if (key.fit === "impossible") return;
        if (wantsMore(key)) setAsked(key.id);
        else enter(key.id, stamp);
    };
    const about = keys.get(asked);
    const groups = (list: readonly Group[], side: string) => list.map(({ title, ids }) => {
        const there = ids.flatMap((id) => keys.get(side ? `${id}_${side}` : id) ?? []);
        return there.length > 0 && <Calls key={title} title={title} calls={there} choose={choose} />;
    });
    return (
        <Over title={about ? questionOf(about) : "More calls"} close={close} wide={!about}>
            <p class="over-answer" role="alert" data-testid="more-answer">{answer}</p>
            {about ? <>
                <Asked asked={about} press={enter} />
                <p class="over-keys"><button type="button" data-testid="asked-back" {...onPress(() => { setAsked(""); setAnswer(""); })}>
                    all calls</button></p>
            </> : <div class="more">
                {order(swapped.value).map((side: SideName, i) => (
                    <section key={side} class="more-side" style={{ order: i * 2 }} aria-label={wordOf(bout, side)}>
                        <h3 class={wears(bout, side)}><b>{wordOf(bout, side)}</b> {nameOf(seatOf(bout, side))}</h3>
                        {groups(ofSide, side)}
                    </section>
                ))}
                <section class="more-bout" style={{ order: 1 }} aria-label="The bout">{groups(ofBout, "")}</section>
            </div>}
        </Over>
    );
}

interface CallsProps {
    title: string;
    calls: readonly KeyShown[];
    choose: (key: KeyShown, stamp: number) => void;
}

function Calls({ title, calls, choose }: CallsProps) {
    return (
        <div class="more-group" role="group" aria-label={title}>
            <h4>{title}</h4>
            <ul>{calls.map((key) => <li key={key.id}><button type="button" data-testid={`more-${key.id}`} data-fit={key.fit}
                title={key.why || undefined} {...onPress((stamp) => choose(key, stamp))}>
                {plain(key)}{wantsMore(key) && "\u00a0…"}</button></li>)}</ul>
        </div>
    );
}

// Under an athlete's name the side need not be said again.
function plain({ id, words }: KeyShown): string {
    return /_(white|blue)$/.test(id) ? words.slice(0, words.lastIndexOf(" ")) : words;
}
