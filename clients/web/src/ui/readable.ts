// A line on every page of the hall's entrance that came without encryption: what does not work then, all day.
//
// Browsers give a page that came so no service worker and no wake lock (W3C Secure Contexts; this machine's own
// address counts as secure). The crowd's entrance is plain on purpose and carries no secrets: no line there. It is
// known by having no table, and asked for it until it answers; pages that only the hall has say it at once. The line has a place of its own above the page and covers nothing of it.
const words = "NOT ENCRYPTED: anyone in this network can read and change what is sent. Without the hub this page can't load again, "
    + "and the screen may go dark.";

const onlyTheHalls = /^\/(table|desk|setup)(\.html)?$/;
const askAgainMs = 5_000;

async function isTheHalls(): Promise<boolean> {
    while (!onlyTheHalls.test(location.pathname)) {
        const table = await fetch("/table.html", { method: "HEAD" }).catch(() => undefined);
        if (table?.ok) break;
        if (table?.status === 404) return false;
        await new Promise((next) => setTimeout(next, askAgainMs));
    }
    return true;
}

export async function sayIfReadable(): Promise<void> {
    if (window.isSecureContext || document.getElementById("readable")) return;
    if (!(await isTheHalls()) || document.getElementById("readable")) return;
    const line = document.createElement("p");
    line.id = "readable";
    line.setAttribute("role", "note");
    line.textContent = words;
    document.body.prepend(line);
    document.documentElement.classList.add("is-readable");
}
