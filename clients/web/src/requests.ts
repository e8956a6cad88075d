// What the desk asks of the hub, and its answer: one promise for each command.
//
// A command that the line took is answered once, by Done or Refusal with its number. If the line goes
// down first, nobody knows whether it was taken: the words say so, and the person looks again.
import type { MessageInitShape } from "@bufbuild/protobuf";
import type { PeopleFound, ToClient, ToHubSchema } from "./gen/honbu/v1/hub_pb";
import type { Link } from "./link";

type Kind = NonNullable<MessageInitShape<typeof ToHubSchema>["kind"]>;
// A command without its number.
export type Asking = { [K in Kind as K["case"] & string]: { case: K["case"]; value: Omit<K["value"] & object, "request"> } }[Kind["case"] & string];
export interface Answer {
    done: boolean;
    words: string;
    found?: PeopleFound; // to FindPeople
}

export class Requests {
    private last = Math.floor(Math.random() * 2 ** 31); // another page's of this device are others
    private readonly open = new Map<number, (answer: Answer) => void>();

    constructor(private readonly link: () => Link) {}

    ask(what: Asking): Promise<Answer> {
        const request = this.last = (this.last % (2 ** 32 - 1)) + 1;
        return new Promise((answered) => {
            this.open.set(request, answered);
            const sent = this.link().send({ case: what.case, value: { ...what.value, request } } as Kind);
            if (!sent) this.settle(request, { done: false, words: "Not sent: the hub is not in reach. Try again when this page is live." });
        });
    }

    hear({ kind }: ToClient): void {
        if (kind.case === "done") this.settle(kind.value.request, { done: true, words: kind.value.words });
        if (kind.case === "peopleFound") this.settle(kind.value.request, { done: true, words: "", found: kind.value });
        if (kind.case === "refusal" && kind.value.request) this.settle(kind.value.request, { done: false, words: kind.value.words });
    }

    lineDown(): void {
        for (const request of [...this.open.keys()]) {
            this.settle(request, { done: false, words: "The line broke before the hub answered. Look whether it has happened." });
        }
    }

    private settle(request: number, answer: Answer): void {
        this.open.get(request)?.(answer);
        this.open.delete(request);
    }
}
