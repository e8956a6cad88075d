// What a table needs once a day: its own board, the sides, the sound, the keyboard.
import { useState } from "preact/hooks";
import * as sound from "../sound";
import { keysOn, type Presses } from "./keyboard";
import { onPress } from "./keys";
import { openBoard } from "./board_window";
import type { TableLife } from "./life";
import { swapped } from "./swapped";

interface MenuProps {
    life: TableLife;
    presses: Presses;
}

export function Menu({ life, presses }: MenuProps) {
    const [blocked, setBlocked] = useState(false);
    return (
        <nav class="menu" aria-label="This table">
            <button type="button" data-testid="open-board" {...onPress(() => setBlocked(!openBoard(life, presses)))}>
                Open the mat's board here</button>
            {blocked && <p role="alert">The browser blocked the window. Allow pop-up windows for this page and press again.</p>}
            <button type="button" data-testid="swap" aria-pressed={swapped.value} {...onPress(() => life.swap())}>Swap sides</button>
            <button type="button" data-testid="try-sound" {...onPress(() => sound.tryOut(life.mat.value))}>Try the sound</button>
            <button type="button" data-testid="keys-on" aria-pressed={keysOn.value}
                {...onPress(() => { keysOn.value = !keysOn.value; })}>Keyboard {keysOn.value ? "on" : "off"}</button>
        </nav>
    );
}
