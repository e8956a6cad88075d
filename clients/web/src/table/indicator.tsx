// One sign that says how the table stands: live, alone, not in charge, or not kept on this device.
import type { TableLife } from "./life";

interface Standing {
    kind: "live" | "alone" | "none" | "unkept";
    words: string;
    more: string;
}

export function standing(life: TableLife): Standing {
    const shown = life.shown.value;
    if (life.notKept.value) {
        return { kind: "unkept", words: "Not kept on this device",
            more: "Go on, and tell the head table." };
    }
    if (shown?.charge === "lost") {
        return { kind: "none", words: "Not in charge",
            more: life.left.value ? "This table has left the mat." : "Another table has taken this mat." };
    }
    if (shown?.charge !== "in_charge") return { kind: "none", words: "Not in charge", more: "Take a mat first." };
    const kept = shown.unsent === 1 ? "1 call" : `${shown.unsent || "no"} calls`;
    if (shown.line && life.link.live.value) {
        return shown.unsent === 0 ? { kind: "live", words: "Live", more: "The hub has every call." }
            : { kind: "live", words: "Live", more: `${kept} on the way to the hub.` };
    }
    return { kind: "alone", words: "Working alone",
        more: `${kept} kept here until the hub is back. Go on as usual.` };
}

export function Indicator({ life }: { life: TableLife }) {
    const { kind, words, more } = standing(life);
    return (
        <p class="indicator" role="status" data-testid="indicator" data-kind={kind}>
            <b>{words}</b> <span>{more}</span>
        </p>
    );
}
