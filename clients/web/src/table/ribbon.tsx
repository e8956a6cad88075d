// The ribbon: every call of the bout, newest first, each with its clock, its fate and what corrects it.
import type { CallRef, CallShown } from "../engine";
import type { BoutHead } from "../gen/honbu/v1/hub_pb";
import { colourOf } from "../sides";
import { onPress } from "./keys";

interface RibbonProps {
    bout: BoutHead | undefined;
    calls: readonly CallShown[];
    strike: (call: CallRef, stamp: number) => void;
    correct: (call: CallShown) => void;
}

export function Ribbon({ bout, calls, strike, correct }: RibbonProps) {
    const sides = { "--first": `var(--line-${colourOf(bout, "white")})`, "--second": `var(--line-${colourOf(bout, "blue")})` };
    return (
        <ol class="ribbon" style={sides} aria-label="Calls of this bout, newest first" tabIndex={0}>
            {calls.length === 0 && <li class="ribbon-empty">Each call of the bout appears here.</li>}
            {calls.map((call) => (
                <li class="call" key={`${call.run} ${call.number}`} data-testid="call-row" data-run={call.run}
                    data-number={call.number} data-side={call.side}
                    data-colour={call.side === "white" || call.side === "blue" ? colourOf(bout, call.side) : undefined} data-standing={call.standing}
                    data-saved={call.saved} data-verdict={call.verdict}>
                    <p class="call-clock">{call.golden ? "golden " : "after "}{call.clock}</p>
                    <p class="call-words" title={call.was && `called as ${call.was}`}>{call.words}{call.was && " *"}</p>
                    <p class="call-fate" data-testid="call-fate">{fate(call)}</p>
                    <Deeds call={call} strike={strike} correct={correct} />
                </li>
            ))}
        </ol>
    );
}

// Strike at once; everything else that may be wrong with a call is one step further. What was struck comes back.
function Deeds({ call, strike, correct }: Omit<RibbonProps, "bout" | "calls"> & { call: CallShown }) {
    const { actions, struckBy } = call;
    const [first] = actions;
    if (!first && !struckBy) return null;
    return (
        <p class="call-deeds">
            {struckBy && <button type="button" data-testid="bring-back" aria-label={`bring back: ${call.words} at ${call.clock}`}
                {...onPress((stamp) => strike(struckBy, stamp))}>bring back</button>}
            {first && <button type="button" data-testid="strike" aria-label={`${first.words}: ${call.words} at ${call.clock}`}
                {...onPress((stamp) => strike(call, stamp))}>{first.words}</button>}
            {actions.length > 1 && <button type="button" data-testid="correct" aria-label={`change: ${call.words} at ${call.clock}`}
                {...onPress(() => correct(call))}>change</button>}
        </p>
    );
}

function fate(call: CallShown): string {
    if (call.verdict === "set_aside") return "set aside";
    if (call.standing === "struck" && call.saved) return "struck";
    if (call.standing === "without_effect" || call.verdict === "without_effect") return "no effect";
    return place(call);
}

function place(call: CallShown): string {
    if (!call.saved) return "not kept yet";
    return call.verdict === "none" ? "kept here" : "at the hub";
}
