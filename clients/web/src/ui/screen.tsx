// What every page that only shows has in common: a line that reads, the words of the page's state,
// and the address it was opened with.
import { type ComponentChild, render } from "preact";
import type { MessageInitShape } from "@bufbuild/protobuf";
import { rehearsalWords } from "../clock";
import { type MatView, type Role, type SubscribeSchema, TableLine, type ToClient } from "../gen/honbu/v1/hub_pb";
import { Link } from "../link";
import type { Who } from "../store";
import { keepAwake } from "./awake";
import { sayIfReadable } from "./readable";

const comeBackMs = 10_000;

// Numbers of the address; a wrong one counts as not given.
export function asked(name: string): number {
    const value = Number(new URLSearchParams(location.search).get(name));
    return Number.isInteger(value) && value > 0 ? value : 0;
}

export function isAsked(name: string): boolean {
    return ["1", "yes", "true"].includes(new URLSearchParams(location.search).get(name) ?? "");
}

// Without `who` the page only looks; `hear`: what else it does with a message.
export function listen(role: Role, subscribe: MessageInitShape<typeof SubscribeSchema>,
    { who, hear, down }: { who?: Who; hear?: (message: ToClient) => void; down?: () => void } = {}): Link {
    const link = new Link({ hello: () => ({ role, ...who }), subscribe, ...(hear && { onMessage: hear }), ...(down && { onDown: down }) });
    // Sent away for good, for instance because the hub is newer than this page: an unattended screen
    // fetches itself anew, but only once there is something to fetch.
    link.goodbye.subscribe((words) => {
        // Without a right a person asks again, not the page: its words stay to be read.
        if (words && !link.mayAsk.peek()) setInterval(() => void reloadIfThere(), comeBackMs);
    });
    return link;
}

async function reloadIfThere(): Promise<void> {
    const there = await fetch(location.href, { cache: "no-store" }).catch(() => undefined);
    if (there?.ok) location.reload();
}

export function mount(page: ComponentChild): void {
    keepAwake();
    void sayIfReadable();
    const place = document.getElementById("page");
    if (place) render(page, place);
}

// Why what is shown may be old, in words for large letters. Empty: it is live.
export function staleWords(link: Link, mat?: number): string {
    if (link.goodbye.value) return `Not live: ${link.goodbye.value}`;
    if (link.door.value && link.heard.value) return ""; // it waits at the door, and says so
    if (!link.live.value) {
        return link.welcome.value
            ? `Not live: last heard ${link.silence.value} s ago. This picture is old.`
            : `Not live: ${link.away.value || "the hub has not answered yet."}`;
    }
    if (mat === undefined) return "";
    if (!link.mats.value.has(mat)) return "";
    if (!link.isFresh(mat)) return "Not live: this picture is old.";
    return "";
}

export function lineWords(view: MatView | undefined): string {
    switch (view?.table) {
        case TableLine.LIVE: return "table live";
        case TableLine.ALONE: return "table alone";
        default: return "no table";
    }
}

// Begins anew, so that the hub asks who this is and shows a code.
export function AskAgain() {
    return <button type="button" data-testid="ask-again" onClick={() => location.reload()}>Ask to be let in again</button>;
}

// The line along the top of a page that is read at a desk.
export function Banners({ link }: { link: Link }) {
    const stale = staleWords(link);
    return (
        <aside aria-label="State of this page">
            {rehearsalWords.value && <p class="rehearsal" data-testid="rehearsal">{rehearsalWords.value}</p>}
            {link.welcome.value?.anyone && <p class="rehearsal" data-testid="anyone">Anyone who reaches this hub can score: it asks nobody who they are.</p>}
            {link.trouble.value && <p class="not-live" role="alert">{link.trouble.value}</p>}
            {stale && <p class="not-live" role="alert" data-testid="stale">{stale}{link.goodbye.value && link.mayAsk.value && <> <AskAgain /></>}</p>}
        </aside>
    );
}
