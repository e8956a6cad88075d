// The keyboard of the table: one press, one call. Never again while a key is held down.
import { signal } from "@preact/signals";
import { type Act, actOf, keyOf } from "../keymap";
import type { SideName } from "../sides";

export interface Presses {
    left: () => SideName; // which athlete this screen shows on the left
    closed: () => boolean; // something lies over the table
    key: (id: string, stamp: number) => void;
    act: (act: Act, stamp: number) => void;
}

// Whoever needs the letters for something else can turn them off.
export const keysOn = signal(true);

function isWriting(target: EventTarget | null): boolean {
    return target instanceof HTMLElement && target.matches("input, textarea, select");
}

// Somebody goes through the page with the keyboard: space and enter belong to what has the focus.
function isWalking(document: Document): boolean {
    const focus = document.activeElement;
    return focus !== null && focus !== document.body && focus.matches("button:focus-visible, a:focus-visible");
}

// For the table's window, and for the board's, in which a hand may land as well.
export function listenTo(screen: Window, presses: Presses): () => void {
    // An event's time counts from when its own window began.
    const later = screen.performance.timeOrigin - performance.timeOrigin;
    const down = (event: KeyboardEvent) => {
        if (event.ctrlKey || event.altKey || event.metaKey || isWriting(event.target)) return;
        if (!keysOn.value || presses.closed()) return;
        const act = actOf(event.code);
        if ((act === "space" || act === "enter") && isWalking(screen.document)) return;
        const id = act ? undefined : keyOf(event.code, presses.left());
        if (!act && !id) return;
        event.preventDefault();
        if (event.repeat) return;
        if (act) presses.act(act, event.timeStamp + later);
        if (id) presses.key(id, event.timeStamp + later);
    };
    // Some browsers press the focused button when the space bar comes up.
    const up = (event: KeyboardEvent) => {
        if (event.code === "Space" && keysOn.value && !presses.closed() && !isWriting(event.target)
            && !isWalking(screen.document)) event.preventDefault();
    };
    screen.addEventListener("keydown", down);
    screen.addEventListener("keyup", up);
    return () => {
        screen.removeEventListener("keydown", down);
        screen.removeEventListener("keyup", up);
    };
}
