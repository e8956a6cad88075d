// The hub keeps another journal than the one this device's calls were made for: a person says why.
import { onPress } from "./keys";
import type { TableLife } from "./life";

export function OtherJournal({ life }: { life: TableLife }) {
    const welcome = life.otherJournal.value;
    if (!welcome) return null;
    return (
        <section class="take-question" role="alertdialog" aria-labelledby="other-journal">
            <p id="other-journal" data-testid="other-journal">The hub has begun another journal
                {welcome.title && ` (${welcome.title})`}, and this device keeps calls from before.</p>
            <p>If it is the same competition, going on from a copy: offer them. If they are from another competition or a
                rehearsal: begin without them. They are not erased.</p>
            <p class="over-keys">
                <button type="button" class="main" data-testid="offer-kept" {...onPress(() => void life.settleJournal(true))}>
                    Same competition: offer them</button>
                <button type="button" data-testid="without-kept" {...onPress(() => void life.settleJournal(false))}>
                    Begin without them</button>
            </p>
        </section>
    );
}
