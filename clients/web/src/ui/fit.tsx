// Text that is written smaller when it does not fit its line; when that would be too small, in two
// lines of half the size, which take the same room.
import { useLayoutEffect, useRef } from "preact/hooks";

const smallest = 0.5;

interface FitProps {
    text: string;
    class?: string;
    testid?: string;
    role?: "alert";
}

export function Fit({ text, class: name = "", testid, role }: FitProps) {
    const place = useRef<HTMLParagraphElement>(null);
    const words = useRef<HTMLSpanElement>(null);
    useLayoutEffect(() => {
        const outer = place.current;
        const inner = words.current;
        if (!outer || !inner) return undefined;
        const screen = (outer.ownerDocument.defaultView ?? window) as typeof window;
        const fit = () => {
            outer.dataset.lines = "1";
            inner.style.fontSize = "100%";
            const style = screen.getComputedStyle(outer);
            const room = outer.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
            // Letters do not shrink quite as their size does, so a little room stays.
            const wide = inner.scrollWidth;
            const share = wide > room ? (0.98 * room) / wide : 1;
            if (share < smallest) outer.dataset.lines = "2";
            inner.style.fontSize = `${100 * Math.max(smallest, share)}%`;
        };
        fit();
        const seen = new screen.ResizeObserver(fit);
        seen.observe(outer);
        return () => seen.disconnect();
    }, [text]);
    return (
        <p class={`fit ${name}`} ref={place} data-testid={testid} role={role} title={text}>
            <span ref={words}>{text}</span>
        </p>
    );
}
