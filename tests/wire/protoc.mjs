// Messages between bytes and protobuf's text format, by protoc and a schema of choice: another implementation than the hub's
// and the pages', and one that can speak an older schema.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

// Today's, and the one that pages of yesterday were made with.
export const today = { folder: fileURLToPath(new URL("../../proto", import.meta.url)), file: "honbu/v1/hub.proto" };
export const yesterday = { folder: fileURLToPath(new URL("yesterday", import.meta.url)), file: "hub.proto" };

function protoc(schema, option, input) {
    const done = spawnSync("protoc", ["-I", schema.folder, option, schema.file], { input, maxBuffer: 64 << 20 });
    assert.equal(done.status, 0, `protoc ${option}: ${done.error ?? done.stderr}`);
    return done.stdout;
}

export const encoded = (schema, type, text) => protoc(schema, `--encode=honbu.v1.${type}`, text);
export const decoded = (schema, type, bytes) => fields(protoc(schema, `--decode=honbu.v1.${type}`, bytes).toString());
// A FileDescriptorSet. Through a file: what Node gives for stdout can't be opened by name.
export function descriptor(schema) {
    const folder = mkdtempSync(join(tmpdir(), "honbu-protoc-"));
    try {
        protoc(schema, `--descriptor_set_out=${join(folder, "set")}`, "");
        return readFileSync(join(folder, "set"));
    } finally {
        rmSync(folder, { recursive: true });
    }
}

// The text format as protoc prints it: one field a line. Every field becomes a list; what the schema has no name for is
// under its number, as text.
export function fields(text) {
    const stack = [{}];
    for (const line of text.split("\n").map((one) => one.trim()).filter((one) => one)) {
        if (line === "}") {
            stack.pop();
            continue;
        }
        const [, name, open, value] = /^(\w+)(?: (\{)|: (.*))$/.exec(line) ?? assert.fail(`not a line of the text format: ${line}`);
        const made = open ? {} : plain(value);
        (stack.at(-1)[name] ??= []).push(made);
        if (open) stack.push(made);
    }
    assert.equal(stack.length, 1);
    return stack[0];
}

// Texts and bytes are printed with C's escapes; they come back with one character for each byte.
function plain(value) {
    if (!value.startsWith('"')) return /^-?\d+$/.test(value) ? Number(value) : value;
    const escapes = { n: "\n", r: "\r", t: "\t" };
    return value.slice(1, -1).replace(/\\(?:([0-7]{3})|(.))/g, (_, octal, letter) => (octal ? String.fromCharCode(parseInt(octal, 8)) : escapes[letter] ?? letter));
}

// Bytes as the text format takes them.
export const quoted = (bytes) => `"${[...bytes].map((byte) => `\\${byte.toString(8).padStart(3, "0")}`).join("")}"`;
