// What the desk or another table asks of this one: a line of words each, and the answers to it.
//
// Nothing of it is recorded, and nothing follows by itself: a yes is a word between people. The hub
// says again what is open when the line comes back.
import { signal } from "@preact/signals";
import { About, AskAnswered_How as How, type Asked, type ToClient } from "../gen/honbu/v1/hub_pb";
import { onPress } from "./keys";

export class Asks {
    readonly open = signal<readonly Asked[]>([]);

    constructor(private readonly send: (answer: { ask: number; how: How }) => boolean) {}

    hear({ kind }: ToClient): void {
        if (kind.case === "welcome") this.open.value = [];
        if (kind.case === "asked") this.open.value = [...this.without(kind.value.ask), kind.value];
        if (kind.case === "askAnswered") this.open.value = this.without(kind.value.ask);
    }

    answer(ask: number, how: How): void {
        if (this.send({ ask, how })) this.open.value = this.without(ask);
    }

    private without(ask: number): Asked[] {
        return this.open.peek().filter((each) => each.ask !== ask);
    }
}

function words({ byDesk, hand, about, words: said }: Asked): string {
    const who = (byDesk ? "The desk" : "Another table") + (hand && ` (${hand})`);
    const what = about === About.COME ? "asks you to come" : about === About.MAT ? "would like to take this mat" : "asks";
    return `${who} ${what}${said ? `: ${said}` : "."}`;
}

export function AskLines({ asks }: { asks: Asks }) {
    return <>{asks.open.value.map((asked) => {
        const answers: [How, string][] = asked.about === About.COME ? [[How.COMING, "Coming"], [How.NO, "Can't now"]]
            : [[How.YES, "Yes"], [How.NO, "No"]];
        return (
            <p class="asked-of" role="status" key={asked.ask} data-testid="asked">
                <span>{words(asked)}</span>
                {answers.map(([how, label]) => <button type="button" key={how} data-testid={`answer-${how}`}
                    {...onPress(() => asks.answer(asked.ask, how))}>{label}</button>)}
            </p>
        );
    })}</>;
}
