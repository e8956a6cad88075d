// table.html?mat=2: the table of one mat. Everything that happens in a bout goes in here.
import "../style/tokens.css";
import "../style/board.css";
import "../style/table.css";
import "../style/door.css";
import { signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { rehearsalWords, runNow } from "../clock";
import type { CallRef, KeyShown, Shown } from "../engine";
import { frameAt } from "../frames";
import { askLayout, label } from "../keymap";
import { order } from "../sides";
import { wordsOf } from "../store";
import { Athlete } from "../table/athlete";
import { AllBouts, Next, Waiting } from "../table/bouts";
import { Correct } from "../table/correct";
import { Indicator } from "../table/indicator";
import { OtherJournal } from "../table/journal";
import { listenTo, type Presses } from "../table/keyboard";
import { onPress } from "../table/keys";
import { TableLife } from "../table/life";
import { Menu } from "../table/menu";
import { Middle } from "../table/middle";
import { More } from "../table/more";
import { OnlyOne } from "../table/only_one";
import { Ribbon } from "../table/ribbon";
import { Say } from "../table/say";
import { leftSide, swapped } from "../table/swapped";
import { Take } from "../table/take";
import { enterKey, spaceKey } from "../table/usual";
import { AtTheDoor, inThrees } from "../ui/at_door";
import { heading } from "../ui/board";
import { useWatched } from "../ui/drawing";
import { asked, mount } from "../ui/screen";

const choosing = signal(false);
const menuOpen = signal(false);
const more = signal<string | undefined>(undefined); // the less frequent calls; which of them is asked about
const correcting = signal<CallRef | undefined>(undefined); // the call that is being set right

function pressesOf(life: TableLife): Presses {
    return {
        left: leftSide,
        closed: () => choosing.value || more.value !== undefined || correcting.value !== undefined || life.shown.value?.charge !== "in_charge",
        key: (id, stamp) => life.press(id, stamp),
        act: (act, stamp) => {
            if (act === "space") life.press(spaceKey(life), stamp);
            if (act === "enter") life.press(enterKey(life), stamp);
            if (act === "undo") life.undo(stamp);
            if (act === "offer") life.press("offer", stamp);
            if (act === "next") life.callNext(stamp);
            if (act === "more" && (life.shown.value?.keys.length ?? 0) > 0) more.value = "";
        },
    };
}

function Page({ life, only }: { life: TableLife; only: OnlyOne }) {
    const title = life.link.welcome.value?.title ?? "";
    document.title = [life.mat.value ? `Mat ${life.mat.value}` : "", "table", title].filter(Boolean).join(" – ");
    if (only.gaveWay.value) {
        life.link.close();
        return <main class="take"><h1>This table goes on in another window</h1><p>You can close this one.</p></main>;
    }
    const charge = life.shown.value?.charge ?? "none";
    if (charge !== "none") return <Table life={life} />;
    return <><Rehearsal />{life.link.door.value ? <AtTheDoor link={life.link} as="a table" /> : <Take life={life} />}</>;
}

// Nothing of this page begins before the person has said so: it would only know what was kept until now.
function Other({ only, goOn }: { only: OnlyOne; goOn: () => void }) {
    const mat = only.other.value;
    return (
        <main class="take">
            <h1>This device is a table already</h1>
            <p role="alert" data-testid="other-page">Another window of this browser has the table{mat ? ` of mat ${mat}` : ""} open.
                Go on there, or close it and go on here.</p>
            <button type="button" class="main" data-testid="go-on-here"
                {...onPress(() => void only.takeItHere().then(goOn))}>Go on here</button>
        </main>
    );
}

function Rehearsal() {
    return rehearsalWords.value
        ? <aside aria-label="Rehearsal"><p class="rehearsal" data-testid="rehearsal">{rehearsalWords.value}</p></aside> : null;
}

function Table({ life }: { life: TableLife }) {
    const ref = useRef<HTMLDivElement>(null);
    const presses = pressesOf(life);
    useEffect(() => listenTo(window, presses), []);
    const view = life.view.value;
    const frame = useWatched(ref, () => view && frameAt(view, runNow()));
    const shown = life.shown.value;
    if (!shown) return null;
    const bout = view?.bout;
    const keys = new Map<string, KeyShown>(shown.keys.map((key) => [key.id, key]));
    const press = (id: string, stamp: number) => life.press(id, stamp);
    const left = leftSide();
    const undo = life.lastStrikable();
    const chosen = correcting.value;
    const wrong = chosen && shown.calls.find(({ run, number }) => run === chosen.run && number === chosen.number);
    return (
        <div class="table" ref={ref}>
            <header class="table-top">
                <h1>Mat {shown.mat}</h1>
                <p class="table-what" data-testid="bout">{bout ? heading(bout) : "no bout"}</p>
                <Indicator life={life} />
                <button type="button" data-testid="menu" aria-expanded={menuOpen.value}
                    {...onPress(() => { menuOpen.value = !menuOpen.value; })}>Menu</button>
            </header>
            {(menuOpen.value || !bout) && <Menu life={life} presses={presses} />}
            <div class="messages"><Say life={life} />
                {shown.charge === "in_charge" && shown.offers[0] && <button type="button" class="offer" data-testid="offer"
                    aria-keyshortcuts="P" {...onPress((stamp) => life.press("offer", stamp))}>
                    <span class="offer-words">{shown.offers[0]}</span><kbd>{label("KeyP")}</kbd></button>}
                {life.link.door.value && <p class="door-note" role="status" data-testid="door-note">Go on; every call is kept here. The hub wants to
                    let this device in again: somebody at the desk has to look for <b>{inThrees(life.link.door.value.code)}</b>.</p>}
                <Rehearsal /></div>
            <OtherJournal life={life} />
            {shown.charge === "lost" ? <Lost life={life} shown={shown} /> : bout && frame
                ? <main class="fight">
                    {order(swapped.value).map((side) => <Athlete key={side} side={side} left={left} bout={bout} frame={frame}
                        keys={keys} press={press} />)}
                    <Middle frame={frame} keys={keys} left={left} space={spaceKey(life)} enter={enterKey(life)}
                        press={press} more={() => { more.value = ""; }} reopen={() => { more.value = "reopen"; }} />
                </main>
                : <Waiting shown={shown} head={view?.next[0]} left={left} />}
            <section class="bottom" aria-label="Calls and bouts">
                <button type="button" class="undo" data-testid="undo" data-fit={undo ? "usual" : "impossible"}
                    {...onPress((stamp) => life.undo(stamp))}>
                    <span class="key-words">undo</span><span class="undo-what">{undo?.words}</span><kbd>{label("Backspace")}</kbd></button>
                <Ribbon bout={bout} calls={shown.calls} strike={(call, stamp) => life.press("strike", stamp, call)}
                    correct={({ run, number }) => { correcting.value = { run, number }; }} />
                {shown.charge === "in_charge" && <Next shown={shown} frame={bout && frame} current={bout?.bout ?? 0} callNext={(stamp) => life.callNext(stamp)}
                    choose={() => { choosing.value = true; }} />}
            </section>
            {more.value !== undefined && bout && <More bout={bout} keys={keys} first={more.value}
                press={press} close={() => { more.value = undefined; }} />}
            {wrong && <Correct call={wrong} keys={keys} press={(key, stamp, call) => life.press(key, stamp, call)}
                close={() => { correcting.value = undefined; }} />}
            {choosing.value && <AllBouts shown={shown} current={bout?.bout ?? 0} close={() => { choosing.value = false; }}
                open={(number, stamp) => {
                    choosing.value = false;
                    life.openBout(number, stamp);
                }} />}
        </div>
    );
}

// What this page knows of the bout is no longer the truth, so it isn't shown as if it were.
function Lost({ life, shown }: { life: TableLife; shown: Shown }) {
    const own = life.link.welcome.value?.mat ?? 0; // the desk has put this table at another mat
    if (own && own !== shown.mat) {
        return (
            <main class="lost">
                <p role="alert" data-testid="notice">The desk has put this table at mat {own}.</p>
                <button type="button" class="main" data-testid="take-own" {...onPress(() => { life.mat.value = own; life.take(own, false); })}>Take mat {own}</button>
            </main>
        );
    }
    return (
        <main class="lost">
            <p role="alert" data-testid="notice">{shown.notice || "Another table has taken this mat."}</p>
            <p>Nothing can be recorded on mat {shown.mat} here. {shown.unsent > 0
                && `${shown.unsent} calls of this table have no answer from the hub yet; they stay kept here. Tell the desk.`}</p>
            <button type="button" class="main" data-testid="take-back" {...onPress(() => life.take(shown.mat, !life.left.value))}>
                Take mat {shown.mat} {life.left.value ? "again" : "back"}</button>
        </main>
    );
}

// A table page that is closed while a clock runs, or while no hub could give it back, is missed at once.
function askBeforeLeaving(life: TableLife): void {
    window.addEventListener("beforeunload", (event) => {
        const frame = life.view.value && frameAt(life.view.value, runNow());
        const busy = frame?.clock?.running || frame?.hold?.running;
        if (life.shown.value?.charge === "in_charge" && (busy || !life.link.live.value)) event.preventDefault();
    });
}

async function begin(): Promise<void> {
    const mat = asked("mat");
    let life: TableLife | undefined;
    const only = new OnlyOne(() => life?.mat.peek() ?? mat, async () => life?.settled());
    await only.ask();
    if (only.other.peek() !== undefined) {
        await new Promise<void>((goOn) => mount(<Other only={only} goOn={goOn} />));
    }
    try {
        life = await TableLife.begin(mat);
    } catch (error) {
        mount(<main class="take"><h1>The table can't begin</h1><p role="alert">{wordsOf(error)}</p>
            <p>Reload the page when the hub is there.</p></main>);
        return;
    }
    swapped.value = await life.wasSwapped().catch(() => false);
    mount(<Page life={life} only={only} />);
    askBeforeLeaving(life);
    void askLayout();
}

void begin();
