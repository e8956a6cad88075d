// The results stream as a list for people: every result that was told, newest first, and what became
// of it since. Nothing is taken out: whoever read the first result sees that it does not stand.
import { signal } from "@preact/signals";
import { create } from "@bufbuild/protobuf";
import { type Finished, type Renamed, type Reopened, type Seat, SeatSchema } from "./gen/honbu/v1/hub_pb";

export interface ResultRow {
    item: Finished; // of one bout
    fate: "stands" | "replaced" | "taken_back";
}

export class Results {
    readonly rows = signal<readonly ResultRow[]>([]);
    last = 0; // the number of the newest item, for the next subscription

    // Every item comes once: the subscription names the last one.
    finished(item: Finished): void {
        if (!this.isNext(item.number)) return;
        // Of two bouts that had the wrong records, one item tells both.
        const told = item.also ? [item, item.also] : [item];
        if (item.noResult) this.takeBack(item.noResult);
        for (const each of told) this.change(each.bout?.bout, "replaced");
        const fresh = told.map((each): ResultRow => ({ item: each, fate: "stands" }));
        this.rows.value = [...fresh, ...this.rows.peek()];
    }

    reopened(item: Reopened): void {
        if (this.isNext(item.number)) this.takeBack(item);
    }

    // A name was erased: it goes from what is shown here as well.
    renamed({ number, person, name }: Renamed): void {
        if (!this.isNext(number) || person === 0) return; // where names are hidden, nobody is named
        const anew = (seat: Seat | undefined) => (seat?.person === person ? create(SeatSchema, { ...seat, name, club: "" }) : seat);
        this.rows.value = this.rows.peek().map((row) => {
            const { bout } = row.item;
            if (!bout) return row;
            return { ...row, item: { ...row.item, bout: { ...bout, white: anew(bout.white), blue: anew(bout.blue) } } };
        });
    }

    forget(): void {
        this.rows.value = [];
        this.last = 0;
    }

    private isNext(number: number): boolean {
        if (number <= this.last) return false;
        this.last = number;
        return true;
    }

    private takeBack({ bout }: Reopened): void {
        this.change(bout, "taken_back");
    }

    private change(bout: number | undefined, fate: ResultRow["fate"]): void {
        this.rows.value = this.rows.peek().map((row) =>
            row.item.bout?.bout === bout && row.fate !== "replaced" ? { ...row, fate } : row);
    }
}
