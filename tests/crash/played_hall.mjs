// honbu-sim and kept_check for tests: starts the one, asks the other, and follows what the clients write down.
import { spawn, spawnSync } from "node:child_process";
import { closeSync, openSync, readSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const build = process.env.HONBU_BUILD ?? fileURLToPath(new URL("../../.build/release", import.meta.url));

// A long day on so many mats; every fifth bout of a mat is between winners of bouts before it. Nobody in it is real.
export function writeCompetition(file, mats, boutsOfAMat) {
  const lines = ["bout,mat,category,rules,time,round,white,white_club,blue,blue_club"];
  for (let round = 0; round < boutsOfAMat; ++round) {
    for (let mat = 1; mat <= mats; ++mat) {
      const bout = round * mats + mat;
      const seats = round % 5 === 4 ? `winner of ${bout - mats},,winner of ${bout - 2 * mats},` : `Guest ${2 * bout},Dojo Montebriar,Guest ${2 * bout + 1},JC Sturmhafen`;
      lines.push(`${bout},${mat},open,2025,4:00,${round % 5 === 4 ? "round 2" : "round 1"},${seats}`);
    }
  }
  writeFileSync(file, `${lines.join("\n")}\n`);
}

// Starts a hall. `ended` gives its exit code.
export function sim(t, { port, log, more }) {
  const child = spawn(join(build, "honbu-sim"), ["--hub", `127.0.0.1:${port}`, "--log", log, ...more], { stdio: ["ignore", "pipe", "pipe"] });
  const hall = { child, out: "", err: "", code: undefined };
  t.after(() => child.kill("SIGKILL"));
  child.stdout.on("data", (text) => (hall.out += text));
  child.stderr.on("data", (text) => (hall.err += text));
  hall.ended = new Promise((resolve) => child.on("close", (code, signal) => resolve((hall.code = signal ?? code))));
  return hall;
}

export function keptCheck(...args) {
  const done = spawnSync(join(build, "kept_check"), args, { encoding: "utf8" });
  return { code: done.status, out: done.stdout, err: done.stderr };
}

// Follows the log of a hall while it is written.
export class Diary {
  entered = 0; // calls that were saved
  acknowledged = 0; // verdicts heard; a call that is sent again may have two
  up = 0; // lines
  welcomes = 0;
  results = 0; // at all desks together
  #at = 0;
  #rest = "";
  #calls = new Set(); // that have a verdict
  constructor(file) {
    this.file = file;
    closeSync(openSync(file, "a"));
  }

  look() {
    const file = openSync(this.file, "r");
    const part = Buffer.alloc(1 << 20);
    for (let size; (size = readSync(file, part, 0, part.length, this.#at)) > 0; this.#at += size) {
      const lines = (this.#rest + part.toString("latin1", 0, size)).split("\n");
      this.#rest = lines.pop();
      for (const line of lines) {
        const [, what, run, number] = line.split(" ", 4);
        if (what === "saved") ++this.entered;
        else if (what === "verdict") this.acknowledged = this.#calls.add(`${run} ${number}`).size;
        else if (what === "welcome") {
          ++this.up;
          ++this.welcomes;
        } else if (what === "gone") --this.up;
        else if (what === "result") ++this.results;
      }
    }
    closeSync(file);
  }

  // Looks until `is` holds. `over` tells that it never will: something ended that writes, or is written about.
  async until(is, over) {
    for (;;) {
      const ended = over();
      this.look();
      if (is()) return;
      if (ended !== undefined && ended !== null) throw new Error(`ended with ${ended} while it was waited for`);
      await new Promise((resolve) => setTimeout(resolve, 4));
    }
  }
}
