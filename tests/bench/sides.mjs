// The two sides of a figure: the hub, and a program that does only the unavoidable, each under the same load.
import { execFileSync, spawn, spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";

export class Sides {
    constructor(build) {
        this.build = build;
    }

    program(name) {
        return join(this.build, name);
    }

    // Starts a server and waits for the line that names its port. `line` is the whole command.
    async start(line, port) {
        const child = spawn(line[0], line.slice(1), { stdio: ["ignore", "pipe", "pipe"] });
        const server = { child, said: "", ended: new Promise((ended) => child.on("close", ended)) };
        child.stderr.on("data", (text) => (server.said += text));
        let out = "";
        const listening = new Promise((found) => child.stdout.on("data", (text) => {
            out += text;
            const at = port.exec(out);
            if (at) found(Number(at[1]));
        }));
        const first = await Promise.race([listening, server.ended.then(() => null)]);
        if (first === null) throw new Error(`${line[0]} did not start: ${server.said}`);
        server.port = first;
        server.stop = async () => {
            child.kill("SIGTERM");
            await server.ended;
        };
        return server;
    }

    // One run of the load against a running server; `atReady` and `atEnd` are called before and after the events.
    async load(server, args, { atReady, atEnd } = {}) {
        const child = spawn(this.program("bench_load"), ["--port", server.port, "--pid", server.child.pid, ...args,
            ...(atReady ? ["--hold"] : [])].map(String), { stdio: ["pipe", "pipe", "pipe"] });
        const ended = new Promise((end) => child.on("close", end));
        let said = "";
        let figures;
        child.stderr.on("data", (text) => (said += text));
        for await (const line of createInterface({ input: child.stdout })) {
            if (line.startsWith("{")) figures = JSON.parse(line);
            if (line === "ready") await atReady();
            if (line === "measured") await atEnd();
            if (line === "ready" || line === "measured") child.stdin.write("\n");
        }
        if ((await ended) !== 0 || !figures) throw new Error(`the load did not end well: ${said} ${server.said}`);
        return figures;
    }

    // A new hub for one run: so many mats with so many bouts each, a table on each mat. `before` is put in front of its
    // command line. Adds the mean size of a record.
    async hub({ mats = 1, bouts = 30, before = [] }, args, more) {
        const folder = mkdtempSync(join(tmpdir(), "honbu-bench-"));
        try {
            const hall = ["--mats", mats, "--bouts", bouts].map(String);
            const file = join(folder, "competition.csv");
            writeFileSync(file, execFileSync(this.program("bench_load"), [...hall, "--csv"], { maxBuffer: 1e8 }));
            const data = join(folder, "journal");
            const hub = await this.start([...before, this.program("honbu"), "serve", "--anyone-may-score", "--data", data, "--listen",
                "127.0.0.1:0", "--competition", file, "--title", "Figures"], /localhost:(\d+)\/table/);
            const figures = await this.load(hub, ["--speaks", "hub", "--tables", mats, "--bouts", bouts, ...args], more?.(hub))
                .finally(hub.stop);
            const size = JSON.parse(execFileSync(this.program("bench_million"), ["size", data], { encoding: "utf8" }));
            return { ...figures, recordBytes: size.record_bytes };
        } finally {
            rmSync(folder, { recursive: true, force: true });
        }
    }

    // The same load on the floor, with frames as big as the hub's were.
    async floor(bytes, { mats = 1 }, args) {
        const floor = await this.start([this.program("bench_floor"), String(Math.round(bytes))], /listening (\d+)/);
        return await this.load(floor, ["--speaks", "plain", "--tables", mats, ...args]).finally(floor.stop);
    }

    // The same on a disk: way is fdatasync or sqlite. SQLite keeps the hash of 32 bytes in a column of its own.
    async bare(way, hub, { mats = 1 }, args) {
        const folder = mkdtempSync(join(tmpdir(), "honbu-bench-"));
        const record = way === "sqlite" ? hub.recordBytes : hub.recordBytes + 32;
        try {
            const bare = await this.start([this.program("bench_bare"), way, String(Math.round(hub.bytes)), String(record),
                folder], /listening (\d+)/);
            return await this.load(bare, ["--speaks", "plain", "--tables", mats, ...args]).finally(bare.stop);
        } finally {
            rmSync(folder, { recursive: true, force: true });
        }
    }
}

export const there = (program) => spawnSync("sh", ["-c", `command -v ${program}`]).status === 0;

// Calls of the system while events are on their way, counted by strace.
export function countCalls(counted) {
    const file = join(tmpdir(), `honbu-bench-${process.pid}.strace`);
    return (hub) => {
        let strace;
        return {
            atReady: async () => {
                strace = spawn("strace", ["-c", "-f", "-o", file, "-p", String(hub.child.pid)], { stdio: ["ignore", "ignore", "pipe"] });
                await new Promise((attached) => strace.stderr.on("data", attached));
            },
            atEnd: async () => {
                const ended = new Promise((end) => strace.on("close", end));
                strace.kill("SIGINT");
                await ended;
                counted.calls = Number(/^\s*100\.00\s+\S+\s+\S*\s*?(\d+)(?:\s+\d+)?\s+total/m.exec(readFileSync(file, "utf8"))?.[1]);
                rmSync(file);
            },
        };
    };
}

// Instructions in user space while events are on their way, counted by valgrind.
export function countInstructions(counted, file) {
    return (hub) => {
        const control = (...words) => execFileSync("callgrind_control", [...words, String(hub.child.pid)], { stdio: "ignore" });
        return {
            atReady: async () => control("-i", "on"),
            atEnd: async () => {
                control("-i", "off");
                control("-d");
                counted.instructions = Number(/^totals:\s*(\d+)/m.exec(readFileSync(`${file}.1`, "utf8"))?.[1]);
            },
        };
    };
}
