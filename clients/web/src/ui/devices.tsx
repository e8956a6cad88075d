// Who waits at the door and who is inside, for the desk and the set-up: let in, move, shut out.
import { signal } from "@preact/signals";
import { type Door_Inside, type Door_Waiting, Right, Role } from "../gen/honbu/v1/hub_pb";
import { hubNow } from "../clock";
import type { Link } from "../link";
import type { Requests } from "../requests";
import { inThrees, pointedAt } from "./at_door";

const answer = signal("");
const shutting = signal<{ device: string; reason: string } | undefined>(undefined);
const moving = signal("");
const sure = signal(""); // the code of a device that is to be a desk or a set-up: once more

function rightOf(role: Role): Right {
    return { [Role.TABLE]: Right.TABLE, [Role.DESK]: Right.DESK, [Role.SET_UP]: Right.SET_UP,
        [Role.BOARD]: Right.DISPLAY, [Role.HALL]: Right.DISPLAY, [Role.NONE]: Right.NONE }[role];
}

function rightWords(right: Right, mat = 0): string {
    return { [Right.NONE]: "nothing", [Right.TABLE]: mat ? `table of mat ${mat}` : "a table", [Right.DESK]: "desk", [Right.SET_UP]: "set-up",
        [Right.DISPLAY]: "screen of the hall" }[right];
}

export function Devices({ link, requests, me }: { link: Link; requests: Requests; me: string }) {
    const door = link.inside.value;
    const mats = link.welcome.value?.mats ?? [];
    if (!door || door.anyone) return null;
    const ask = async (what: Parameters<Requests["ask"]>[0]) => {
        answer.value = (await requests.ask(what)).words;
    };
    const letIn = (device: string, code: string, right: Right, mat: number) =>
        void ask({ case: "letIn", value: { device, code, right, mat } });
    return (
        <section class="devices" aria-labelledby="devices" data-testid="devices">
            <h2 id="devices">Devices <span class="count">{door.inside.length}</span></h2>
            {answer.value && <p role="status" data-testid="door-answer">{answer.value}</p>}
            {door.waiting.length > 0 && <p>Let a device in only if you see the same code on its own screen.</p>}
            {pointedAt && !door.waiting.some((one) => one.code === pointedAt) && <p role="status">No device at the door shows {inThrees(pointedAt)} now.</p>}
            {door.waiting.map((one) => <Waiting key={one.device + one.role} one={one} mats={mats} letIn={letIn} />)}
            <ul class="inside">
                {door.inside.map((one) => <Inside key={one.device + one.right} one={one} mats={mats} me={me} ask={ask} />)}
            </ul>
        </section>
    );
}

function Waiting({ one, mats, letIn }: { one: Door_Waiting; mats: readonly number[];
    letIn: (device: string, code: string, right: Right, mat: number) => void }) {
    const right = rightOf(one.role);
    return (
        <article class="waiting" data-testid="waiting" data-pointed={pointedAt === one.code}>
            <p><b class="waiting-code">{inThrees(one.code)}</b> wants to be {right === Right.TABLE ? "a table" : `a ${rightWords(right)}`}
                {one.hand && <>, says it is “<bdi>{one.hand}</bdi>”</>}.{one.shutOut && <b> It was shut out before.</b>}</p>
            <p class="waiting-mats">
                {right === Right.TABLE && <span>Let it in for</span>}
                {right === Right.TABLE ? mats.map((mat) => <button key={mat} type="button" data-testid={`let-in-${mat}`}
                    onClick={() => letIn(one.device, one.code, right, mat)}>Mat {mat}</button>)
                : right === Right.DISPLAY || sure.value === one.code
                    ? <button type="button" data-testid="let-in" onClick={() => letIn(one.device, one.code, right, 0)}>{right === Right.DISPLAY ? "Let in" : `Yes, ${inThrees(one.code)} is a ${rightWords(right)}`}</button>
                    : <button type="button" data-testid="make" onClick={() => { sure.value = one.code; }}>Make it a {rightWords(right)}</button>}</p>
        </article>
    );
}

function Inside({ one, mats, me, ask }: { one: Door_Inside; mats: readonly number[]; me: string; ask: (what: Parameters<Requests["ask"]>[0]) => Promise<void> }) {
    const mine = shutting.value?.device === one.device ? shutting.value : undefined;
    const left = Math.max(0, one.until - (hubNow() ?? 0)) / 3_600_000;
    return (
        <li data-testid="inside" data-device={one.device}>
            <span><b>{rightWords(one.right, one.mat)}</b>{one.hand && <>, <bdi>{one.hand}</bdi></>} <small>{one.device === me ? "this device" : one.device.slice(0, 4)} · {one.connected > 0 ? "connected" : "away"}
                {left < 12 && (left > 0 ? ` · ${Math.ceil(left)} h left` : " · time over")}</small></span>
            {one.right === Right.TABLE && mats.length > 1 && <button type="button" data-testid="move"
                onClick={() => { moving.value = moving.value === one.device ? "" : one.device; }}>Other mat</button>}
            {one.device !== me && <button type="button" data-testid="shut-out" onClick={() => { shutting.value = { device: one.device, reason: "" }; }}>Shut out</button>}
            {moving.value === one.device && one.right === Right.TABLE && <p class="waiting-mats">{mats.filter((mat) => mat !== one.mat).map((mat) =>
                <button key={mat} type="button" data-testid={`move-${mat}`} onClick={() => {
                    moving.value = "";
                    void ask({ case: "letIn", value: { device: one.device, code: "", right: Right.TABLE, mat } });
                }}>Mat {mat}</button>)}</p>}
            {mine && <form class="shutting" onSubmit={(event) => {
                event.preventDefault();
                shutting.value = undefined;
                void ask({ case: "shutOut", value: mine });
            }}>
                <label>Why? It goes on record. The device is disconnected at once; what it has not sent is set aside.
                    <input value={mine.reason} maxLength={100} required data-testid="reason"
                        onInput={(event) => { shutting.value = { ...mine, reason: event.currentTarget.value }; }} /></label>
                <button type="submit" data-testid="shut-out-now">Shut it out</button>
                <button type="button" onClick={() => { shutting.value = undefined; }}>Leave it</button>
            </form>}
        </li>
    );
}
