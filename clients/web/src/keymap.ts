// Which key of the keyboard presses which key of the table. By place, not by letter.
//
// One hand for each athlete, and the screens' left is the left hand: home row from the outside in
// ippon, waza-ari, yuko, osaekomi. The right hand is its mirror image. docs/look.md gives the reasons.
import { signal } from "@preact/signals";
import type { SideName } from "./sides";

// For one side, as typed by the left and by the right hand. Ids as in docs/table.md, less the side.
const hands: Record<string, readonly [string, string]> = {
    ippon: ["KeyA", "Semicolon"],
    waza_ari: ["KeyS", "KeyL"],
    yuko: ["KeyD", "KeyK"],
    osaekomi: ["KeyF", "KeyJ"],
    koka: ["KeyC", "Comma"],
    shido: ["KeyE", "KeyI"],
    hansoku_make: ["Digit1", "Digit0"],
    kiken_gachi: ["Digit2", "Digit9"],
    fusen_gachi: ["Digit3", "Digit8"],
    hantei: ["Digit4", "Digit7"],
    submission: ["Digit5", "Digit6"],
};

// For the bout: the thumbs and the keys between the hands.
const middle: Record<string, readonly string[]> = {
    toketa: ["KeyG", "KeyH"],
    sono_mama: ["KeyB"],
    shido_both: ["KeyT"],
    confirm: ["KeyY"],
};

// What the page itself does with a press.
export type Act = "space" | "enter" | "undo" | "offer" | "next" | "more";
const acts: Record<string, Act> = {
    Space: "space", Enter: "enter", NumpadEnter: "enter", Backspace: "undo", KeyP: "offer", KeyN: "next", KeyM: "more",
};

const plain: Record<string, string> = {
    Space: "space", Enter: "enter", Backspace: "⌫", Semicolon: ";", Comma: ",",
};

// What is printed on this keyboard's keys, as far as known.
const printed = signal<ReadonlyMap<string, string>>(new Map());

interface LayoutMap { get(code: string): string | undefined }

export async function askLayout(): Promise<void> {
    const keyboard = (navigator as { keyboard?: { getLayoutMap?: () => Promise<LayoutMap> } }).keyboard;
    const map = await keyboard?.getLayoutMap?.().catch(() => undefined);
    if (!map) return;
    const codes = [...Object.values(hands).flat(), ...Object.values(middle).flat(), "KeyN", "KeyM", "KeyP"];
    printed.value = new Map(codes.flatMap((code) => {
        const letter = map.get(code);
        return letter ? [[code, letter] as const] : [];
    }));
}

export function label(code: string): string {
    return plain[code] && !printed.value.has(code) ? plain[code]
        : (printed.value.get(code) ?? code.replace(/^Key|^Digit/, "")).toUpperCase();
}

export function actOf(code: string): Act | undefined {
    return acts[code];
}

// The table key that this place presses, for a screen with `left` on the left.
export function keyOf(code: string, left: SideName): string | undefined {
    for (const [id, codes] of Object.entries(middle)) if (codes.includes(code)) return id;
    for (const [id, [leftCode, rightCode]] of Object.entries(hands)) {
        if (code === leftCode) return `${id}_${left}`;
        if (code === rightCode) return `${id}_${left === "white" ? "blue" : "white"}`;
    }
    return undefined;
}

// What to print on the button of a table key. Empty: no key of the keyboard has it.
export function labelOf(id: string, left: SideName): string {
    const between = middle[id];
    if (between) return between.map(label).join(" ");
    const side = id.endsWith("_white") ? "white" : "blue";
    const places = hands[id.replace(/_(white|blue)$/, "")];
    return places ? label(places[side === left ? 0 : 1]) : "";
}
