// What the two big keys of the keyboard mean at this moment, by what the engine says of each call.
import type { Fit } from "../engine";
import { Phase } from "../gen/honbu/v1/hub_pb";
import type { TableLife } from "./life";

function fit(life: TableLife, id: string): Fit {
    return life.shown.value?.keys.find((key) => key.id === id)?.fit ?? "impossible";
}

// The space bar: hajime or yoshi where that is usual, else mate, else whichever says why not. What
// is unusual (hajime in a bout that is decided) has its own button and doesn't happen by habit.
export function spaceKey(life: TableLife): string {
    if (fit(life, "start") === "usual") return "start";
    if (fit(life, "mate") === "usual") return "mate";
    return fit(life, "start") === "impossible" ? "start" : "mate";
}

// The enter key: sore-made, then kachi, which says what is missing if nobody has won yet.
export function enterKey(life: TableLife): string {
    const over = life.view.value?.frames.at(-1)?.phase === Phase.OVER;
    return over || (fit(life, "sore_made") === "impossible" && fit(life, "kachi") !== "impossible") ? "kachi" : "sore_made";
}
