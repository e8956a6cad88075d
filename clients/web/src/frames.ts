// Which frame of a view holds now, and what its clocks say.
//
// A view carries the state from the last call on and one frame for each thing that comes by itself,
// with its instant. Nothing is decided here: pick by instant, count on from it, write m:ss.
import type { Clock, Frame, Hold, MatView } from "./gen/honbu/v1/hub_pb";

// The last frame that has begun; before any has (clocks of two machines differ), the first.
export function frameAt(view: MatView, now: number): Frame | undefined {
    return view.frames.findLast((frame) => frame.from <= now) ?? view.frames[0];
}

// The next one that begins by itself.
export function frameAfter(view: MatView, now: number): Frame | undefined {
    return view.frames.find((frame) => frame.from > now);
}

export interface Reading {
    ms: number;
    text: string;
}

function minutes(seconds: number): string {
    return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}

// Counting down rounds up, so that 0:00 means no time is left. Counting up rounds down. The engine's words
// have the same digits (tests/browser/digits.test.mjs).
export function downText(ms: number): string {
    return minutes(Math.ceil(ms / 1000));
}

export function upText(ms: number): string {
    return minutes(Math.floor(ms / 1000));
}

export function contestReading(frame: Frame, now: number): Reading {
    const clock: Clock | undefined = frame.clock;
    if (!clock) return { ms: 0, text: "" };
    const gone = clock.running ? Math.max(0, now - frame.from) : 0;
    const ms = clock.down ? Math.max(0, clock.ms - gone) : clock.ms + gone;
    return { ms, text: clock.down ? downText(ms) : upText(ms) };
}

// In golden score: everything that has been fought.
export function totalReading(frame: Frame, now: number): Reading {
    const ms = frame.regularMs + contestReading(frame, now).ms;
    return { ms, text: upText(ms) };
}

// How long is left until who was called for is called again, or is too late.
export function absenceReading(frame: Frame, now: number): Reading {
    const { absence } = frame;
    if (!absence) return { ms: 0, text: "" };
    const ms = Math.max(0, absence.leftMs - (absence.running ? Math.max(0, now - frame.from) : 0));
    return { ms, text: downText(ms) };
}

// The hold that has ended, as long as its value is to be read.
export function pastHoldReading(frame: Frame): Reading {
    const ms = frame.pastHold?.ms ?? 0;
    return { ms, text: upText(ms) };
}

export function holdReading(frame: Frame, now: number): Reading {
    const hold: Hold | undefined = frame.hold;
    if (!hold) return { ms: 0, text: "" };
    const gone = hold.running ? Math.max(0, now - frame.from) : 0;
    const ms = hold.ms + gone;
    return { ms, text: upText(ms) };
}
