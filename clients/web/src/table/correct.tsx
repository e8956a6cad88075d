// What can be done about one call that has been made: take it back, say what it really was, move it.
import { useState } from "preact/hooks";
import type { CallRef, CallShown, KeyShown } from "../engine";
import { onPress } from "./keys";
import { Over } from "./over";

interface CorrectProps {
    call: CallShown;
    keys: ReadonlyMap<string, KeyShown>;
    press: (key: string, stamp: number, call: CallRef) => string;
    close: () => void;
}

export function Correct({ call, keys, press, close }: CorrectProps) {
    const [answer, setAnswer] = useState("");
    const enter = (key: string, stamp: number, stay = false) => {
        const no = press(key, stamp, call);
        setAnswer(no);
        if (!no && !stay) close();
    };
    const moves = call.actions.filter(({ id }) => id.startsWith("move:"));
    const changes = call.actions.filter(({ id }) => !id.startsWith("move:") && id !== "reason");
    const reasons = call.actions.some(({ id }) => id === "reason") ? keys.get(call.key)?.arguments ?? [] : [];
    const button = (id: string, words: string, stay = false) => (
        <li key={id}><button type="button" data-testid={`do-${id}`} {...onPress((stamp) => enter(id, stamp, stay))}>{words}</button></li>
    );
    return (
        <Over title={`${call.words}, ${call.golden ? "golden score" : "after"} ${call.clock}`} close={close}>
            <p class="over-answer" role="alert" data-testid="correct-answer">{answer}</p>
            {call.was && <p>It was called as: {call.was}.</p>}
            <ul class="choices">{changes.map(({ id, words }) => button(id, words))}</ul>
            {moves.length > 0 && <><h3>It was called</h3>
                <ul class="choices choices-short">{moves.map(({ id, words }) => button(id, words, true))}</ul></>}
            {reasons.length > 0 && <><h3>The reason was</h3>
                <ul class="choices">{reasons.map(({ id, words }) => button(`reason:${id}`, words))}</ul></>}
        </Over>
    );
}
