// Taking a mat: choose one, say who sits here, and settle it when another table holds it.
import { useState } from "preact/hooks";
import { AskAgain, lineWords } from "../ui/screen";
import { OtherJournal } from "./journal";
import { onPress } from "./keys";
import type { TableLife } from "./life";

export function Take({ life }: { life: TableLife }) {
    const [hand, setHand] = useState(life.hand);
    const [cleared, setCleared] = useState("");
    const welcome = life.link.welcome.value;
    const mats = welcome?.mat ? [welcome.mat] : welcome?.mats ?? []; // a device is let in for one
    const wanted = life.mat.value;
    const take = (mat: number, takeOver: boolean) => {
        void life.setHand(hand);
        life.take(mat, takeOver);
    };
    const shown = mats.includes(wanted) ? [wanted] : mats;
    return (
        <main class="take">
            <h1>{welcome?.title || "Mat table"}</h1>
            {life.link.goodbye.value && <p class="take-answer" role="alert">{`The hub sent this page away: ${life.link.goodbye.value}`} {life.link.mayAsk.value && <AskAgain />}</p>}
            {life.answer.value && <p class="take-answer" role="alert" data-testid="answer">{life.answer.value}</p>}
            {life.shown.value?.notice && <p class="take-answer" role="status" data-testid="notice">{life.shown.value.notice}</p>}
            {life.otherJournal.value ? <OtherJournal life={life} /> : life.question.value
                ? <section class="take-question" role="alertdialog" aria-labelledby="question">
                    <p id="question" data-testid="question">{life.question.value}</p>
                    <button type="button" class="main" data-testid="take-over" {...onPress(() => take(wanted, true))}>
                        Take mat {wanted} over</button>
                    <button type="button" data-testid="leave-it" {...onPress(() => { life.question.value = ""; })}>Leave it</button>
                </section>
                : <section>
                    <p>Taking a mat makes this device its table: it gets the bouts and records the referee's calls.</p>
                    <label class="take-hand">Who sits here (may stay empty)
                        <input value={hand} maxLength={40} autoComplete="off" data-testid="hand"
                            onInput={(event) => setHand(event.currentTarget.value)} /></label>
                    {!welcome && <p role="status">{life.link.away.value || "The hub has not answered yet. The mats appear as soon as it does."}</p>}
                    <ul class="take-mats">
                        {shown.map((mat) => (
                            <li key={mat}>
                                <button type="button" class="main" data-testid={`take-${mat}`} disabled={life.asked.value}
                                    {...onPress(() => take(mat, false))}>Take mat {mat}</button>
                                <span>{lineWords(life.link.mats.value.get(mat)?.view)}</span>
                            </li>
                        ))}
                    </ul>
                    {shown.length < mats.length && <button type="button" data-testid="other-mat"
                        {...onPress(() => { life.mat.value = 0; })}>Another mat</button>}
                </section>}
            <footer class="take-foot">
                <p>{cleared || "This device keeps the calls made on it until they are cleared."}</p>
                <button type="button" data-testid="clear" {...onPress(() => void life.clearKept().then(setCleared))}>
                    Clear what this device keeps</button>
                <a href="/">All pages</a>
            </footer>
        </main>
    );
}
