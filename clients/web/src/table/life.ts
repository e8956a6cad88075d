// One life of a table page: the engine, the store and the line, tied together.
//
// Order of every step: press, show, keep, send. The engine says what to keep and what to send; this
// file carries it there and tells the engine when it is done. It decides nothing about the bout.
import { create, fromBinary, fromJson, type JsonValue, toBinary } from "@bufbuild/protobuf";
import { computed, signal } from "@preact/signals";
import * as clock from "../clock";
import { type CallRef, type CallShown, Engine, fromHex, type Kept, type Shown } from "../engine";
import { frameAfter, frameAt } from "../frames";
import { type Allotment, AllotmentSchema, CallSchema, Joint_Source, MatViewSchema, Phase, Reason,
    type Refusal, Role, SubmitSchema, SubscribeSchema, TakeMatSchema, type ToClient, type Welcome } from "../gen/honbu/v1/hub_pb";
import { Link } from "../link";
import { signalsOf } from "../signals";
import * as sound from "../sound";
import { type KeptCall, type KeptRun, type KeptTable, newName, newSecret, Store, type Who, wordsOf } from "../store";
import { Asks } from "./asks";
import { fitting } from "./hand";
import { swapped } from "./swapped";

const retryMs = 2000;

export class TableLife {
    readonly shown = signal<Shown | undefined>(undefined);
    readonly mat = signal(0); // the mat this page is for; 0: not chosen
    readonly answer = signal(""); // why the last press changed nothing
    readonly question = signal(""); // another table holds the mat: the hub's words
    readonly asked = signal(false); // the mat has been asked for and the hub has not answered
    readonly notKept = signal(""); // this device doesn't keep calls, and why
    readonly slept = signal("");
    readonly otherJournal = signal<Welcome | undefined>(undefined); // not the one the kept calls were made for
    readonly view = computed(() => {
        const view = this.shown.value?.view;
        return view && fromJson(MatViewSchema, view as JsonValue, { ignoreUnknownFields: true });
    });
    readonly left = signal(false); // the mat is not this table's any more because it has left it
    readonly asks = new Asks((value) => this.link.send({ case: "answer", value }));
    readonly link: Link;

    waiting: Kept[] = []; // not yet in lasting storage
    private keeping = false;
    private next: ReturnType<typeof setTimeout> | undefined;
    private lastLook = clock.moment();
    private lastAgain = clock.moment();
    private mayForget = false; // a person has been told what else would be erased
    private seated = false; // the hub has given this connection its mat
    epoch = ""; // of the journal that what is kept here was made for
    private kept = 0; // calls of it
    private term = 0; // in which this table was given its mat last
    private told = 0; // when the hub was last told how the clocks meet, on the run's clock

    private constructor(
        readonly engine: Engine,
        readonly store: Store | undefined,
        readonly who: Who,
        readonly run: string,
        public hand: string, // who sits here, as recorded
        private keptTable: KeptTable | undefined,
    ) {
        this.link = new Link({
            hello: () => ({ role: Role.TABLE, ...who, run, foldVersion: engine.foldVersion(), hand: fitting(this.hand) }),
            onMessage: (message) => { this.asks.hear(message); this.hear(message); },
            onDown: () => this.change(() => engine.lineDown()),
            onClock: () => this.tellClock(),
        });
        if (keptTable) this.link.remember({ epoch: keptTable.epoch, number: keptTable.seen, hash: keptTable.hash ?? "" });
        setInterval(() => this.look(), 1000);
    }

    // Everything that is kept is back before the first press. A device that can't be read from or written
    // to is a table all the same: it says that it keeps nothing.
    static async begin(mat: number): Promise<TableLife> {
        const engine = await Engine.load("/honbu.wasm");
        const run = newName();
        let store: Store | undefined;
        let fault = "";
        let known = { hand: "", epoch: "", who: { device: newName(), token: newSecret() }, calls: [] as KeptCall[], runs: [] as KeptRun[],
            table: undefined as KeptTable | undefined };
        try {
            store = await Store.open();
            known = await store.everything(mat);
        } catch (error) {
            fault = wordsOf(error) || "this browser keeps nothing";
            store = undefined;
        }
        engine.open(run, known.hand);
        for (const call of known.calls) engine.restore(call.bytes, call.verdict);
        for (const earlier of known.runs) {
            clock.adoptRate(earlier.anchor);
            engine.earlierRun(earlier.run, clock.meet(earlier.anchor), Joint_Source.WALL_CLOCK);
        }
        const kept = known.table?.epoch === known.epoch ? known.table : undefined;
        const life = new TableLife(engine, store, known.who, run, known.hand, kept);
        life.notKept.value = fault;
        life.mat.value = mat;
        life.epoch = known.epoch;
        life.kept = known.calls.length;
        if (kept && kept.allotment.length > 0) {
            life.allot(fromBinary(AllotmentSchema, kept.allotment));
        }
        life.step();
        return life;
    }

    // Resolves when nothing waits for lasting storage any more, or can't get there.
    async settled(): Promise<void> {
        while (this.waiting.length > 0 && !this.notKept.peek()) await new Promise((done) => setTimeout(done, 20));
    }

    // ---- what the operator does ----------------------------------------------------------------------

    // `stamp`: when the key went down, in the browser's time.
    // Answers why not; empty: it was taken.
    press(key: string, stamp: number, call?: CallRef): string {
        return this.enter(() => this.engine.press(key, clock.runAt(stamp), call?.run, call?.number));
    }

    // Undo: strikes the newest call that still counts.
    undo(stamp: number): void {
        const last = this.lastStrikable();
        if (last) this.press("strike", stamp, last);
        else this.answer.value = (this.view.value?.frames.at(-1)?.phase ?? 0) < Phase.ANNOUNCED
            ? "There is nothing to undo in this bout." : "Kachi has been announced: open the bout again first.";
    }

    // A change of a call is taken back like a call; a strike in the list. Undo again goes one further back.
    lastStrikable(): CallShown | undefined {
        return this.shown.value?.calls.find((call) => call.correction !== "strike" && call.standing === "counts"
            && call.actions.some(({ id }) => id === "strike"));
    }

    callNext(stamp: number): void {
        this.enter(() => this.engine.next(clock.runAt(stamp)));
    }

    openBout(bout: number, stamp: number): void {
        this.enter(() => this.engine.openBout(bout, clock.runAt(stamp)));
    }

    private enter(what: () => string): string {
        sound.unlock();
        this.change(() => { this.answer.value = what(); });
        return this.answer.peek();
    }

    take(mat: number, takeOver: boolean): void {
        if (this.otherJournal.peek()) return; // what is kept here comes first
        sound.unlock();
        this.mat.value = mat;
        this.question.value = "";
        history.replaceState(null, "", `?mat=${mat}`);
        this.asked.value = this.askFor(mat, takeOver);
        if (!this.asked.value) this.answer.value = "The hub is not in reach. Try again when it is.";
    }

    private askFor(mat: number, takeOver: boolean, term = 0): boolean {
        return this.link.send({ case: "takeMat", value: create(TakeMatSchema, { mat, takeOver, hand: this.hand, term }) });
    }

    // Why not, or empty: done. Calls of another journal that never reached its hub need a second yes.
    async clearKept(): Promise<string> {
        const { here, elsewhere } = (await this.store?.unanswered(this.epoch)) ?? { here: 0, elsewhere: 0 };
        if (here > 0) return `${here} calls have not reached the hub yet. They stay until they have.`;
        if (elsewhere > 0 && !this.mayForget) {
            this.mayForget = true;
            return `${elsewhere} calls of an earlier competition or rehearsal never reached its hub. Press again to erase them too.`;
        }
        await this.store?.clear();
        location.reload();
        return "";
    }

    swap(): void {
        swapped.value = !swapped.value;
        void this.store?.setWord("swap", swapped.value ? "yes" : "").catch(() => undefined);
    }

    async wasSwapped(): Promise<boolean> {
        return (await this.store?.word("swap")) === "yes";
    }

    // Recorded from the next taking of a mat on.
    async setHand(hand: string): Promise<void> {
        this.hand = fitting(hand);
        await this.store?.setWord("hand", this.hand).catch(() => undefined);
    }

    // ---- what the hub says ---------------------------------------------------------------------------

    private hear({ kind }: ToClient): void {
        switch (kind.case) {
            case "welcome": this.onWelcome(kind.value); break;
            case "allotment": this.onAllotment(kind.value); break;
            case "verdict": {
                const { call, kind: verdict, stateDiffers } = kind.value;
                if (!call) break;
                this.change(() => this.engine.verdict(call.run, call.number, verdict, stateDiffers));
                void this.store?.setVerdict(call.run, call.number, verdict).catch(() => undefined);
                break;
            }
            case "refusal": this.onRefusal(kind.value); break;
            case "matLost":
                if (kind.value.mat === this.mat.peek()) this.onLost(kind.value.words, kind.value.left);
                break;
            default: break;
        }
    }

    // The journal that this one goes on from is the same competition: what is kept here goes along. Of
    // any other one a person says; until then this table goes on alone, and nothing kept here reaches
    // the hub.
    private onWelcome(welcome: Welcome): void {
        this.seated = false;
        this.otherJournal.value = undefined;
        if (welcome.epoch === this.epoch) return this.lineUp(welcome);
        if (this.kept > 0) {
            if (welcome.earlierEpochs.includes(this.epoch)) void this.carryOver(welcome);
            else this.otherJournal.value = welcome;
            return undefined;
        }
        this.epoch = welcome.epoch;
        this.store?.setWord("epoch", welcome.epoch).catch((error: unknown) => this.cannotKeep(error));
        return this.lineUp(welcome);
    }

    // The person's answer. Without them: they stay on this device, out of the way.
    async settleJournal(carryOver: boolean): Promise<void> {
        const welcome = this.otherJournal.peek();
        if (!welcome) return;
        if (carryOver) return this.carryOver(welcome);
        try {
            await this.store?.setWord("epoch", welcome.epoch);
        } catch (error) {
            this.cannotKeep(error);
            return;
        }
        location.reload();
    }

    private async carryOver(welcome: Welcome): Promise<void> {
        try {
            await this.store?.carryOver(this.epoch, welcome.epoch);
        } catch (error) {
            this.cannotKeep(error);
            return;
        }
        this.epoch = welcome.epoch;
        this.otherJournal.value = undefined;
        this.lineUp(welcome);
    }

    // What is kept goes out first, under the term it was made in. Then this table asks for its mat
    // again, which raises no term while it still has it.
    private lineUp({ runs }: Welcome): void {
        this.store?.forgetAnswers(this.epoch, runs).catch((error: unknown) => this.cannotKeep(error));
        this.change(() => this.engine.welcome(runs));
        const inCharge = this.shown.peek()?.charge === "in_charge";
        if (inCharge) this.askFor(this.mat.peek(), false, this.term);
        else this.link.send({ case: "subscribe", value: create(SubscribeSchema, { allMats: true }) });
    }

    private onAllotment(allotment: Allotment): void {
        if (allotment.mat !== this.mat.peek()) return; // of a mat this device has left
        this.seated = true;
        this.asked.value = false;
        this.question.value = "";
        this.link.send({ case: "subscribe", value: create(SubscribeSchema, {}) });
        this.keepTable(toBinary(AllotmentSchema, allotment));
        this.change(() => {
            for (const { run, runMs, hubMs } of allotment.clocks) {
                this.engine.earlierRun(run, clock.meetByHub(runMs, hubMs), Joint_Source.HUB_CLOCK);
            }
            this.allot(allotment);
        });
    }

    private allot(allotment: Allotment): void {
        this.term = allotment.term;
        this.engine.allot(allotment, clock.runNow());
    }

    private onLost(words: string, left = false): void {
        [this.left.value, this.asked.value] = [left, false];
        this.change(() => this.engine.matLost(words));
        this.keepTable(new Uint8Array());
    }

    private onRefusal({ reason, words, call }: Refusal): void {
        this.asked.value = false;
        if (reason === Reason.MAT_HELD) {
            this.question.value = words;
            if (this.shown.peek()?.charge === "in_charge") this.onLost(words); // taken while the line was down
            return;
        }
        this.change(() => this.engine.refused(call?.run ?? "", call?.number ?? 0, words));
    }

    private tellClock(): void {
        const both = clock.bothNow();
        if (!both || (this.told > 0 && both.run - this.told < 10_000)) return;
        const value = { run: this.run, runMs: both.run, hubMs: both.hub, roundTripMs: both.trip };
        if (this.link.send({ case: "runClock", value })) this.told = both.run;
    }

    // ---- carrying ------------------------------------------------------------------------------------

    private change(what: () => void): void {
        what();
        this.step();
    }

    // After everything that may have changed something: keep, send, show.
    private step(): void {
        const { save, send } = this.engine.doing();
        if (save.length > 0) {
            this.waiting.push(...save);
            void this.keepWaiting();
        }
        for (const call of send) {
            const wire = fromJson(CallSchema, call as JsonValue);
            this.link.send({ case: "submit", value: create(SubmitSchema, { call: wire }) });
        }
        this.refresh();
    }

    // Shows, and again when the next thing comes by itself.
    refresh(): void {
        const now = clock.runNow();
        const shown = this.engine.show(now);
        const before = this.view.peek();
        this.shown.value = { ...shown, calls: shown.calls.toReversed() };
        const view = this.view.value;
        clearTimeout(this.next);
        if (!view) return;
        const coming = frameAfter(view, now);
        if (coming) this.next = setTimeout(() => this.refresh(), clock.realUntilRun(coming.from) + 1);
        const same = before?.bout?.bout === view.bout?.bout ? before : undefined;
        sound.announce(signalsOf(view, same && frameAt(same, now)).map((signal) =>
            ({ ...signal, inSeconds: clock.realUntilRun(signal.from) / 1000 })), this.mat.peek());
    }

    private async keepWaiting(): Promise<void> {
        if (this.keeping) return;
        this.keeping = true;
        while (this.waiting.length > 0) {
            const now = [...this.waiting]; // more may come while these are written
            try {
                if (!this.store) throw new Error(this.notKept.peek() || "this browser keeps nothing");
                await this.store.keep(
                    now.map(({ run, number, bytes }) =>
                        ({ run, number, bytes: fromHex(bytes), verdict: 0, epoch: this.epoch })),
                    { run: this.run, anchor: clock.anchorNow() });
            } catch (error) {
                this.cannotKeep(error);
                // The hub keeps them instead, as long as there is a line.
                this.change(() => {
                    for (const { run, number } of now) this.engine.saved(run, number);
                });
                await new Promise((done) => setTimeout(done, retryMs));
                continue;
            }
            this.notKept.value = "";
            this.waiting = this.waiting.slice(now.length);
            this.kept += now.length;
            this.change(() => {
                for (const { run, number } of now) this.engine.saved(run, number);
            });
        }
        this.keeping = false;
    }

    private keepTable(allotment: Uint8Array): void {
        const { number: seen, hash } = this.link.position();
        this.keptTable = { mat: this.mat.peek(), allotment, epoch: this.epoch, seen, hash };
        this.store?.setTable(this.keptTable).catch((error: unknown) => this.cannotKeep(error));
    }

    private cannotKeep(error: unknown): void {
        this.notKept.value = wordsOf(error);
    }

    // Once a second: what the hub could not take goes out again, this run's clock is tied to the wall clock
    // while it has calls, and a machine that has slept says so.
    private look(): void {
        const asleep = clock.sleptSince(this.lastLook);
        this.lastLook = clock.moment();
        if (this.link.live.peek() && clock.realSince(this.lastAgain) > retryMs) {
            this.lastAgain = clock.moment();
            this.change(() => this.engine.again());
            const unseated = !this.seated && !this.otherJournal.peek() && !this.question.peek();
            if (unseated && this.shown.peek()?.charge === "in_charge") this.askFor(this.mat.peek(), false, this.term);
        }
        if ((this.shown.peek()?.offers.length ?? 0) > 0) this.refresh(); // they say how long ago
        if (asleep > 0) {
            this.slept.value = `This device slept for ${Math.round(asleep / 1000)} seconds. The clocks stood still meanwhile: check them with the referee.`;
        }
        if ((this.shown.peek()?.calls.length ?? 0) > 0) {
            void this.store?.setRun({ run: this.run, anchor: clock.anchorNow() }).catch(() => undefined);
        }
    }
}
