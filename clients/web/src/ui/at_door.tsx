// What a page shows while the hub lets it wait at the door: the code by which a person knows it.
import qrcode from "qrcode-generator";
import { signal } from "@preact/signals";
import type { Link } from "../link";

const onlyHere = ["localhost", "127.0.0.1", "[::1]"].includes(location.hostname); // no other device gets there
const typed = signal("");
const refused = signal("");

export function inThrees(code: string): string {
    return code.replace(/(...)(?=.)/g, "$1 ");
}

// The code that the hub's terminal shows may come with the address, behind the #: that part is never sent.
function fromAddress(name: string): string {
    return new URLSearchParams(location.hash.slice(1)).get(name) ?? "";
}
export const pointedAt = fromAddress("in"); // a code at the door that was scanned
let codeOfAddress = fromAddress("code");
if (codeOfAddress) history.replaceState(null, "", location.pathname + location.search);

function useCode(link: Link, code: string): void {
    const sent = link.send({ case: "useCode", value: { code } });
    refused.value = sent ? "" : "Not sent: the hub is not in reach. Try again in a moment.";
}

// Call once for a page that may become the first desk.
export function takesCodes(link: Link): void {
    link.door.subscribe((door) => {
        if (!door?.takesCode || !codeOfAddress) return;
        useCode(link, codeOfAddress);
        codeOfAddress = "";
    });
}
export function codeRefused(words: string): void {
    refused.value = words;
}

export function AtTheDoor({ link, as }: { link: Link; as: string }) {
    const door = link.door.value;
    if (!door) return null;
    if (pointedAt) {
        link.close();
        return <main class="door"><h1>Open this on a desk</h1><p>The square that was scanned is for a device that is a desk already. This one is not, and nothing has happened.</p>
            <p><a href="/">All pages</a></p></main>;
    }
    return (
        <main class="door" data-testid="at-the-door">
            <h1>Not let in yet</h1>
            {!link.heard.value && <p role="status">The hub is not in reach. It is asked again as soon as it is.</p>}
            {door.takesCode && <form onSubmit={(event) => { event.preventDefault(); useCode(link, typed.value); }}>
                <label>The first desk: type the code that the hub shows on its own machine.
                    <input value={typed.value} autoComplete="off" autoCapitalize="characters" spellcheck={false} data-testid="terminal-code"
                        onInput={(event) => { typed.value = event.currentTarget.value; }} /></label>
                <button type="submit" class="main" data-testid="use-code">Make this the desk</button>
            </form>}
            {refused.value && <p role="alert" class="door-refused" data-testid="refused">{refused.value}</p>}
            <p>This device asks to be {as}. Somebody at {door.takesCode ? "another" : "the"} desk looks for this code and lets it in:</p>
            {link.heard.value && <div class="door-shown">
                <p class="door-code" data-testid="door-code">{inThrees(door.code)}</p>
                {!onlyHere && <Scan text={`${location.origin}/desk#in=${door.code}`} />}
            </div>}
            <p>{!onlyHere && "A phone or tablet that is a desk can scan the square instead. "}Nothing else is needed here; the page goes on by itself.</p>
        </main>
    );
}

// As one path, so that it stays sharp at any size. Four modules of quiet zone (ISO/IEC 18004, from memory).
function Scan({ text }: { text: string }) {
    const code = qrcode(0, "M");
    code.addData(text);
    code.make();
    const size = code.getModuleCount();
    let path = "";
    for (let row = 0; row < size; ++row) {
        for (let column = 0; column < size; ++column) {
            if (code.isDark(row, column)) path += `M${column + 4},${row + 4}h1v1h-1z`;
        }
    }
    return <svg class="door-scan" viewBox={`0 0 ${size + 8} ${size + 8}`} role="img" aria-label="The same code, to be scanned">
        <rect width="100%" height="100%" fill="#fff" /><path d={path} fill="#000" /></svg>;
}
