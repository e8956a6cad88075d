// Calls that do not count until somebody at the desk has decided: what they are, and the decision.
import { signal } from "@preact/signals";
import { DecideSetAside_How, type SetAside_OfBout } from "../gen/honbu/v1/hub_pb";
import type { Link } from "../link";
import type { Requests } from "../requests";
import { nameOf } from "../sides";

const answer = signal("");
const deciding = signal<{ key: string; how: DecideSetAside_How; reason: string } | undefined>(undefined);

const keyOf = ({ device, bout }: SetAside_OfBout) => `${device}/${bout}`;

function who({ head, typed }: SetAside_OfBout): string {
    if (head) return `${nameOf(head.white)} – ${nameOf(head.blue)}`;
    return [typed?.white, typed?.blue].filter(Boolean).join(" – ");
}

export function Aside({ link, requests }: { link: Link; requests: Requests }) {
    const aside = link.aside.value;
    if (!answer.value && !aside?.bouts.length) return null;
    return (
        <section class="aside" aria-labelledby="aside" data-testid="aside">
            <h2 id="aside">Set aside <span class="count">{aside?.bouts.reduce((sum, bout) => sum + bout.calls.length, 0) ?? 0}</span></h2>
            <p>These calls count for nothing yet. Ask the table first: if it has entered them again, they do not count a second time.</p>
            {answer.value && <p role="status" data-testid="aside-answer">{answer.value}</p>}
            {aside?.bouts.map((bout) => <OfBout key={keyOf(bout)} bout={bout} requests={requests} />)}
            {!!aside?.more && <p>{aside.more} more wait behind these.</p>}
        </section>
    );
}

function OfBout({ bout, requests }: { bout: SetAside_OfBout; requests: Requests }) {
    const key = keyOf(bout);
    const mine = deciding.value?.key === key ? deciding.value : undefined;
    const open = (how: DecideSetAside_How) => { deciding.value = { key, how, reason: "" }; };
    const counts = mine?.how === DecideSetAside_How.TAKEN;
    return (
        <article class="aside-bout" data-testid={`aside-${bout.bout}`}>
            <p><b>Mat {bout.mat}, bout {bout.bout}</b> <bdi>{who(bout)}</bdi>{bout.hand && <>, entered by <bdi>{bout.hand}</bdi></>}</p>
            <ol>{bout.calls.map((call) => <li key={`${call.record}/${call.call?.id?.number}`}>{call.words}</li>)}</ol>
            {!mine && <p class="aside-how">
                <button type="button" data-testid="dismiss" onClick={() => open(DecideSetAside_How.DISMISSED)}>They don't count</button>
                {bout.head && <button type="button" data-testid="count" onClick={() => open(DecideSetAside_How.TAKEN)}>They count in this bout</button>}
            </p>}
            {mine && <form onSubmit={(event) => {
                event.preventDefault();
                deciding.value = undefined;
                const calls = bout.calls.flatMap(({ call }) => (call?.id ? [call.id] : []));
                void requests.ask({ case: "decideSetAside", value: { how: mine.how, into: counts ? bout.bout : 0, calls, reason: mine.reason } })
                    .then(({ words }) => { answer.value = words; });
            }}>
                <label>{counts ? "They go behind what the bout has; the bout is the desk's from then on. Why do they count?" : "They stay on record and count for nothing. Why?"}
                    <input value={mine.reason} maxLength={100} required data-testid="aside-reason"
                        onInput={(event) => { deciding.value = { ...mine, reason: event.currentTarget.value }; }} /></label>
                <button type="submit" data-testid="decide">{counts ? "Let them count" : "Dismiss them"}</button>
                <button type="button" onClick={() => { deciding.value = undefined; }}>Leave it open</button>
            </form>}
        </article>
    );
}
