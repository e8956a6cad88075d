// At the desk: the hub's certificate ends within a day, and then no page loads any more.
import { signal } from "@preact/signals";

const lookMs = 10 * 60_000;
const soonHours = 24;
const words = signal("");

async function look(): Promise<void> {
    const answer = await fetch("/certificate.json").catch(() => undefined);
    if (!answer?.ok) return; // without a hub, or without a certificate
    const { ends, hoursLeft } = await answer.json() as { ends: string; hoursLeft: number };
    words.value = hoursLeft < soonHours
        ? `The hub's certificate ends on ${ends} by the hub's clock. Make a new one in a pause (honbu certificates --again); every device has to trust it anew.`
        : "";
}

export function watchCertificate(): void {
    if (location.protocol !== "https:") return;
    void look();
    setInterval(() => void look(), lookMs);
}

export function CertificateWords() {
    return words.value ? <p class="not-live" role="alert" data-testid="certificate">{words.value}</p> : null;
}
