// Runs `honbu replay` over lines of calls. HONBU names the program (ctest sets it).
import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";

export const program = process.env.HONBU ?? fileURLToPath(new URL("../../.build/release/honbu", import.meta.url));

// `calls`: strings as they are, objects as JSON, one a line.
export function replay(calls, ...options) {
  const input = calls.map((call) => (typeof call === "string" ? call : JSON.stringify(call)) + "\n").join("");
  const done = spawnSync(program, ["replay", ...options], { input, encoding: "utf8" });
  return { code: done.status, out: done.stdout, err: done.stderr };
}

// The same with --json: the terms, what happened, and the result.
export function steps(calls, ...options) {
  const { code, out, err } = replay(calls, "--json", ...options);
  const lines = out.trimEnd().split("\n").map((line) => JSON.parse(line));
  return { code, err, terms: lines[0], happened: lines.slice(1, -1), end: lines.at(-1) };
}

// "2:40" or "2:40.999" as milliseconds.
export function ms(text) {
  const [minutes, seconds] = text.split(":");
  return Number(minutes) * 60_000 + Math.round(Number(seconds) * 1000);
}

const plain = (entered, word) => ({ entered: ms(entered), plain: word });
export const hajime = (at) => plain(at, "PLAIN_HAJIME");
export const mate = (at) => plain(at, "PLAIN_MATE");
export const toketa = (at) => plain(at, "PLAIN_TOKETA");
export const soreMade = (at) => plain(at, "PLAIN_SORE_MADE");
export const kachi = (at) => plain(at, "PLAIN_KACHI");
export const osaekomi = (at, side) => ({ entered: ms(at), osaekomi: side });
export const shido = (at, side) => ({ entered: ms(at), shido: side });
export const score = (at, to, level) => ({ entered: ms(at), score: { to, level } });
