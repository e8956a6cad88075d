// What a table keeps of this journal, gathered for a file: also what could not get into lasting storage.
import type { JsonValue } from "@bufbuild/protobuf";
import * as clock from "../clock";
import { fromHex } from "../engine";
import { type FileRun, writeKept } from "../kept_file";
import type { TableLife } from "./life";

export interface KeptText {
    name: string; // for the file
    text: string;
    calls: number;
}

export async function keptText(life: TableLife): Promise<KeptText> {
    const { device } = life.who;
    const kept = (await life.store?.calls(life.epoch).catch(() => undefined)) ?? [];
    const known = new Set(kept.map(({ run, number }) => `${run}/${number}`));
    const only = life.waiting.filter(({ run, number }) => !known.has(`${run}/${number}`));
    const calls = [...kept, ...only.map(({ run, number, bytes }) => ({ run, number, bytes: fromHex(bytes) }))];
    const both = clock.bothNow();
    const runs = new Map<string, FileRun>();
    const bouts = new Set<number>();
    for (const { run, bytes } of calls.sort((a, b) => a.number - b.number)) {
        const call = life.engine.callJson(bytes) as { bout?: number };
        const of = runs.get(run) ?? { run, calls: [] };
        if (run === life.run && both) of.clock = { runMs: both.run, hubMs: both.hub };
        of.calls.push(call as JsonValue);
        bouts.add(call.bout ?? 0);
        runs.set(run, of);
    }
    const written = new Date().toISOString();
    const text = writeKept({
        format: "honbu kept calls", version: 1, written, title: life.link.welcome.peek()?.title ?? "", epoch: life.epoch, device,
        hand: life.hand, mat: life.mat.peek(),
        bouts: (life.shown.peek()?.bouts ?? []).filter(({ bout }) => bouts.has(bout))
            .map(({ bout, category, round, white, blue }) => ({ bout, category, round, white, blue })),
        runs: [...runs.values()],
    });
    const at = written.slice(0, 19).replace(/[-:]/g, "");
    return { name: `mat-${life.mat.peek()}-kept-calls-${at}.json`, text, calls: calls.length };
}
