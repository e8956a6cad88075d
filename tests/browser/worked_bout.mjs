// A worked bout of tests/conformance, played by a person: the same file, through the real table page,
// and looked at on other pages. Format: tests/conformance/README.md.
import { readFile } from "node:fs/promises";

function instant(text) {
    const [minutes, seconds] = text.split(":");
    return Math.round((Number(minutes) * 60 + Number(seconds)) * 1000);
}

const sideless = { "sono-mama": "sono_mama", "sore-made": "sore_made" };
const sided = { "waza-ari": "waza_ari", "hansoku-make": "hansoku_make", "kiken-gachi": "kiken_gachi",
    "fusen-gachi": "fusen_gachi" };

// { rules, time, source, steps: [{ at, key } | { at, facts }] } in the order they are to be done.
export async function readBout(name) {
    const text = await readFile(new URL(`../conformance/${name}.scenario`, import.meta.url), "utf8");
    const bout = { name, steps: [] };
    let last = 0;
    for (const [number, raw] of text.split("\n").entries()) {
        if (raw.startsWith("# source:")) bout.source = raw.slice(10);
        const line = raw.replace(/(^|\s)#.*$/, "").trim();
        if (!line) continue;
        const words = line.split(/\s+/);
        if (words[0] === "rules" || words[0] === "time") {
            bout[words[0]] = words[1];
        } else if (words[0] === "=") {
            const [when, ...facts] = line.slice(2).split(/:\s+|,\s*/);
            const at = when === "end" ? undefined : instant(when.slice(3));
            bout.steps.push({ at, facts, line: number + 1 });
        } else {
            last = instant(words[0]);
            const key = words.length > 2 ? `${sided[words[1]] ?? words[1]}_${words[2]}` : (sideless[words[1]] ?? words[1]);
            bout.steps.push({ at: last, key, line: number + 1 });
        }
    }
    for (const step of bout.steps) step.at ??= last;
    // Within one instant: first what is called, then what is to be seen.
    bout.steps.sort((a, b) => a.at - b.at || ("facts" in a) - ("facts" in b) || a.line - b.line);
    bout.timeMs = instant(bout.time);
    return bout;
}

// Why a fact does not hold on a page; empty: it holds. `seen` as evening.mjs reads it. A clock that runs
// has moved on since the instant that is looked at: it is only asked to be on its way.
export function unmet(fact, seen, bout) {
    const words = fact.split(/\s+/);
    const standing = bout.standing;
    const shown = JSON.stringify(seen);
    const no = (ok) => (ok ? "" : `'${fact}' is not what the page shows: ${shown}`);
    switch (words[0]) {
        case "undecided": return no(seen.winners.length === 0 && !/wins|lose/.test(seen.words));
        case "winner":
            if (words[1] === "both") return no(seen.winners.length === 0 && /both lose/.test(seen.words));
            return no(seen.winners.length === 1 && seen.winners[0] === words[1]);
        case "way": return no(seen.words.includes(fact.slice(4)));
        case "clock": {
            if (!standing) return no(seen.clock !== undefined);
            const late = (seen.golden ? seen.clock.ms : bout.timeMs - seen.clock.ms) - instant(words[1]);
            return no(late >= 0 && late < 1000); // the second it shows is the right one
        }
        case "golden": return no(seen.golden);
        case "board": {
            const side = seen[words[1]];
            const [ippon, wazaAri, yuko, shido] = words.slice(2).map(Number);
            return no(side.ippon === ippon && side.waza_ari === wazaAri && side.yuko === yuko && side.shido === shido);
        }
        case "hold": return no(seen.hold !== undefined && seen.hold.ms >= Number(words[2]) * 1000);
        case "no": return no(seen.hold === undefined);
        case "time": // time up
        case "total": // no page shows the sum while a bout is on; the result says it in words
        case "running":
        case "standing":
            return "";
        default: return `the pages are not asked about '${fact}'`;
    }
}
