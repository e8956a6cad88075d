// From how far a board can be read: capital height times 200 (about 17 minutes of arc; docs/look.md).
//
// A page can't know how wide its screen is, so the person says (?screen=150, in centimetres) or the
// sentence names the width it holds for.
import { useEffect, useState } from "preact/hooks";

const usualWidthM = 1;
const heightsAway = 200;

function capitalPx(element: HTMLElement): number {
    const style = getComputedStyle(element);
    const pen = document.createElement("canvas").getContext("2d");
    if (!pen) return 0;
    pen.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
    return pen.measureText("H").actualBoundingBoxAscent;
}

function metres(element: HTMLElement | null, widthM: number): number {
    return element ? Math.floor((capitalPx(element) / window.innerWidth) * widthM * heightsAway) : 0;
}

export function useDistance(screenCm: number): string {
    const [words, setWords] = useState("");
    useEffect(() => {
        const widthM = screenCm > 0 ? screenCm / 100 : usualWidthM;
        const measure = () => {
            const names = metres(document.querySelector(".half-name span"), widthM);
            const clock = metres(document.querySelector(".board-clock [data-testid='clock']"), widthM);
            setWords(names > 0 ? `On a screen ${widthM} m wide: names from up to ${names} m, clock ${clock} m` : "");
        };
        measure();
        const soon = setInterval(measure, 2000);
        window.addEventListener("resize", measure);
        return () => {
            clearInterval(soon);
            window.removeEventListener("resize", measure);
        };
    }, [screenCm]);
    return words;
}
