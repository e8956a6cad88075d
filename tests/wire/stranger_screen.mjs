// A screen without any rule of judo: views, results, call list, sheets. Written from docs/protocol.md
// (sections 5 and 6) and proto/ alone. What it shows is texts, so that a test can read them.

// "The frame that holds = the last one whose `from` is not later than hub time now; if there is none yet, the first."
export function frameAt(view, now) {
    let holds = view.frames[0];
    for (const frame of view.frames) if (frame.from <= now) holds = frame;
    return holds;
}

export function nextFrom(view, now) {
    return view.frames.map((frame) => frame.from).filter((from) => from > now).sort((a, b) => a - b)[0];
}

const mss = (seconds) => `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
const up = (ms) => mss(Math.ceil(Math.max(0, ms) / 1000));
const down = (ms) => mss(Math.floor(Math.max(0, ms) / 1000));

// The table of clocks of section 6. `gone` of each row is that row's own: a hold runs by `hold.running`.
export function clockTexts(frame, now) {
    const since = Math.max(0, now - frame.from);
    const gone = (part) => (part.running ? since : 0);
    const texts = {};
    const { clock, hold, pastHold, absence } = frame;
    if (clock) texts.contest = clock.down ? up(clock.ms - gone(clock)) : down(clock.ms + gone(clock));
    if (hold) texts.hold = down(hold.ms + gone(hold));
    if (pastHold) texts.pastHold = down(pastHold.ms);
    if (absence) texts.missing = up(absence.leftMs - gone(absence));
    return texts;
}

export function seatText(seat) {
    if (!seat) return "";
    if (seat.person !== 0) return seat.club ? `${seat.name}, ${seat.club}` : seat.name;
    if (seat.from === "FROM_WINNER_OF") return `winner of bout ${seat.fromBout}`;
    if (seat.from === "FROM_LOSER_OF") return `loser of bout ${seat.fromBout}`;
    return "";
}

const levelField = { LEVEL_IPPON: "ippon", LEVEL_WAZA_ARI: "wazaAri", LEVEL_YUKO: "yuko", LEVEL_KOKA: "koka" };

// The levels in the order of the bout's rules, then shido: "0 1 0 s1".
export function sideText(side, levels) {
    const counts = levels.map((level) => side?.[levelField[level]] ?? 0).join(" ");
    return `${counts} s${side?.shido ?? 0}${side?.hansokuMake ? " H" : ""}`;
}

const lineText = { TABLE_LINE_NONE: "no table", TABLE_LINE_LIVE: "", TABLE_LINE_ALONE: "table out of reach: this may be old" };
const announced = new Set(["PHASE_ANNOUNCED", "PHASE_CONFIRMED", "PHASE_ACCEPTED"]);
const final = new Set(["PHASE_CONFIRMED", "PHASE_ACCEPTED"]);

export function drawMat(view, now) {
    const drawn = { mat: view.mat, line: lineText[view.table], next: view.next.map((head) => `${head.bout}`) };
    if (!view.bout) return drawn;
    const frame = frameAt(view, now);
    const { levels, white, blue, whiteWord, blueWord, category, round } = view.bout;
    Object.assign(drawn, {
        bout: view.bout.bout, title: `${category}, ${round}`, whiteWord, blueWord,
        whiteName: seatText(white), blueName: seatText(blue),
        why: frame.why, phase: frame.phase, goldenScore: frame.goldenScore, words: frame.words,
        white: sideText(frame.white, levels), blue: sideText(frame.blue, levels),
        ...clockTexts(frame, now),
    });
    if (announced.has(frame.phase)) drawn.winner = frame.winner;
    drawn.final = final.has(frame.phase);
    return drawn;
}

// What the results stream says, whatever order bouts had their results in.
export class Results {
    constructor() { this.forget(); }

    forget() {
        this.last = 0;
        this.items = [];
        this.backwards = [];
        this.standing = new Map();
    }

    // `also` and `no_result` tell of the other bout within the same item.
    finished(item) {
        this.next(item.number, item);
        for (const one of [item, item.also]) if (one) this.standing.set(one.bout.bout, one);
        if (item.noResult) this.standing.delete(item.noResult.bout);
    }

    reopened(item) {
        this.next(item.number, item);
        this.standing.delete(item.bout);
    }

    next(number, item) {
        if (number <= this.last) this.backwards.push(number);
        this.last = number;
        this.items.push(item);
    }
}

// `want`: { mats: [..] or all: true, results, callList, sheets: [..] }.
export class Screen {
    constructor(want) {
        this.want = want;
        this.results = new Results();
        this.forget();
        this.shown = [];
        this.shows = null;
        this.warnings = [];
    }

    forget() {
        this.views = new Map();
        this.sheets = new Map();
        this.callList = null;
        clearTimeout(this.alarm);
    }

    wants() {
        const { mats = [], all = false, results = false, callList = false, sheets = [] } = this.want;
        return { mats, allMats: all, results, resultsAfter: results ? this.results.last : 0, callList, sheets };
    }

    welcome(welcome, forget) {
        this.rate = welcome.rehearsalRate;
        this.rehearsal = welcome.rehearsalRate > 1;
        if (!forget) return;
        this.forget();
        this.results.forget();
        this.warnings.push(`another journal, or ${welcome.missing ?? 0} records missing after ${welcome.number}`);
    }

    hear(kind, value) {
        if (kind === "mat") this.view(value);
        if (kind === "finished") this.results.finished(value);
        if (kind === "reopened") this.results.reopened(value);
        if (kind === "callList" && !(this.callList?.number > value.number)) this.callList = value;
        if (kind === "sheet") this.sheet(value);
        if (kind === "mat" || kind === "sheet" || kind === "finished" || kind === "reopened") this.line.saw(value.number);
        if (kind === "clockAnswer") this.draw();
    }

    view(view) {
        const before = this.views.get(view.mat);
        if (before && view.number < before.number) return;
        this.views.set(view.mat, view);
        this.draw();
    }

    sheet(sheet) {
        const before = this.sheets.get(sheet.bout.bout);
        if (!before || sheet.number >= before.number) this.sheets.set(sheet.bout.bout, sheet);
    }

    // Draws every mat and sets one alarm for the next frame of any of them.
    draw() {
        clearTimeout(this.alarm);
        if (!this.line.live || this.line.clock.hubTime() === null) return;
        const now = this.line.clock.toDraw();
        this.now = now;
        for (const view of this.views.values()) {
            const drawn = drawMat(view, now);
            this.shown.push(drawn);
            this.shows?.(drawn);
        }
        const next = [...this.views.values()].map((view) => nextFrom(view, now)).filter((from) => from !== undefined);
        if (next.length > 0) this.alarm = setTimeout(() => this.draw(), Math.ceil((Math.min(...next) - now) / this.rate) + 1);
    }

    // A screen that is not live stops `now` and says so.
    mat(mat) {
        const view = this.views.get(mat);
        if (!view) return null;
        if (this.line.live) this.now = this.line.clock.toDraw();
        return { ...drawMat(view, this.now), live: this.line.live };
    }

    lost() { clearTimeout(this.alarm); }
}
