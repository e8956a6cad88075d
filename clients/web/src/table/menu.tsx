// What a table needs once a day: its own board, the sides, the sound, the keyboard.
import { useState } from "preact/hooks";
import * as sound from "../sound";
import { keptText } from "./kept";
import { keysOn, type Presses } from "./keyboard";
import { onPress } from "./keys";
import { openBoard } from "./board_window";
import type { TableLife } from "./life";
import { swapped } from "./swapped";

// For the desk, when this page can't reach the hub any more. Works without any line.
async function saveKept(life: TableLife): Promise<string> {
    const { name, text, calls } = await keptText(life);
    const address = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    const link = document.createElement("a");
    link.href = address;
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(address), 10_000);
    return `${calls} calls are in the file ${name}, where this browser puts downloads. Bring it to the desk. They stay here, too.`;
}

interface MenuProps {
    life: TableLife;
    presses: Presses;
}

export function Menu({ life, presses }: MenuProps) {
    const [blocked, setBlocked] = useState(false);
    const [saved, setSaved] = useState("");
    return (
        <nav class="menu" aria-label="This table">
            <button type="button" data-testid="open-board" {...onPress(() => setBlocked(!openBoard(life, presses)))}>
                Open the mat's board here</button>
            {blocked && <p role="alert">The browser blocked the window. Allow pop-up windows for this page and press again.</p>}
            <button type="button" data-testid="swap" aria-pressed={swapped.value} {...onPress(() => life.swap())}>Swap sides</button>
            <button type="button" data-testid="try-sound" {...onPress(() => sound.tryOut(life.mat.value))}>Try the sound</button>
            <button type="button" data-testid="keys-on" aria-pressed={keysOn.value}
                {...onPress(() => { keysOn.value = !keysOn.value; })}>Keyboard {keysOn.value ? "on" : "off"}</button>
            <button type="button" data-testid="save-kept" {...onPress(() => void saveKept(life).then(setSaved))}>
                Save the kept calls as a file</button>
            {saved && <p role="status" data-testid="kept-saved">{saved}</p>}
        </nav>
    );
}
