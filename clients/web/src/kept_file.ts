// The calls that a table keeps, as a file: what a person carries to the desk when the table's page can't
// reach the hub any more. It says what it is, can be read by people, and a SHA-256 over its content tells
// whether it is whole. docs/protocol.md, 12 has the format.
import { fromJson, type JsonValue } from "@bufbuild/protobuf";
import { type Call, CallSchema } from "./gen/honbu/v1/hub_pb";
import { sha256 } from "./sha256";

export interface FileBout {
    bout: number;
    category: string;
    round: string;
    white: string;
    blue: string;
}

export interface FileRun {
    run: string;
    clock?: { runMs: number; hubMs: number }; // the same moment, as the table measured it last
    calls: JsonValue[]; // of proto/honbu/v1/hub.proto in proto3 JSON, in the order of their numbers
}

export interface KeptFile {
    format: "honbu kept calls";
    version: 1;
    written: string; // by the table's clock
    title: string;
    epoch: string; // of the hub's journal they were made for
    device: string;
    hand: string;
    mat: number;
    bouts: FileBout[];
    runs: FileRun[];
}

// Everything before the last name, as it stands, is what the sum is of.
const sumAt = ',\n "sha256": "';

export function writeKept(file: KeptFile): string {
    const text = JSON.stringify(file, null, 1);
    const content = text.slice(0, text.lastIndexOf("\n}"));
    return `${content}${sumAt}${sha256(content)}"\n}\n`;
}

export interface Read {
    file: KeptFile;
    runs: { run: string; clock: FileRun["clock"]; calls: Call[] }[];
}

// The words say why it can't be used.
export function readKept(text: string): Read | string {
    let found: Partial<KeptFile> & { sha256?: string };
    try {
        found = JSON.parse(text) as typeof found;
    } catch {
        return "This is no file of a table's calls, or only a part of one.";
    }
    if (found?.format !== "honbu kept calls") return "This is no file of a table's calls.";
    if (found.version !== 1) return `This file is of version ${found.version}, and this page reads version 1. Use the page of the newer hub.`;
    const content = text.slice(0, text.lastIndexOf(sumAt));
    if (sha256(content) !== found.sha256) return "This file was changed or cut after the table wrote it. Save it again at the table.";
    try {
        const file = found as KeptFile;
        const runs = file.runs.map(({ run, clock, calls }) => ({ run, clock, calls: calls.map((call) => fromJson(CallSchema, call)) }));
        return { file, runs: runs.filter(({ calls }) => calls.length > 0) };
    } catch {
        return "This file has something in it that this page does not know. Use the page of the hub that the table's page came from.";
    }
}
