// The line to the hub: one WebSocket that comes back by itself, and what was heard over it.
//
// Promises: `live` is true only while the hub is heard; a view never goes back within an epoch; the
// results stream goes on from the last number seen, without a gap. What was shown stays readable
// after the line is gone, and the hub's clock stands still for it. Knows no judo.
import { create, fromBinary, type MessageInitShape, toBinary } from "@bufbuild/protobuf";
import { batch, signal } from "@preact/signals";
import * as clock from "./clock";
import { type AtTheDoor, type Door, HelloSchema, type MatView, Reason, type SetAside, SubscribeSchema, TableLine, type Tables, type ToClient, ToClientSchema, ToHubSchema,
    type Welcome } from "./gen/honbu/v1/hub_pb";
import { plainTexts } from "./plain_text";
import { Results } from "./results";

export const schema = 2;
const subprotocol = "honbu.v1.proto";
const beatMs = 2000;
const silentMs = 5000; // then what is shown may be old
const deadMs = 9000; // then this connection is given up
const backoffMs = { min: 300, max: 5000 };
const asksAtOnce = 5;

// The last record this page has seen of a journal; `hash` is empty where only its number was heard.
export interface Position {
    epoch: string;
    number: number;
    hash: string;
}

export interface MatHeard {
    view: MatView;
    connection: number; // on which it was heard
}

type Hello = MessageInitShape<typeof HelloSchema>;
type Kind = NonNullable<MessageInitShape<typeof ToHubSchema>["kind"]>;

export interface LinkWish {
    hello: () => Hello;
    subscribe?: MessageInitShape<typeof SubscribeSchema>;
    onMessage?: (message: ToClient) => void; // after the line has read it
    onDown?: () => void;
    onClock?: () => void; // the hub's clock is known better than before
}

export class Link {
    readonly live = signal(false);
    readonly welcome = signal<Welcome | undefined>(undefined);
    readonly silence = signal(0); // whole seconds since the hub was last heard
    readonly mats = signal<ReadonlyMap<number, MatHeard>>(new Map());
    readonly results = new Results();
    readonly goodbye = signal(""); // why the hub sent us away for good
    readonly mayAsk = signal(false); // it was for want of a right: a person here may ask to be let in again
    readonly away = signal(""); // why the hub sent us away for now; until it welcomes us again
    readonly tables = signal<Tables | undefined>(undefined); // a desk that follows them
    readonly heard = signal(false); // there is a line on which the hub was heard
    readonly door = signal<AtTheDoor | undefined>(undefined); // the hub lets this page wait at the door
    readonly inside = signal<Door | undefined>(undefined); // who else waits there: a desk that follows it
    readonly aside = signal<SetAside | undefined>(undefined); // calls that wait for a decision: a desk that follows them
    readonly trouble = signal(""); // the hub's records are not all that this page has seen

    private socket: WebSocket | undefined;
    private connection = 0;
    private welcomed = false; // on this connection
    private waits = false; // at the door, on this connection
    private tries = 0;
    private opened = clock.moment();
    private heardAt = clock.moment();
    private spoke = clock.moment();
    private retry: ReturnType<typeof setTimeout> | undefined;
    private readonly stood = new Map<number, number>(); // the hub's time each mat was last drawn at
    private seen: Position = { epoch: "", number: 0, hash: "" };

    constructor(private readonly wish: LinkWish) {
        setInterval(() => this.look(), 500);
        window.addEventListener("online", () => this.retryNow());
        document.addEventListener("visibilitychange", () => {
            this.look();
            if (!document.hidden) this.retryNow();
        });
        this.open();
    }

    // Is what is known of this mat from the line as it is now?
    isFresh(mat: number): boolean {
        return this.live.value && this.mats.value.get(mat)?.connection === this.connection;
    }

    // The hub's time for drawing this mat. It stands still while what is known may be old: without a
    // line, before the first word on a new one, and while the mat's table is out of the hub's reach.
    now(mat: number): number {
        const heard = this.mats.peek().get(mat);
        const fresh = this.live.peek() && heard?.connection === this.connection
            && heard.view.table !== TableLine.ALONE;
        if (fresh || !this.stood.has(mat)) this.stood.set(mat, clock.hubNow() ?? 0);
        return this.stood.get(mat) ?? 0;
    }

    // False: there is no line. Nothing is queued here; who sends keeps.
    send(kind: Kind): boolean {
        if (this.socket?.readyState !== WebSocket.OPEN) return false;
        this.socket.send(toBinary(ToHubSchema, create(ToHubSchema, { kind })) as Uint8Array<ArrayBuffer>);
        this.spoke = clock.moment();
        return true;
    }

    // The position to name in the next hello, from before this page began.
    remember(position: Position): void {
        this.seen = position;
    }

    position(): Position {
        return this.seen;
    }

    private saw(number: number, hash = ""): void {
        const { epoch } = this.seen;
        if (number > this.seen.number || (number === this.seen.number && hash)) this.seen = { epoch, number, hash };
    }

    // For good: this page gives its place to another.
    close(): void {
        this.goodbye.value = "closed";
        this.lost();
    }

    private open(): void {
        this.retry = undefined;
        this.connection += 1;
        this.welcomed = false;
        this.waits = false;
        this.opened = clock.moment();
        const scheme = location.protocol === "https:" ? "wss:" : "ws:";
        const socket = new WebSocket(`${scheme}//${location.host}/ws`, subprotocol);
        socket.binaryType = "arraybuffer";
        this.socket = socket;
        socket.onopen = () => {
            if (socket !== this.socket) return;
            this.send({ case: "hello", value: create(HelloSchema, {
                schema, ...this.wish.hello(),
                seenEpoch: this.seen.epoch, seenNumber: this.seen.number, seenHash: this.seen.hash }) });
        };
        socket.onmessage = (event) => {
            if (socket === this.socket) this.take(event.data);
        };
        socket.onclose = () => {
            if (socket === this.socket) this.lost();
        };
    }

    private lost(): void {
        const socket = this.socket;
        this.socket = undefined;
        socket?.close();
        this.live.value = false;
        this.heard.value = false;
        this.wish.onDown?.();
        if (this.goodbye.peek()) return;
        const most = Math.min(backoffMs.max, backoffMs.min * 2 ** this.tries);
        this.tries += 1;
        const wait = backoffMs.min + Math.random() * (most - backoffMs.min);
        this.retry = setTimeout(() => this.open(), wait);
    }

    private retryNow(): void {
        if (this.retry === undefined) return;
        clearTimeout(this.retry);
        this.open();
    }

    // Also called whenever something is heard: a hidden page's timers are slowed down.
    private look(): void {
        const silent = clock.realSince(this.heardAt);
        if (this.live.peek() && silent > silentMs) this.live.value = false;
        if (!this.live.peek()) this.silence.value = Math.floor(silent / 1000);
        if (this.socket && Math.min(silent, clock.realSince(this.opened)) > deadMs) {
            this.lost();
            return;
        }
        if ((this.live.peek() || this.waits) && clock.realSince(this.spoke) > beatMs - 250) {
            this.send({ case: "heartbeat", value: {} });
            this.ask();
        }
    }

    private ask(): void {
        if (this.welcomed) this.send({ case: "clockAsk", value: { sent: clock.askNow() } });
    }

    private take(bytes: unknown): void {
        if (!(bytes instanceof ArrayBuffer)) return;
        let message: ToClient;
        try {
            message = plainTexts(fromBinary(ToClientSchema, new Uint8Array(bytes)));
        } catch {
            this.lost(); // come back for a snapshot
            return;
        }
        this.heardAt = clock.moment();
        batch(() => {
            this.heard.value = true;
            this.read(message);
            if (this.welcomed) this.live.value = true;
        });
        this.wish.onMessage?.(message);
        this.look();
    }

    private read({ kind }: ToClient): void {
        switch (kind.case) {
            case "welcome": this.onWelcome(kind.value); break;
            case "clockAnswer":
                clock.answered(kind.value.sent, kind.value.hubMs);
                this.wish.onClock?.();
                break;
            case "mat": this.onMat(kind.value); break;
            case "finished":
                this.saw(kind.value.number);
                this.results.finished(kind.value);
                break;
            case "reopened":
                this.saw(kind.value.number);
                this.results.reopened(kind.value);
                break;
            case "renamed":
                this.saw(kind.value.number);
                this.results.renamed(kind.value);
                break;
            case "tables": this.tables.value = kind.value; break;
            case "door": this.inside.value = kind.value; break;
            case "setAside": this.aside.value = kind.value; break;
            case "atTheDoor":
                this.waits = true;
                this.tries = 0;
                this.door.value = kind.value;
                break;
            case "verdict": this.saw(kind.value.record); break;
            case "goodbye":
                this.mayAsk.value = kind.value.reason === Reason.SHUT_OUT || kind.value.reason === Reason.NOT_LET_IN;
                if (kind.value.comeBack) this.away.value = kind.value.words;
                else this.goodbye.value = kind.value.words || Reason[kind.value.reason];
                break;
            default: break;
        }
    }

    private onWelcome(welcome: Welcome): void {
        this.welcomed = true;
        this.away.value = "";
        this.waits = false;
        this.door.value = undefined;
        this.tries = 0;
        const { epoch, number } = this.seen;
        this.trouble.value = welcome.missing > 0
            ? `The hub has lost records: ${welcome.missing} that this page has seen, up to number ${number}, are not there. Tell the head table.`
            : welcome.differs ? `The hub's record ${number} is another one than this page has seen. Tell the head table.` : "";
        // Of another journal, or of what is not in this one any more, nothing that is shown can be compared.
        if (welcome.epoch !== epoch || this.trouble.peek()) {
            this.mats.value = new Map();
            this.results.forget();
        }
        if (welcome.epoch !== epoch) this.seen = { epoch: welcome.epoch, number: 0, hash: "" };
        this.saw(welcome.number, welcome.hash);
        clock.setRate(welcome.rehearsalRate);
        clock.forgetHub(welcome.hubMs);
        this.welcome.value = welcome;
        if (this.wish.subscribe) {
            this.send({ case: "subscribe", value: create(SubscribeSchema, {
                ...this.wish.subscribe, resultsAfter: this.results.last }) });
        }
        for (let i = 0; i < asksAtOnce; i++) setTimeout(() => this.ask(), i * 150);
    }

    private onMat(view: MatView): void {
        const shown = this.mats.peek().get(view.mat);
        if (shown && view.number < shown.view.number) return;
        this.saw(view.number);
        this.mats.value = new Map(this.mats.peek()).set(view.mat, { view, connection: this.connection });
    }
}
