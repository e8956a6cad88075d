// Drawing with time: things that change by themselves are looked at once in each picture.
//
// The window asked is the one the element is in: a board opened by the table page is drawn by the
// table's script, and must not stop when the table's own window is covered.
import { type RefObject } from "preact";
import { useEffect, useLayoutEffect, useReducer, useRef } from "preact/hooks";

function eachPicture(element: Element, draw: () => void): () => void {
    const screen = element.ownerDocument.defaultView ?? window;
    let asked = 0;
    const next = () => {
        draw();
        asked = screen.requestAnimationFrame(next);
    };
    next();
    return () => screen.cancelAnimationFrame(asked);
}

// Calls `draw` with the element for each picture.
export function useDrawing<E extends HTMLElement>(draw: (element: E) => void): RefObject<E> {
    const ref = useRef<E>(null);
    const latest = useRef(draw);
    latest.current = draw;
    useLayoutEffect(() => {
        const element = ref.current;
        return element ? eachPicture(element, () => latest.current(element)) : undefined;
    }, []);
    return ref;
}

// What `pick` gives, drawn again when it gives something else by itself.
export function useWatched<T>(ref: RefObject<HTMLElement>, pick: () => T): T {
    const [, again] = useReducer((count: number) => count + 1, 0);
    const latest = useRef({ pick, shown: undefined as T });
    const shown = pick();
    latest.current = { pick, shown };
    useEffect(() => {
        if (!ref.current) return undefined;
        return eachPicture(ref.current, () => {
            if (latest.current.pick() !== latest.current.shown) again(0);
        });
    }, []);
    return shown;
}
