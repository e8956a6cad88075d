// desk.html: finished bouts as they end, newest on top, and how every mat and its table stand.
import "../style/tokens.css";
import "../style/desk.css";
import "../style/aside.css";
import "../style/door.css";
import "../style/people.css";
import { useRef } from "preact/hooks";
import { contestReading, frameAt } from "../frames";
import { type BoutHead, type Finished, type MatView, Phase, ResultFrom, Role, TableLine, type Tables, Tables_Mirror_How,
    type Winner } from "../gen/honbu/v1/hub_pb";
import { Requests } from "../requests";
import type { ResultRow } from "../results";
import { nameOf, order, seatOf, type SideName, wears, wins, wordOf } from "../sides";
import { whoIsThis } from "../store";
import { AtTheDoor, codeRefused, takesCodes } from "../ui/at_door";
import { Aside } from "../ui/aside";
import { Devices } from "../ui/devices";
import { useWatched } from "../ui/drawing";
import { Face } from "../ui/face";
import { CertificateWords, watchCertificate } from "../ui/certificate";
import { People } from "../ui/people";
import { HandIn } from "../ui/hand_in";
import { Banners, lineWords, listen, mount, staleWords } from "../ui/screen";

const who = await whoIsThis();
const requests: Requests = new Requests(() => link);
const link = listen(Role.DESK, { allMats: true, results: true, tables: true, door: true, setAside: true }, {
    who,
    hear: (message) => {
        requests.hear(message);
        if (message.kind.case === "refusal" && link.door.peek()) codeRefused(message.kind.value.words);
    },
    down: () => requests.lineDown(),
});
takesCodes(link);

function Page() {
    const title = link.welcome.value?.title ?? "";
    const mats = link.welcome.value?.mats ?? [];
    const rows = link.results.rows.value;
    const standing = rows.filter((row) => row.fate === "stands").length;
    document.title = ["Results desk", title].filter(Boolean).join(" – ");
    if (link.door.value) return <><Banners link={link} /><AtTheDoor link={link} as="a desk" /></>;
    return (
        <>
            <Banners link={link} />
            {mirrorWords(link.tables.value) && <p class="not-live" role="alert" data-testid="mirror">{mirrorWords(link.tables.value)}</p>}
            {link.tables.value?.damage && <p class="not-live" role="alert" data-testid="damage">{link.tables.value.damage} Scoring goes on; in a pause, go on from a second copy.</p>}
            <CertificateWords />
            <header class="desk-top"><h1>Results desk</h1><p>{title}</p></header>
            <main class="desk">
                <section class="finished" aria-labelledby="finished">
                    <h2 id="finished">Finished bouts <span class="count">{standing}</span></h2>
                    {rows.length === 0 && <p class="none">None yet. Each bout appears here when its table confirms it.</p>}
                    <div role="log" aria-live="polite">
                        {rows.map((row) => <Row key={`${row.item.number}/${row.item.bout?.bout}`} row={row} />)}
                    </div>
                </section>
                <section aria-label="Mats and devices" class="strip" tabIndex={0}>
                    {mats.map((mat) => <Mat key={mat} mat={mat} view={link.mats.value.get(mat)?.view} />)}
                    <Aside link={link} requests={requests} />
                    <Devices link={link} requests={requests} me={who.device} />
                    <People link={link} requests={requests} />
                    <HandIn link={link} requests={requests} />
                </section>
            </main>
        </>
    );
}

// The second copy of the journal: a word only when it does not follow.
function mirrorWords(tables: Tables | undefined): string {
    const mirror = tables?.mirror;
    const lacks = mirror?.behind === 1 ? "1 record" : `${mirror?.behind ?? 0} records`;
    const and = mirror?.behind ? ` and lacks ${lacks}` : "";
    switch (mirror?.how) {
        case Tables_Mirror_How.BEHIND: return `The second copy of the journal is ${lacks} behind: its disk is slow. Scoring goes on.`;
        case Tables_Mirror_How.STOPPED: return `The second copy of the journal has stopped${and}. ${mirror.words} Scoring goes on.`;
        default: return "";
    }
}

function phaseWords(phase: Phase): string {
    switch (phase) {
        case Phase.WAITING: return "waiting";
        case Phase.CALLED: return "called to the mat";
        case Phase.FIGHTING: return "fighting";
        case Phase.STOPPED: return "stopped";
        case Phase.FROZEN: return "sono-mama";
        case Phase.OVER: return "sore-made";
        case Phase.ANNOUNCED: return "announced, not yet confirmed";
        case Phase.CONFIRMED: return "confirmed";
        case Phase.ACCEPTED: return "accepted by the desk";
    }
}

function Mat({ mat, view }: { mat: number; view: MatView | undefined }) {
    const ref = useRef<HTMLElement>(null);
    const now = () => link.now(mat);
    const frame = useWatched(ref, () => view && frameAt(view, now()));
    const bout = view?.bout;
    const old = staleWords(link, mat) !== "" || view?.table === TableLine.ALONE;
    const going = frame?.decided && (frame.phase === Phase.FIGHTING || frame.phase === Phase.STOPPED);
    const state = !frame ? "" : frame.review ? "review" : going ? "decided" : phaseWords(frame.phase);
    return (
        <article class="mat" ref={ref} data-testid={`mat-${mat}`} data-old={old}>
            <h2>Mat {mat}</h2>
            <p class="line" data-line={view?.table ?? TableLine.NONE} data-testid="line">{lineWords(view)}</p>
            {bout && frame ? <>
                <p class="mat-bout"><b>Bout {bout.bout}</b> {[bout.category, bout.round].filter(Boolean).join(" · ")}</p>
                <p class="mat-names">{order(false).map((side) => <span key={side} class={`chip ${wears(bout, side)}`}>
                    <span class="visually-hidden">{wordOf(bout, side)} </span>{nameOf(seatOf(bout, side))}</span>)}</p>
                <p class="mat-state" data-phase={frame.phase}><Face name="clock" label="contest clock" read={() => contestReading(frame, now())} />
                    <span data-testid="phase">{state}</span></p>
                {frame.words && frame.words !== state && <p class="mat-words" data-testid="words">{frame.words}</p>}
            </> : <p class="mat-bout">No bout on this mat now</p>}
        </article>
    );
}

// Where the result came from, unless its table confirmed it.
function fromWords({ from }: Finished): string {
    return { [ResultFrom.TABLE]: "", [ResultFrom.PAPER]: "Entered from paper.", [ResultFrom.DESK]: "Put right at the desk.",
        [ResultFrom.OTHER_RECORD]: "Recorded as another bout before." }[from];
}

function fateWords({ fate }: ResultRow): string {
    if (fate === "stands") return "";
    if (fate === "replaced") return "Replaced by a later result.";
    return "Does not stand any more.";
}

function Row({ row }: { row: ResultRow }) {
    const { item } = row;
    const { bout, result } = item;
    if (!bout || !result) return null;
    return (
        <article class="row" data-testid="finished-row" data-bout={bout.bout} data-replaced={row.fate !== "stands"} data-fate={row.fate}>
            <p class="row-number">{bout.bout}</p>
            <p class="row-where">Mat {item.mat}<br /><span>{[bout.category, bout.round].filter(Boolean).join(" · ")}</span></p>
            <Athlete bout={bout} side="white" winner={result.winner} />
            <Athlete bout={bout} side="blue" winner={result.winner} />
            <p class="row-words" data-testid="words">{item.words}{fromWords(item) && <span class="row-from"> {fromWords(item)}</span>}
                {item.unlikeCalls && row.fate === "stands" && <b data-testid="unlike-calls"> The table confirmed another result than its calls give: look at the sheet with the table.</b>}
                {fateWords(row) && <b> {fateWords(row)}</b>}</p>
        </article>
    );
}

function Athlete({ bout, side, winner }: { bout: BoutHead; side: SideName; winner: Winner }) {
    const seat = seatOf(bout, side);
    const won = wins(winner, side);
    return (
        <p class={`athlete chip ${wears(bout, side)}`} data-won={won}>
            <small>{wordOf(bout, side)}{won && <b class="won" data-testid="winner">winner</b>}</small>
            <span class="athlete-name" data-testid={`name-${side}`}>{nameOf(seat)}</span>
            <small>{seat?.club}</small>
        </p>
    );
}

watchCertificate();
mount(<Page />);
