// The program is killed at a random moment while two tables send calls: whatever got a verdict is kept, once, with that
// verdict, and the journal folds to the same state every time. The promise: docs/protocol.md, 8 ("It is lasting") and
// 10; durability as Haerder and Reuter define it (Principles of transaction-oriented database recovery, ACM Computing
// Surveys 15(4), 1983; from memory): what was acknowledged survives any later failure.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { randomInt } from "node:crypto";
import { test } from "node:test";
import { wire } from "../wire_client.mjs";
import { competition, program, scratch, serve } from "./one_hub.mjs";
import { screen, Table } from "./table.mjs";

const { Verdict_Kind } = wire;
const rounds = 12;
const boutsEachRound = 30; // of each mat
const callsEachBout = 40;
const onTheirWay = 25; // at once, without a verdict

// Sends the calls one after another, so many on their way at once, and notes the verdicts by call number. Ends when all
// have one, or the line is gone.
function stream(table, calls, told) {
    return new Promise((done) => {
        let next = 0;
        let waiting = 0;
        const more = () => {
            while (waiting < onTheirWay && next < calls.length) {
                table.submit(calls[next++]);
                ++waiting;
            }
            if (waiting === 0) done();
        };
        table.client.onMessage = ({ case: kind, value }) => {
            if (kind !== "verdict") return;
            told(value.call.number, { kind: value.kind, record: value.record, stateDiffers: value.stateDiffers });
            --waiting;
            more();
        };
        table.client.closed.then(done);
        more();
    });
}

// What the program says about this journal; throws with its words if it fails.
const honbu = (data, ...words) => execFileSync(program, [...words, "--data", data], { encoding: "utf8", maxBuffer: 1 << 28 });

// Every call in the journal, in the order of records.
function keptCalls(data) {
    const out = honbu(data, "journal", "show");
    return [...out.matchAll(/^(\d+) {2}\S+ {2}mat \d+ {2}bout (\d+) {2}(.+?) {2}applied {2}\(.*run ([0-9a-f]{16})\/(\d+)\)$/gm)]
        .map(([, record, bout, words, run, number]) => ({ record: Number(record), run, number: Number(number), bout: Number(bout), words }));
}

function replayed(data) {
    const out = honbu(data, "journal", "replay");
    assert.match(out, /state SHA-256 [0-9a-f]{64}/);
    return out;
}

test("kill -9 in the middle of calls loses no verdict and counts nothing twice", { timeout: 180_000 }, async (t) => {
    const folder = scratch(t);
    const data = `${folder}/data`;
    const more = ["--competition", competition(folder, { mats: 2, bouts: rounds * boutsEachRound })];
    const sitters = ["00000000000000aa", "00000000000000bb"].map((device, at) => ({ device, mat: at + 1, calls: [], told: new Map() }));
    let epoch;
    let unanswered = 0;

    // Starts the hub, and sends again whatever was ever sent: what was told before is told again.
    async function again() {
        const hub = await serve(t, data, { more });
        epoch ??= (await hub.ready()).epoch;
        for (const sitter of sitters) {
            sitter.table = await Table.sit(hub.port, sitter.device, sitter.mat);
            const { welcome } = sitter.table.client;
            assert.equal(welcome.epoch, epoch);
            assert.ok((welcome.runs[0]?.last ?? 0) >= sitter.told.size, "the welcome counts fewer verdicts than were given");
            Object.assign(sitter.table, { number: sitter.calls.length, entered: sitter.calls.at(-1)?.entered ?? 1_000 });
            const once = new Map();
            await stream(sitter.table, sitter.calls, (number, verdict) => once.set(number, verdict));
            assert.equal(once.size, sitter.calls.length, "every call gets a verdict");
            for (const [number, verdict] of once) {
                if (sitter.told.has(number)) assert.deepEqual(verdict, sitter.told.get(number), `call ${number}`);
                assert.equal(verdict.kind, Verdict_Kind.APPLIED);
                sitter.told.set(number, verdict);
            }
        }
        return hub;
    }

    for (let round = 0; round < rounds; ++round) {
        const hub = await again();
        const wait = randomInt(5, 250);
        let killing;
        await Promise.all(sitters.map(({ table, mat, calls, told }) => {
            const fresh = [];
            for (let bout = 1 + round * boutsEachRound; bout <= (round + 1) * boutsEachRound; ++bout) {
                for (let i = 0; i < callsEachBout; ++i) {
                    const what = i === 0 ? { plain: "PLAIN_CALLED" } : i === 1 ? { plain: "PLAIN_HAJIME" }
                        : { score: { to: i % 2 === 0 ? "SIDE_WHITE" : "SIDE_BLUE", level: "LEVEL_YUKO" } };
                    fresh.push(table.call((mat - 1) * rounds * boutsEachRound + bout, what));
                }
            }
            const submit = table.submit;
            table.submit = (call) => {
                calls.push(call);
                submit.call(table, call);
            };
            return stream(table, fresh, (number, verdict) => {
                told.set(number, verdict);
                killing ??= setTimeout(() => hub.child.kill("SIGKILL"), wait); // the random moment
            });
        }));
        assert.deepEqual(await hub.ended, { code: null, signal: "SIGKILL" });
        await Promise.all(sitters.map(({ table }) => table.client.closed));

        const kept = keptCalls(data);
        for (const { device, calls, told } of sitters) {
            unanswered += calls.length - told.size;
            const own = kept.filter((call) => call.run === device);
            assert.deepEqual(own.map((call) => call.number), own.map((_, i) => i + 1), `round ${round}, killed after ${wait} ms: each call once, in order`);
            for (const [number, { record }] of told) {
                assert.equal(own[number - 1]?.record, record, `round ${round}, killed after ${wait} ms: call ${number} of ${device}`);
            }
        }
        honbu(data, "journal", "verify");
        assert.equal(replayed(data), replayed(data));
    }
    assert.ok(unanswered > 0, "no kill ever met a call on its way");

    // After the last: what the hall sees is what the journal has, counted by hand.
    const hub = await again();
    const kept = keptCalls(data);
    const hall = await screen(hub.port, { allMats: true });
    for (const { mat, device } of sitters) {
        const { bout, frames } = (await hall.next("mat", (view) => view.mat === mat)).value;
        const own = kept.filter((call) => call.run === device);
        assert.equal(bout.bout, own.at(-1).bout);
        const count = (side) => own.filter((call) => call.bout === bout.bout && call.words === `yuko to ${side}`).length;
        assert.deepEqual([frames[0].white.yuko, frames[0].blue.yuko], [count("white"), count("blue")]);
    }
    await hub.stop("SIGTERM");
    const state = replayed(data);
    await (await serve(t, data, { more })).stop("SIGTERM"); // starting alone changes nothing
    assert.equal(replayed(data), state);
    t.diagnostic(`${kept.length} calls kept over ${rounds} kills, ${unanswered} on their way when one came`);
});
