// What the TLS gate costs: node tests/bench/tls_gate.mjs PROGRAM [CONNECTIONS]
//
// The same hub twice, plain and with certificates, in turn: processor time and memory for each connection that says hello
// and follows a mat, and the way of one question and its answer with nothing else going on. Both ends are on this machine.
// The load is Node's own TLS, which costs several times what the hub's side does; only the hub's process is measured.
import { execFileSync, spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { require } from "../packages.mjs";

const { WebSocket } = require("ws");
const program = resolve(process.argv[2]);
const connections = Number(process.argv[3] ?? 400);
const wire = await import(pathToFileURL(join(dirname(program), "web", "wire.mjs")));
const demo = fileURLToPath(new URL("../../deploy/demo/competition.csv", import.meta.url));
const ticks = Number(execFileSync("getconf", ["CLK_TCK"]));
const bytes = (kind, value) => wire.toBinary(wire.ToHubSchema, wire.fromJson(wire.ToHubSchema, { [kind]: value }));
const median = (all) => all.sort((a, b) => a - b)[Math.floor(all.length / 2)];

function used(pid) {
    const stat = readFileSync(`/proc/${pid}/stat`, "utf8").split(") ")[1].split(" ");
    const kib = Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, "utf8"))[1]);
    return { ms: ((Number(stat[11]) + Number(stat[12])) * 1000) / ticks, kib };
}

async function joinIn(url, options) {
    const socket = new WebSocket(url, "honbu.v1.proto", options);
    socket.binaryType = "nodebuffer";
    let told;
    socket.on("message", (message) => {
        const { kind } = wire.fromBinary(wire.ToClientSchema, message);
        if (kind.case === "heartbeat") socket.send(bytes("heartbeat", {}));
        else told?.(kind.case);
    });
    const next = (kind) => new Promise((found) => { told = (one) => one === kind && found(); });
    await new Promise((open, failed) => socket.on("open", open).on("error", failed));
    let heard = next("welcome");
    socket.send(bytes("hello", { schema: 2, role: "ROLE_HALL" }));
    await heard;
    heard = next("mat");
    socket.send(bytes("subscribe", { mats: [1] }));
    await heard;
    const ask = async () => {
        const answered = next("clockAnswer");
        socket.send(bytes("clockAsk", { sent: 1 }));
        await answered;
    };
    return { socket, ask };
}

async function measure(encrypted) {
    const data = mkdtempSync(join(tmpdir(), "honbu-tls-"));
    if (encrypted) execFileSync(program, ["certificates", "--data", data, "--name", "localhost", "--address", "127.0.0.1"]);
    const child = spawn(program, ["serve", "--anyone-may-score", "--data", data, "--listen", "127.0.0.1:0", "--competition", demo], { stdio: ["ignore", "pipe", "ignore"] });
    let out = "";
    const port = await new Promise((found) => child.stdout.on("data", (text) => {
        out += text;
        const at = /localhost:(\d+)\/table/.exec(out);
        if (at) found(Number(at[1]));
    }));
    const url = `${encrypted ? "wss" : "ws"}://127.0.0.1:${port}/ws`;
    const options = encrypted ? { ca: readFileSync(join(data, "certificates", "authority.pem")) } : {};
    for (let i = 0; i < 20; ++i) (await joinIn(url, options)).socket.terminate(); // warm
    await new Promise((done) => setTimeout(done, 500));
    const before = used(child.pid);
    const all = [];
    for (let i = 0; i < connections; ++i) all.push(await joinIn(url, options));
    const joined = used(child.pid);
    const ways = [];
    for (let i = 0; i < 150; ++i) { // fewer than a screen may say at once
        const begun = process.hrtime.bigint();
        await all[i % all.length].ask();
        ways.push(Number(process.hrtime.bigint() - begun) / 1000);
    }
    await new Promise((done) => setTimeout(done, 1000));
    const idle = used(child.pid);
    for (const { socket } of all) socket.terminate();
    child.kill("SIGTERM");
    await new Promise((ended) => child.on("close", ended));
    rmSync(data, { recursive: true, force: true });
    return { joiningUs: ((joined.ms - before.ms) * 1000) / connections, kib: (idle.kib - before.kib) / connections, wayUs: median(ways) };
}

const rounds = [];
for (let round = 0; round < 3; ++round) rounds.push({ plain: await measure(false), tls: await measure(true) });
for (const what of ["joiningUs", "kib", "wayUs"]) {
    const plain = median(rounds.map((round) => round.plain[what]));
    const tls = median(rounds.map((round) => round.tls[what]));
    console.log(`${what.padEnd(12)} plain ${plain.toFixed(1).padStart(8)}   TLS ${tls.toFixed(1).padStart(8)}   more ${(tls - plain).toFixed(1).padStart(8)}`);
}
