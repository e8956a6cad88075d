// The line of words under the head of the table: why a press changed nothing, what to read aloud,
// what a person has to decide, what the hub said. One place, so that nobody has to look for it.
import { AskLines } from "./asks";
import type { TableLife } from "./life";

export function Say({ life }: { life: TableLife }) {
    const shown = life.shown.value;
    const lost = shown?.charge === "lost";
    const trouble = [life.notKept.value && `Calls are not kept on this device (${life.notKept.value}), only at the hub. Write them down on paper as well.`,
        shown?.warning,
        life.link.trouble.value, life.link.goodbye.value && `The hub sent this page away: ${life.link.goodbye.value}`,
        life.slept.value].filter(Boolean).join(" ");
    const kind = trouble ? "alarm" : life.answer.value ? "answer" : shown?.readback ? "readback" : "quiet";
    return (
        <aside class="say" data-kind={kind} aria-label="Messages">
            {trouble && <p role="alert" data-testid="trouble">{trouble}</p>}
            <AskLines asks={life.asks} />
            <p aria-live="polite" data-testid="answer">{life.answer.value}</p>
            {!lost && <p aria-live="polite" data-testid="notice">{shown?.notice}</p>}
            {shown?.readback && <div class="say-read"><b>Read aloud, then confirm:</b>
                <p data-testid="readback">{shown.readback}</p></div>}
            {!lost && !shown?.readback && shown?.because && <p data-testid="because">{shown.because}</p>}
            {!lost && shown?.prompts.map((words) => <p class="prompt" key={words} data-testid="prompt">{words}</p>)}
        </aside>
    );
}
