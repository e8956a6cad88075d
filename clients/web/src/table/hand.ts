// Who sits at the table, as it may be recorded.

// What the hub takes as a name: forty bytes of UTF-8, whole letters, no control characters.
export function fitting(hand: string): string {
    const letters = [...hand.replace(/\p{Cc}/gu, " ").trim()];
    const bytes = (text: string) => new TextEncoder().encode(text).length;
    while (bytes(letters.join("")) > 40) letters.pop();
    return letters.join("").trim();
}
