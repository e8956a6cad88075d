// The keys of the table: one button each, with what the keyboard calls it.
//
// What is unusual now is dimmed and works; what is impossible says why when pressed. The press
// counts when it goes down, not when it is let go.
import type { ComponentChildren } from "preact";
import type { KeyShown } from "../engine";

interface KeyProps {
    shown: KeyShown | undefined;
    stroke: string; // what is printed on the keyboard's key; empty: none
    press: (id: string, stamp: number) => void;
    class?: string;
    words?: string;
    children?: ComponentChildren; // above the words
}

export function Key({ shown, stroke, press, class: kind = "", words, children }: KeyProps) {
    if (!shown) return null;
    const { id, fit } = shown;
    return (
        <button type="button" class={`key ${kind}`} data-testid={`key-${id}`} data-fit={fit}
            aria-keyshortcuts={stroke || undefined} title={shown.why || undefined} {...onPress((stamp) => press(id, stamp))}>
            {children}
            <span class="key-words">{words ?? shown.words}</span>
            {stroke && <kbd>{stroke}</kbd>}
        </button>
    );
}

// A press by finger or mouse counts as it goes down and never moves the focus, so that the space
// bar stays the space bar. A click without a pointer comes from the keyboard or from software that
// reads the screen aloud.
export function onPress(act: (stamp: number) => void) {
    return {
        onPointerDown: (event: PointerEvent) => {
            if (event.button !== 0) return;
            event.preventDefault();
            act(event.timeStamp);
        },
        onMouseDown: (event: MouseEvent) => event.preventDefault(),
        onClick: (event: MouseEvent) => {
            if (event.detail !== 0) return;
            act(event.timeStamp);
            (event.currentTarget as HTMLElement).blur();
        },
    };
}
