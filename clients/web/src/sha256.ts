// SHA-256 (FIPS 180-4), for pages that came without encryption: crypto.subtle is not there then.
const k = Uint32Array.from([
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5, 0xd807aa98, 0x12835b01, 0x243185be,
    0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174, 0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa,
    0x5cb0a9dc, 0x76f988da, 0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967, 0x27b70a85,
    0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85, 0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3,
    0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070, 0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f,
    0x682e6ff3, 0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2,
]);

const turned = (x: number, by: number) => (x >>> by) | (x << (32 - by));

// In hex, of the text in UTF-8.
export function sha256(text: string): string {
    const given = new TextEncoder().encode(text);
    const all = new Uint8Array(((given.length + 8 >> 6) + 1) * 64);
    all.set(given);
    all[given.length] = 0x80;
    const view = new DataView(all.buffer);
    view.setUint32(all.length - 8, Math.floor(given.length / 2 ** 29));
    view.setUint32(all.length - 4, given.length * 8 >>> 0);
    const h = Uint32Array.from([0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a, 0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19]);
    const w = new Uint32Array(64);
    for (let at = 0; at < all.length; at += 64) {
        for (let i = 0; i < 16; ++i) w[i] = view.getUint32(at + 4 * i);
        for (let i = 16; i < 64; ++i) {
            const [a, b] = [w[i - 15]!, w[i - 2]!];
            w[i] = w[i - 16]! + (turned(a, 7) ^ turned(a, 18) ^ (a >>> 3)) + w[i - 7]! + (turned(b, 17) ^ turned(b, 19) ^ (b >>> 10));
        }
        const s = Uint32Array.from(h);
        for (let i = 0; i < 64; ++i) {
            const [a, b, c, , e, f, g] = [s[0]!, s[1]!, s[2]!, 0, s[4]!, s[5]!, s[6]!];
            const one = (s[7]! + (turned(e, 6) ^ turned(e, 11) ^ turned(e, 25)) + ((e & f) ^ (~e & g)) + k[i]! + w[i]!) >>> 0;
            const two = (turned(a, 2) ^ turned(a, 13) ^ turned(a, 22)) + ((a & b) ^ (a & c) ^ (b & c));
            s.copyWithin(1, 0);
            s[4] = s[4]! + one;
            s[0] = one + two;
        }
        for (let i = 0; i < 8; ++i) h[i] = h[i]! + s[i]!;
    }
    return Array.from(h, (x) => x.toString(16).padStart(8, "0")).join("");
}
