// The two athletes of a bout, by the colour word of the rules, and where each stands on a screen.
import { type BoardSide, type BoutHead, Colour, type Frame, Level, type Seat, Seat_From, Side, Winner }
    from "./gen/honbu/v1/hub_pb";

export type SideName = "white" | "blue";

// From left to right. Tables and stands face each other, so every screen can swap.
export function order(swap: boolean): readonly [SideName, SideName] {
    return swap ? ["blue", "white"] : ["white", "blue"];
}

export function seatOf(bout: BoutHead, side: SideName): Seat | undefined {
    return side === "white" ? bout.white : bout.blue;
}

export function wordOf(bout: BoutHead, side: SideName): string {
    return (side === "white" ? bout.whiteWord : bout.blueWord) || side;
}

export type ColourName = "white" | "blue" | "red";

// Of judogi or belt, as the rules say; a hub that does not say so has only white and blue.
export function colourOf(bout: BoutHead | undefined, side: SideName): ColourName {
    switch (side === "white" ? bout?.whiteColour : bout?.blueColour) {
        case Colour.WHITE: return "white";
        case Colour.BLUE: return "blue";
        case Colour.RED: return "red";
        default: return side;
    }
}

// The class of whatever is this athlete's field.
export function wears(bout: BoutHead | undefined, side: SideName): string {
    return `wears-${colourOf(bout, side)}`;
}

export function boardOf(frame: Frame, side: SideName): BoardSide | undefined {
    return side === "white" ? frame.white : frame.blue;
}

export function holds(frame: Frame, side: SideName): boolean {
    return frame.hold?.by === (side === "white" ? Side.WHITE : Side.BLUE);
}

export function heldBefore(frame: Frame, side: SideName): boolean {
    return !frame.hold && frame.pastHold?.by === (side === "white" ? Side.WHITE : Side.BLUE);
}

// Called for, and not there.
export function isAbsent(frame: Frame, side: SideName): boolean {
    const who = frame.absence?.who;
    return who === Side.BOTH || who === (side === "white" ? Side.WHITE : Side.BLUE);
}

export function wins(winner: Winner, side: SideName): boolean {
    return winner === (side === "white" ? Winner.WHITE : Winner.BLUE);
}

export function isDecided(winner: Winner): boolean {
    return winner !== Winner.UNDECIDED;
}

export function nameOf(seat: Seat | undefined): string {
    if (!seat) return "";
    if (seat.name) return seat.name;
    if (seat.from === Seat_From.WINNER_OF) return `winner of bout ${seat.fromBout}`;
    if (seat.from === Seat_From.LOSER_OF) return `loser of bout ${seat.fromBout}`;
    return "not known yet";
}

export function levelWord(level: Level): string {
    switch (level) {
        case Level.IPPON: return "ippon";
        case Level.WAZA_ARI: return "waza-ari";
        case Level.YUKO: return "yuko";
        case Level.KOKA: return "koka";
        case Level.NONE: return "";
    }
}

export function levelCount(board: BoardSide | undefined, level: Level): number {
    if (!board) return 0;
    switch (level) {
        case Level.IPPON: return board.ippon;
        case Level.WAZA_ARI: return board.wazaAri;
        case Level.YUKO: return board.yuko;
        case Level.KOKA: return board.koka;
        case Level.NONE: return 0;
    }
}

// As in the ids of docs/table.md.
export function levelId(level: Level): string {
    return levelWord(level).replace("-", "_");
}
