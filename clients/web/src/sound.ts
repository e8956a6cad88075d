// The signals of the table: time is up, and a hold has ended by itself.
//
// Put into the sound card's own time ahead of their instant, so that a slow or hidden page still
// sounds on time. Neighbouring mats differ in pitch. A browser stays silent until somebody has
// pressed something: `unlock` belongs into that press.
export type Signal = "time_up" | "hold_ended";

interface Due {
    key: string;
    begins: number; // in the card's time
    voice: OscillatorNode;
}

const lead = 0.01;
let card: AudioContext | undefined;
let due: Due[] = [];

export function unlock(): void {
    card ??= new AudioContext();
    if (card.state !== "running") void card.resume();
}

export function isUnlocked(): boolean {
    return card?.state === "running";
}

// Five pitches, a third apart or so: next to each other no two mats sound alike.
function pitch(mat: number): number {
    return [523, 659, 440, 784, 587][mat % 5] ?? 523;
}

function sound(kind: Signal, mat: number, begins: number): OscillatorNode {
    const at = card as AudioContext;
    const voice = at.createOscillator();
    const loud = at.createGain();
    const seconds = kind === "time_up" ? 1.4 : 0.9;
    voice.type = "square";
    voice.frequency.setValueAtTime(pitch(mat), begins);
    if (kind === "hold_ended") { // three short steps up, to tell it from time
        voice.frequency.setValueAtTime(pitch(mat) * 1.25, begins + seconds / 3);
        voice.frequency.setValueAtTime(pitch(mat) * 1.5, begins + (2 * seconds) / 3);
    }
    loud.gain.setValueAtTime(0, begins);
    loud.gain.linearRampToValueAtTime(0.35, begins + 0.01);
    loud.gain.setValueAtTime(0.35, begins + seconds - 0.05);
    loud.gain.linearRampToValueAtTime(0, begins + seconds);
    voice.connect(loud).connect(at.destination);
    voice.start(begins);
    voice.stop(begins + seconds);
    return voice;
}

// What is coming now: `inSeconds` from this moment. What no longer comes is taken back; what has
// begun plays out; what is already past when it is first heard of stays silent.
export function announce(coming: readonly { key: string; kind: Signal; inSeconds: number }[], mat: number): void {
    if (!card || card.state !== "running") return;
    const now = card.currentTime;
    for (const old of due) {
        const stays = coming.some((next) => next.key === old.key);
        if (!stays && old.begins > now) old.voice.stop();
    }
    due = due.filter((old) => old.begins <= now || coming.some((next) => next.key === old.key));
    for (const { key, kind, inSeconds } of coming) {
        if (inSeconds < -0.5 || due.some((old) => old.key === key)) continue;
        const begins = now + Math.max(lead, inSeconds);
        due.push({ key, begins, voice: sound(kind, mat, begins) });
    }
    due = due.slice(-16);
}

export function tryOut(mat: number): void {
    unlock();
    if (card) sound("time_up", mat, card.currentTime + lead);
}
