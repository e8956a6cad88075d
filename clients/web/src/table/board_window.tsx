// The mat's own board: a second window of the same laptop, drawn by the table page itself.
//
// Needs no hub and no network: the window is empty and its styles are copied from this page's. It
// shows the engine's view on the run's clock. When the table page goes, the board says so.
import { render } from "preact";
import { rehearsalWords, runNow } from "../clock";
import { Board } from "../ui/board";
import { listenTo, type Presses } from "./keyboard";
import type { TableLife } from "./life";
import { swapped } from "./swapped";

function copyStyles(screen: Window & typeof globalThis): void {
    const text = Array.from(document.styleSheets).flatMap((sheet) =>
        Array.from(sheet.cssRules, (rule) => rule.cssText)).join("\n");
    const sheet = new screen.CSSStyleSheet();
    sheet.replaceSync(text);
    screen.document.adoptedStyleSheets = [sheet];
}

const lostWords = "Not live: another table has taken this mat.";

let open: (Window & typeof globalThis) | undefined;

function OwnBoard({ life }: { life: TableLife }) {
    return <Board mat={life.mat.value} view={life.view.value} now={runNow} swap={swapped.value}
        title={life.link.welcome.value?.title ?? ""} rehearsal={rehearsalWords.value} stale={life.shown.value?.charge === "lost" ? lostWords : ""} distance="" />;
}

// False: the browser didn't allow a window.
export function openBoard(life: TableLife, presses: Presses): boolean {
    if (open && !open.closed) {
        open.focus();
        return true;
    }
    const screen = window.open("", "honbu-mat-board", "popup,width=1280,height=720") as typeof open | null;
    if (!screen) return false;
    open = screen;
    copyStyles(screen);
    screen.document.documentElement.lang = "en";
    screen.document.title = `Mat ${life.mat.value} – board of this table`;
    const place = screen.document.createElement("div");
    screen.document.body.replaceChildren(place);
    render(<OwnBoard life={life} />, place);
    const deaf = listenTo(screen, presses);
    screen.addEventListener("pagehide", () => {
        deaf();
        render(null, place);
        if (open === screen) open = undefined;
    });
    window.addEventListener("pagehide", () => leave(screen));
    return true;
}

// The script that draws the board ends with its page: what stays on the screen must not look alive.
function leave(screen: Window): void {
    if (screen.closed) return;
    const board = screen.document.querySelector(".board");
    const words = screen.document.createElement("p");
    words.className = "stale";
    words.textContent = "Not live: the table page was closed. This picture is old.";
    board?.setAttribute("data-stale", "true");
    board?.querySelector(".board-top")?.nextElementSibling?.replaceWith(words);
}
