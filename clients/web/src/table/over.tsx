// Something that lies over the table until it is answered. The table's keys are closed meanwhile.
import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { onPress } from "./keys";

interface OverProps {
    title: string;
    close: () => void;
    wide?: boolean;
    children: ComponentChildren;
}

export function Over({ title, close, wide, children }: OverProps) {
    const ref = useRef<HTMLDialogElement>(null);
    useEffect(() => {
        ref.current?.showModal();
    }, []);
    return (
        <dialog class={wide ? "over over-wide" : "over"} ref={ref} aria-labelledby="over-title" onClose={close}>
            <header class="over-top">
                <h2 id="over-title">{title}</h2>
                <button type="button" data-testid="close" {...onPress(() => ref.current?.close())}>close</button>
            </header>
            {children}
        </dialog>
    );
}
