// One table page for each browser: two would share the kept calls and the device's name.
//
// A page that opens asks whether another is open; the person decides which goes on.
import { signal } from "@preact/signals";

type Word = { says: "is anyone here" | "here" | "give way" | "gone"; mat: number };

export class OnlyOne {
    readonly other = signal<number | undefined>(undefined); // another page has the table, for this mat
    readonly gaveWay = signal(false);
    private readonly channel = new BroadcastChannel("honbu-table");
    private gone: (() => void) | undefined;

    // `settle`: resolves when everything of this page is in lasting storage.
    constructor(private readonly mat: () => number, private readonly settle: () => Promise<void>) {
        this.channel.onmessage = ({ data: word }: MessageEvent<Word>) => {
            if (this.gaveWay.peek()) return;
            if (word.says === "is anyone here") this.say("here");
            if (word.says === "here") this.other.value = word.mat;
            if (word.says === "give way") {
                this.gaveWay.value = true;
                void this.settle().then(() => this.say("gone"));
            }
            if (word.says === "gone") this.gone?.();
        };
    }

    // Resolves once another page has had time to answer.
    async ask(): Promise<void> {
        this.say("is anyone here");
        await new Promise((done) => setTimeout(done, 150));
    }

    // Resolves when the other page has let go, so that all of its calls are found in the store.
    async takeItHere(): Promise<void> {
        const gone = new Promise<void>((done) => { this.gone = done; });
        this.say("give way");
        await Promise.race([gone, new Promise((done) => setTimeout(done, 2000))]);
        this.other.value = undefined;
    }

    private say(says: Word["says"]): void {
        this.channel.postMessage({ says, mat: this.mat() } satisfies Word);
    }
}
