// Text from people is shown as text: names, clubs, titles and notes come from files and from tables, and whatever is
// in them may not change how the text around it reads.
//
// Markup does nothing anyway, since everything is drawn as text nodes. What remains are letters that nobody sees:
// those that turn the direction of writing (UAX #9, 2: explicit formatting and implicit marks), so that "1-0" reads
// "0-1" behind a name; and others without width, so that two names look alike. They are taken out where a message
// arrives, once for all pages; the journal, papers and tables for programs keep the text to the letter. What joins
// letters or chooses their form (U+200C, U+200D, variation selectors) stays. A line's end becomes a blank.
const unseen = /(?![\u200c\u200d\u180b-\u180d\u180f\ufe00-\ufe0f\u{e0100}-\u{e01ef}])[\p{Default_Ignorable_Code_Point}\p{Bidi_Control}\p{Cc}\ufff9-\ufffb]/gu;
const lineEnds = /[\t\n\v\f\r\u0085\u2028\u2029]/g;
const plain = /^[\x20-\x7e]*$/; // nearly all there is

export function plainText(text: string): string {
    return plain.test(text) ? text : text.replace(lineEnds, " ").replace(unseen, "");
}

// The same for all text in a message, in place: it has just been made and nobody else has it.
export function plainTexts<T>(message: T): T {
    if (typeof message !== "object" || message === null || message instanceof Uint8Array) return message;
    const fields = message as Record<string, unknown>;
    for (const [name, value] of Object.entries(fields)) {
        if (typeof value === "string") {
            if (!plain.test(value) && !name.startsWith("$")) fields[name] = plainText(value);
        } else plainTexts(value);
    }
    return message;
}
