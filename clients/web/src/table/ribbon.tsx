// The ribbon: every call of the bout, newest first, each with its clock, its fate and a way to strike it.
import type { CallShown } from "../engine";
import { onPress } from "./keys";

interface RibbonProps {
    calls: readonly CallShown[];
    strike: (call: CallShown, stamp: number) => void;
}

export function Ribbon({ calls, strike }: RibbonProps) {
    return (
        <ol class="ribbon" aria-label="Calls of this bout, newest first" tabIndex={0}>
            {calls.length === 0 && <li class="ribbon-empty">Each call of the bout appears here.</li>}
            {calls.map((call) => (
                <li class="call" key={`${call.run} ${call.number}`} data-testid="call-row" data-run={call.run}
                    data-number={call.number} data-side={call.side} data-standing={call.standing}
                    data-saved={call.saved} data-verdict={call.verdict}>
                    <p class="call-clock">{call.golden ? "golden " : "after "}{call.clock}</p>
                    <p class="call-words">{call.words}</p>
                    <p class="call-fate" data-testid="call-fate">{fate(call)}</p>
                    {call.strikable && (
                        <button type="button" class="call-strike" data-testid="strike"
                            aria-label={`strike: ${call.words} at ${call.clock}`}
                            {...onPress((stamp) => strike(call, stamp))}>strike</button>
                    )}
                </li>
            ))}
        </ol>
    );
}

function fate(call: CallShown): string {
    if (call.verdict === "set_aside") return "set aside by the hub";
    if (call.standing === "struck") return `struck · ${place(call)}`;
    if (call.standing === "without_effect" || call.verdict === "without_effect") return `without effect · ${place(call)}`;
    return place(call);
}

function place(call: CallShown): string {
    if (!call.saved) return "not kept yet";
    return call.verdict === "none" ? "kept here" : "at the hub";
}
