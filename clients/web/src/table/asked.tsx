// The second step of a call: what may be said about it, or what has to be typed.
import { useEffect, useRef, useState } from "preact/hooks";
import type { KeyShown } from "../engine";
import { onPress } from "./keys";

// Keys that mean nothing without it.
const typed: Record<string, { words: string; example: string }> = {
    set_clock: { words: "What the clock shall show: minutes and seconds.", example: "3:21" },
    set_hold: { words: "How long the hold has lasted: whole seconds.", example: "12" },
};
const bare = (id: string) => id.replace(/_(white|blue|both)$/, "");

export function wantsMore(key: KeyShown): boolean {
    return (key.arguments?.length ?? 0) > 0 || bare(key.id) in typed;
}

export function questionOf(key: KeyShown): string {
    return key.id === "reopen" ? "Why is the bout opened again?" : key.words;
}

interface AskedProps {
    asked: KeyShown;
    press: (key: string, stamp: number) => void;
}

export function Asked({ asked, press }: AskedProps) {
    const [text, setText] = useState("");
    const input = useRef<HTMLInputElement>(null);
    useEffect(() => input.current?.focus(), []);
    const wanted = typed[bare(asked.id)];
    const send = (stamp: number) => press(`${asked.id}:${text.trim()}`, stamp);
    if (wanted) {
        return (
            <form class="asked-typed" onSubmit={(event) => { event.preventDefault(); send(event.timeStamp); }}>
                <label>{wanted.words}
                    <input data-testid="asked-text" inputMode="numeric" placeholder={wanted.example} ref={input}
                        value={text} onInput={(event) => setText(event.currentTarget.value)} /></label>
                <button type="button" class="main" data-testid="asked-set" {...onPress(send)}>set</button>
            </form>
        );
    }
    return (
        <ul class="choices" data-testid="asked">
            {asked.id !== "reopen" && <li><button type="button" class="main" data-testid={`say-${asked.id}`}
                {...onPress((stamp) => press(asked.id, stamp))}>{asked.words}, no more said</button></li>}
            {asked.arguments?.map(({ id, words }) => <li key={id}><button type="button" data-testid={`say-${asked.id}:${id}`}
                {...onPress((stamp) => press(`${asked.id}:${id}`, stamp))}>{words}</button></li>)}
        </ul>
    );
}
