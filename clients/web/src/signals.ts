// Which signals a view brings, and when.
//
// Time up sounds when it comes, unless the rules let it wait for a running hold: then when that hold ends,
// by itself or by toketa. Pure; sound.ts makes them heard.
import { type Frame, Frame_Why, type MatView } from "./gen/honbu/v1/hub_pb";
import type { Signal } from "./sound";

export interface Coming {
    key: string; // the same for the same signal, whatever view speaks of it
    kind: Signal;
    from: number; // on the run's clock
}

// `before`: what was shown of the same bout until now.
export function signalsOf(view: MatView, before: Frame | undefined): Coming[] {
    return view.frames.flatMap((frame, i): Coming[] => {
        const { from, why, timeUp, signalWaits } = frame;
        const waited = (i === 0 ? before : view.frames[i - 1])?.signalWaits ?? false;
        const key = `${from} ${view.bout?.bout ?? 0}`;
        if (waited && !signalWaits && timeUp) return [{ key: `time up ${key}`, kind: "time_up", from }];
        if (why === Frame_Why.TIME_UP && !signalWaits) return [{ key: `time up ${key}`, kind: "time_up", from }];
        if (why === Frame_Why.HOLD_ENDED) return [{ key: `hold ${key}`, kind: "hold_ended", from }];
        return [];
    });
}
