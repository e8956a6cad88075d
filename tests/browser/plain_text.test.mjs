// Text from people as screens show it (clients/web/src/plain_text.ts).
//
// What is checked against: the explicit formatting characters and implicit marks of UAX #9 (sections 2.1 to 2.6), and
// Unicode's Default_Ignorable_Code_Point as this Node knows it, but for what joins or chooses letters.
import assert from "node:assert/strict";
import { test } from "node:test";
import { require } from "../packages.mjs";

const esbuild = require("esbuild");
const built = await esbuild.build({ entryPoints: [new URL("../../clients/web/src/plain_text.ts", import.meta.url).pathname],
    bundle: true, format: "esm", write: false, logLevel: "warning" });
const { plainText, plainTexts } = await import(`data:text/javascript;base64,${Buffer.from(built.outputFiles[0].contents).toString("base64")}`);

test("names of every script stay as they are", () => {
    for (const name of ["Wanda Pell", "Ngaio Te Whāiti", "Łucja Świętek", "嘉納 治五郎", "김유도", "محمد علی", "می‌خواهم", "नीरज चोपड़ा", "ลลิตา", "O’Brien-Ñúñez", "👩‍👩‍👧"]) {
        assert.equal(plainText(name), name);
    }
});

test("what turns the direction of text is taken out", () => {
    const marks = [0x61c, 0x200e, 0x200f, 0x202a, 0x202b, 0x202c, 0x202d, 0x202e, 0x2066, 0x2067, 0x2068, 0x2069]; // UAX #9, 2
    for (const mark of marks) assert.equal(plainText(`a${String.fromCodePoint(mark)}b`), "ab", mark.toString(16));
});

test("what can't be seen is taken out, but for what joins letters and chooses their form", () => {
    const kept = (point) => /[\u200c\u200d\p{Variation_Selector}]/u.test(String.fromCodePoint(point));
    for (let point = 0; point <= 0xeffff; ++point) {
        if (point >= 0xd800 && point <= 0xdfff) continue;
        const letter = String.fromCodePoint(point);
        if (!/\p{Default_Ignorable_Code_Point}|\p{Cc}/u.test(letter) || kept(point)) continue;
        const shown = plainText(`a${letter}b`);
        assert.ok(["ab", "a b"].includes(shown), `U+${point.toString(16)} is shown as ${JSON.stringify(shown)}`);
    }
});

test("a line's end is a blank", () => {
    assert.equal(plainText("a\nb\u2028c\td"), "a b c d");
});

test("all text in a message is plain, and nothing else is touched", () => {
    const bytes = new Uint8Array([0x80]);
    const message = { $typeName: "x", kind: { case: "mat", value: { names: ["a\u202eb", "c"], deep: [{ club: "d\u200be" }], number: 7, bytes, none: undefined } } };
    assert.deepEqual(plainTexts(message),
        { $typeName: "x", kind: { case: "mat", value: { names: ["ab", "c"], deep: [{ club: "de" }], number: 7, bytes, none: undefined } } });
});
