// One clock on a screen. `data-ms` is the exact value behind the words, for whoever measures.
import type { Reading } from "../frames";
import { useDrawing } from "./drawing";

interface FaceProps {
    read: () => Reading;
    name: string; // "clock" or "hold"
    label: string;
}

export function Face({ read, name, label }: FaceProps) {
    const ref = useDrawing<HTMLSpanElement>((face) => {
        const { ms, text } = read();
        if (face.textContent !== text) {
            face.textContent = text;
            face.dataset.length = String(text.length);
        }
        if (face.dataset.ms !== String(ms)) face.dataset.ms = String(ms);
    });
    return <span class="face" ref={ref} data-testid={name} role="timer" aria-live="off" aria-label={label} />;
}
