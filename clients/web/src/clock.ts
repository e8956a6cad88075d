// The clocks of a page: its own run clock, and the hub's clock as far as this page knows it.
//
// The only file that knows the rehearsal rate, and the only one that asks the browser for the time.
// The run clock begins at 0 with the page and only grows; it needs no network. The hub's clock is
// estimated from several questions and answers, of which the quickest is believed. Everything is in
// whole milliseconds, as on the wire.
import { computed, signal } from "@preact/signals";

const rate = signal(1);
let turned = performance.now(); // when the rate last changed ...
let atTurn = 0; // ... and what the run clock said then

export const rehearsal = computed(() => rate.value !== 1);
export const rehearsalWords = computed(() =>
    rehearsal.value ? `Rehearsal: clocks ${rate.value} times faster` : "");

// Hub and pages all run at this rate. The run clock bends here and never jumps.
export function setRate(times: number): void {
    const next = times || 1;
    if (next === rate.value) return;
    const stamp = performance.now();
    atTurn += (stamp - turned) * rate.value;
    turned = stamp;
    rate.value = next;
}

// ---- the run clock -------------------------------------------------------------------------------

// `stamp`: when it happened, in the browser's own time (Event.timeStamp). A busy page hears of a press
// late, and draws in between; the press counts when it was made. The engine keeps calls in order.
export function runAt(stamp: number): number {
    return Math.round(atTurn + (Math.max(stamp, turned) - turned) * rate.value);
}

export function runNow(): number {
    return runAt(performance.now());
}

// How long until the run clock says `instant`, in real milliseconds; below zero: it has said so.
export function realUntilRun(instant: number): number {
    return (instant - (atTurn + (performance.now() - turned) * rate.value)) / rate.value;
}

// ---- earlier runs, by the device's wall clock ----------------------------------------------------

// One moment on a run's clock and on the wall clock, kept so that a later run can find back.
export interface Anchor {
    ms: number;
    wall: number;
    rate: number;
}

export function anchorNow(): Anchor {
    return { ms: runNow(), wall: Date.now(), rate: rate.value };
}

// The same moment on another run's clock and on this one's.
export interface Met {
    there: number;
    here: number;
}

// Where the earlier run's clock would be now. A wall clock that was set back counts as no time gone.
export function meet(earlier: Anchor): Met {
    const gone = Math.max(0, Date.now() - earlier.wall);
    return { there: Math.floor(earlier.ms + gone * earlier.rate), here: runNow() };
}

// The same by the hub's clock, for a run of another device: `there` was when the hub's said `hub`.
export function meetByHub(there: number, hub: number): Met {
    return { there: Math.max(0, there + ((hubNow() ?? hub) - hub)), here: runNow() };
}

export function adoptRate(earlier: Anchor): void {
    setRate(earlier.rate);
}

// ---- the hub's clock -----------------------------------------------------------------------------

interface Answer {
    trip: number; // real milliseconds there and back
    stamp: number; // the browser's time in the middle of it
    hub: number;
}

const kept = 8;
const agePerSecond = 0.1; // clocks drift apart: an answer a minute old counts as 6 ms slower
let answers: Answer[] = [];
let asked = new Map<number, number>();
let lastHub = 0;

// A new connection: the hub may have restarted, so nothing known before counts.
export function forgetHub(hubMs: number): void {
    answers = [{ trip: 60_000, stamp: performance.now(), hub: hubMs }];
    asked = new Map();
    lastHub = 0;
}

export function askNow(): number {
    const stamp = performance.now();
    const sent = Math.floor(stamp);
    asked.set(sent, stamp);
    return sent;
}

export function answered(sent: number, hubMs: number): void {
    const stamp = asked.get(sent);
    if (stamp === undefined) return;
    asked.delete(sent);
    const trip = performance.now() - stamp;
    answers = [...answers, { trip, stamp: stamp + trip / 2, hub: hubMs }].slice(-kept);
}

function best(): Answer | undefined {
    const stamp = performance.now();
    const weight = (a: Answer) => a.trip + ((stamp - a.stamp) / 1000) * agePerSecond;
    return answers.reduce<Answer | undefined>(
        (found, a) => (found === undefined || weight(a) < weight(found) ? a : found), undefined);
}

// The hub's time now; it never steps back while a connection lasts. Undefined before the first word.
export function hubNow(): number | undefined {
    const from = best();
    if (!from) return undefined;
    lastHub = Math.max(lastHub, Math.floor(from.hub + (performance.now() - from.stamp) * rate.value));
    return lastHub;
}

// The same moment on both clocks, once the hub's is known from a real answer, and how long that took
// there and back.
export function bothNow(): { run: number; hub: number; trip: number } | undefined {
    const hub = answers.length > 1 ? hubNow() : undefined;
    return hub === undefined ? undefined : { run: runNow(), hub, trip: Math.round(best()?.trip ?? 0) };
}

// ---- real time, for the line ---------------------------------------------------------------------

// A moment of real time. The steady clock of some machines stands still while they sleep and the
// wall clock may be set; what has passed is the larger of the two.
export interface Moment {
    steady: number;
    wall: number;
}

export function moment(): Moment {
    return { steady: performance.now(), wall: Date.now() };
}

export function realSince(then: Moment): number {
    const steady = performance.now() - then.steady;
    const wall = Date.now() - then.wall;
    return wall > steady + 2000 ? wall : steady;
}

// How long the machine slept between two looks, in real milliseconds: the run clock stood meanwhile.
export function sleptSince(then: Moment): number {
    const gap = Date.now() - then.wall - (performance.now() - then.steady);
    return gap > 2000 ? gap : 0;
}
