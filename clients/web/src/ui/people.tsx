// Personal data, for the desk: who is kept, found by a part of the name or the number, and erased for good.
//
// Erasing can't be taken back, so it is asked once, in plain words, with what will be on the screens
// instead; and it takes a reason and a word typed by hand.
import { signal } from "@preact/signals";
import { type PeopleFound, type PeopleFound_One, PublicNames } from "../gen/honbu/v1/hub_pb";
import type { Link } from "../link";
import type { Requests } from "../requests";

const confirmation = "erase";
const words = signal("");
const found = signal<PeopleFound | undefined>(undefined);
const answer = signal("");
const erasing = signal<{ key: string; reason: string; typed: string } | undefined>(undefined);

function publicWords(names: PublicNames): string {
    switch (names) {
        case PublicNames.FULL: return "Public pages show names in full.";
        case PublicNames.INITIALS: return "Public pages show initials, and no clubs.";
        case PublicNames.HIDDEN: return "Public pages show no names.";
    }
}

const keyOf = (one: PeopleFound_One) => `${one.person}/${one.typed}`;

function keptWords(one: PeopleFound_One): string {
    const bouts = one.bouts.length === 0 ? "" : `${one.bouts.length === 1 ? "bout" : "bouts"} ${one.bouts.join(", ")}`;
    const where = one.person ? `person ${one.person}` : "typed by hand for a bout in no plan";
    return [where, one.club, bouts].filter(Boolean).join(" · ");
}

function askWords(one: PeopleFound_One): string {
    const instead = one.person ? `Boards, hall screens, the call list, results and sheets show “Athlete ${one.person}” instead, without a club`
        : "The desk no longer sees what was typed";
    return `Erase ${one.name}? ${instead}, at once and for good. Calls and results stay. Nobody can bring it back.`;
}

export function People({ link, requests }: { link: Link; requests: Requests }) {
    const welcome = link.welcome.value;
    const look = async () => {
        erasing.value = undefined;
        const { found: now, words: why } = await requests.ask({ case: "findPeople", value: { words: words.peek().trim() } });
        found.value = now;
        answer.value = now && now.people.length === 0 ? "Nobody here has that in the name or the club." : why;
    };
    return (
        <section class="people" aria-labelledby="people" data-testid="people">
            <h2 id="people">Personal data</h2>
            {welcome && <p data-testid="public-names">{publicWords(welcome.publicNames)}</p>}
            <form onSubmit={(event) => { event.preventDefault(); void look(); }}>
                <label>Name, club or number
                    <input value={words.value} maxLength={60} data-testid="find" autocomplete="off"
                        onInput={(event) => { words.value = event.currentTarget.value; }} /></label>
                <button type="submit" data-testid="find-now">Find</button>
            </form>
            {answer.value && <p role="status" data-testid="people-answer">{answer.value}</p>}
            <ul>{found.value?.people.map((one) => <One key={keyOf(one)} one={one} requests={requests} look={look} />)}</ul>
            {found.value && found.value.more > 0 && <p>And {found.value.more} more: write more of the name.</p>}
        </section>
    );
}

function One({ one, requests, look }: { one: PeopleFound_One; requests: Requests; look: () => Promise<void> }) {
    const mine = erasing.value?.key === keyOf(one) ? erasing.value : undefined;
    const erase = async (reason: string) => {
        const { words: said } = await requests.ask({ case: "erasePerson", value: { person: one.person, typed: one.typed, reason } });
        await look();
        answer.value = said;
    };
    return (
        <li data-testid="kept" data-person={one.person}>
            <span><b>{one.name}</b> <small>{one.erased ? `erased · ${keptWords(one)}` : keptWords(one)}</small></span>
            {!one.erased && !mine && <button type="button" data-testid="erase"
                onClick={() => { erasing.value = { key: keyOf(one), reason: "", typed: "" }; }}>Erase</button>}
            {mine && <form class="erasing" onSubmit={(event) => {
                event.preventDefault();
                if (mine.typed.trim().toLowerCase() === confirmation) void erase(mine.reason);
            }}>
                <p data-testid="erase-words">{askWords(one)}</p>
                <label>Why? It goes on record and stays: write no name here.
                    <input value={mine.reason} maxLength={100} required data-testid="erase-reason" autocomplete="off"
                        onInput={(event) => { erasing.value = { ...mine, reason: event.currentTarget.value }; }} /></label>
                <label>Type <b>{confirmation}</b> to go on
                    <input value={mine.typed} maxLength={20} required data-testid="erase-typed" autocomplete="off"
                        onInput={(event) => { erasing.value = { ...mine, typed: event.currentTarget.value }; }} /></label>
                <button type="submit" data-testid="erase-now" disabled={mine.typed.trim().toLowerCase() !== confirmation || !mine.reason.trim()}>Erase for good</button>
                <button type="button" onClick={() => { erasing.value = undefined; }}>Keep it</button>
            </form>}
        </li>
    );
}
