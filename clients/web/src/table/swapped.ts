// Which athlete this table shows on the left. Kept for this device only.
import { signal } from "@preact/signals";
import { order, type SideName } from "../sides";

export const swapped = signal(false);

export function leftSide(): SideName {
    return order(swapped.value)[0];
}
