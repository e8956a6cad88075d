// Mats and calls as a table's page sends them, and what hall and desk get of them: docs/protocol.md, section beside
// each check. Every test has a hub of its own, so that numbers and terms are its own.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { wire } from "../wire_client.mjs";
import { competition, honbu, scratch, serve } from "./one_hub.mjs";
import { dealtWith, screen, Table } from "./table.mjs";

const { Phase, Reason, Seat_From, TableLine, Verdict_Kind, Way, Winner } = wire;
const limit = { timeout: 20_000 };
const [deviceA, deviceB] = ["00000000000000aa", "00000000000000bb"];
const plain = (what) => ({ plain: `PLAIN_${what}` });

async function begin(t, wish) {
    const folder = scratch(t);
    const data = `${folder}/data`;
    const more = ["--competition", competition(folder, wish), "--title", "Evening Cup"];
    return Object.assign(await serve(t, data, { more }), { data, more });
}

// The journal's line of a record, as `honbu journal show` prints it.
function kept(hub, record) {
    const { code, out, err } = honbu("journal", "show", "--data", hub.data);
    assert.equal(code, 0, err);
    return out.split("\n").find((line) => line.startsWith(`${record}  `));
}

// Refused for this reason: the call, or else the taking.
async function refused(table, reason, call) {
    const refusal = await table.refusal(call);
    assert.equal(refusal.reason, reason, refusal.words);
    assert.match(refusal.words, /^[A-Z].{10,}\.$/);
    return refusal;
}

test("taking a free mat gives its bouts, and every call a verdict with a record", limit, async (t) => {
    const hub = await begin(t, { mats: 2, bouts: 3, more: ["7,1,women -57 kg,2025,4:00,final,winner of 1,,loser of 4,"] });
    const { number } = await hub.ready();
    const table = await Table.sit(hub.port, deviceA, 1);
    assert.deepEqual(table.client.welcome.runs, []); // 3: the hub knows no run of this device yet
    const { allotment } = table; // 7
    assert.deepEqual([allotment.mat, allotment.term], [1, 1]);
    assert.deepEqual(allotment.bouts.map((bout) => bout.bout), [1, 2, 3, 7]);
    const [first, , , last] = allotment.bouts;
    assert.deepEqual([first.category, first.round, first.timeMs, first.confirmed], ["women -57 kg", "round 1", 240_000, false]);
    assert.deepEqual([first.white.name, first.white.club, first.blue.name], ["Wanda Pell 1", "Dojo Fernhill", "Bice Moro 1"]);
    assert.deepEqual([last.white.person, last.white.from, last.white.fromBout], [0, Seat_From.WINNER_OF, 1]);
    assert.deepEqual([last.blue.person, last.blue.from, last.blue.fromBout], [0, Seat_From.LOSER_OF, 4]);
    assert.equal(allotment.rules.length, 1);

    const called = await table.make(1, plain("CALLED"));
    const hajime = await table.make(1, plain("HAJIME"));
    assert.deepEqual([called.kind, called.record], [Verdict_Kind.APPLIED, number + 2]); // the taking is a record as well
    assert.deepEqual([hajime.kind, hajime.record], [Verdict_Kind.APPLIED, number + 3]); // 1: records have no gaps
    assert.match(kept(hub, hajime.record), /mat 1 {2}bout 1 {2}hajime {2}applied {2}\(Ngaio, device 00000000000000aa, run 00000000000000aa\/2\)/);
});

test("the hall sees a call only once it is on the disk", limit, async (t) => {
    const hub = await begin(t);
    const hall = await screen(hub.port, { allMats: true });
    const empty = (await hall.next("mat")).value; // 5: the present view comes at once
    assert.deepEqual([empty.mat, empty.table, empty.bout, empty.frames], [1, TableLine.NONE, undefined, []]);
    assert.deepEqual(empty.next.map((bout) => bout.bout), [1, 2]); // 6: at most two
    const table = await Table.sit(hub.port, deviceA, 1);
    await hall.next("mat", (view) => view.table === TableLine.LIVE);

    // The hub is held still the moment the view is here: nothing can reach the disk after it.
    let caught;
    const inTime = new Promise((resolve) => (caught = resolve));
    hall.onMessage = ({ case: kind, value }) => {
        if (kind !== "mat" || value.bout === undefined) return;
        hub.child.kill("SIGSTOP");
        try {
            caught([value, kept(hub, value.number)]);
        } finally {
            hub.child.kill("SIGCONT");
        }
    };
    const call = table.submit(table.call(1, plain("CALLED")));
    const [view, line] = await inTime;
    const verdict = await table.verdict(call);
    assert.equal(view.number, verdict.record); // a view's number is that of the last record that changed it
    assert.match(line ?? "no such record", /bout 1 {2}called/); // 10: nothing shows a record before it is on the disk
    assert.deepEqual([view.bout.bout, view.bout.white.name, view.frames[0].phase], [1, "Wanda Pell 1", Phase.CALLED]);
});

test("a view holds what will happen by itself", limit, async (t) => {
    const hub = await begin(t);
    const hall = await screen(hub.port, { mats: [1] });
    const table = await Table.sit(hub.port, deviceA, 1);
    const { hubMs } = await dealtWith(table.client);
    table.client.send({ case: "runClock", value: { run: table.run, runMs: 9_000, hubMs } }); // 4
    await table.make(1, plain("CALLED"), { entered: 9_500 });
    const hajime = await table.make(1, plain("HAJIME"), { entered: 10_000 });
    const fighting = (await hall.next("mat", (view) => view.number === hajime.record)).value;
    assert.deepEqual(fighting.frames.map((frame) => [frame.phase, frame.clock.running, frame.clock.ms]),
        [[Phase.FIGHTING, true, 240_000], [Phase.STOPPED, false, 0]]); // 6: now, and time up
    assert.equal(fighting.frames[1].from - fighting.frames[0].from, 240_000);
    // A hold from 4 s on: 5, 10 and 20 s of the rules from 2025 (docs/rules.md) lie 5, 10 and 20 s later.
    const osaekomi = await table.make(1, { osaekomi: "SIDE_BLUE" }, { entered: 14_000 });
    const { frames } = (await hall.next("mat", (view) => view.number === osaekomi.record)).value;
    assert.equal(frames[0].from - fighting.frames[0].from, 4_000);
    assert.deepEqual(frames.map((frame) => frame.from - frames[0].from), [0, 5_000, 10_000, 20_000, 25_000]); // its last value can be read for 5 s
    assert.deepEqual(frames.map((frame) => [frame.blue.ippon, frame.blue.wazaAri, frame.blue.yuko]), [[0, 0, 0], [0, 0, 1], [0, 1, 0], [1, 0, 0], [1, 0, 0]]);
    assert.deepEqual(frames.map((frame) => frame.winner), [0, 0, 0, Winner.BLUE, Winner.BLUE]);
    assert.deepEqual(frames.map((frame) => frame.pastHold?.ms), [undefined, undefined, undefined, 20_000, undefined]);
    assert.equal(frames[3].clock.ms, 240_000 - 24_000);
});

test("the same call again gets the same verdict, and is one record", limit, async (t) => {
    const hub = await begin(t);
    const table = await Table.sit(hub.port, deviceA, 1);
    await table.make(1, plain("CALLED"));
    const call = table.call(1, plain("HAJIME"));
    for (let i = 0; i < 3; ++i) table.submit(call); // 8: also while the first has no verdict yet; one answer may do for all
    const verdict = await table.verdict(call);
    table.submit(call);
    assert.deepEqual(await table.verdict(call), verdict);
    await dealtWith(table.client);
    for (const { case: kind, value } of table.client.heard) if (kind === "verdict") assert.deepEqual(value, verdict);
    const { number } = await hub.ready();
    assert.equal(number, verdict.record);
    // Over another connection of the same device, and after the hub was started anew.
    await table.close();
    const again = await Table.connect(hub.port, deviceA);
    assert.deepEqual(again.client.welcome.runs.map(({ run, last }) => [run, last]), [[table.run, 2]]); // 3
    again.submit(call);
    assert.deepEqual(await again.verdict(call), verdict);
    assert.equal((await hub.ready()).number, number);
    await hub.stop("SIGTERM");
    const later = await serve(t, hub.data, { more: hub.more });
    const back = await Table.connect(later.port, deviceA, "00000000000000a2"); // the page was reloaded: another run
    assert.deepEqual(back.client.welcome.runs.map(({ run, last }) => [run, last]), [[table.run, 2]]);
    assert.equal(back.client.welcome.epoch, table.client.welcome.epoch);
    back.submit(call);
    assert.deepEqual(await back.verdict(call), verdict);
    assert.equal((await later.ready()).number, number);
});

test("a number that was used for another call is refused", limit, async (t) => {
    const hub = await begin(t, { mats: 2 });
    const table = await Table.sit(hub.port, deviceA, 1);
    const call = table.submit(table.call(1, plain("CALLED")));
    const verdict = await table.verdict(call);
    const { number } = await hub.ready();
    for (const change of [{ bout: 2 }, { plain: "PLAIN_HAJIME" }, { entered: call.entered + 1 }, { term: 2 }, { mat: 2 }, { seen: 5 }, { back: 1 }]) {
        table.submit({ ...call, ...change });
        await refused(table, Reason.OTHER_CONTENT, call); // 9
    }
    // Nor may another device use this run.
    const other = await Table.connect(hub.port, deviceB, table.run);
    for (const foreign of [call, { ...call, id: { run: table.run, number: 2 } }]) {
        await refused(other, Reason.OTHER_CONTENT, other.submit(foreign));
    }
    assert.equal((await hub.ready()).number, number); // 9: a refusal changes nothing
    table.submit(call);
    assert.deepEqual(await table.verdict(call), verdict);
});

test("a gap in the numbers is refused, and the words say which comes next", limit, async (t) => {
    const hub = await begin(t);
    const table = await Table.sit(hub.port, deviceA, 1);
    await table.make(1, plain("CALLED"));
    const { number } = await hub.ready();
    for (const wrong of [3, 9, 4_294_967_295]) {
        const call = table.submit({ ...table.call(1, plain("HAJIME")), id: { run: table.run, number: wrong } });
        const refusal = await refused(table, Reason.NUMBER_GAP, call); // 9
        assert.match(refusal.words, /\b2\b/);
    }
    // Calls sent after a gap in one go are all refused: none slips in later.
    const early = [4, 3].map((number) => table.submit({ ...table.call(1, plain("HAJIME")), id: { run: table.run, number } }));
    for (const call of early) await refused(table, Reason.NUMBER_GAP, call);
    assert.equal((await hub.ready()).number, number); // it uses up no number
    table.number = 1;
    assert.equal((await table.make(1, plain("HAJIME"))).record, number + 1);
});

test("a call that is impossible where it stands is kept without effect", limit, async (t) => {
    const hub = await begin(t);
    const hall = await screen(hub.port, { mats: [1] });
    const table = await Table.sit(hub.port, deviceA, 1);
    const called = await table.make(1, plain("CALLED"));
    const yoshi = await table.make(1, plain("YOSHI")); // 8: yoshi comes after sono-mama
    assert.deepEqual([yoshi.kind, yoshi.record], [Verdict_Kind.WITHOUT_EFFECT, called.record + 1]);
    assert.match(kept(hub, yoshi.record), /yoshi {2}without effect/);
    const hajime = await table.make(1, plain("HAJIME"));
    await hall.next("mat", (view) => view.number === hajime.record);
    assert.equal(hall.heard.some((message) => message.case === "mat" && message.value.number === yoshi.record), false); // no view shows it
});

test("a call says which state of the bout its table saw", limit, async (t) => {
    const hub = await begin(t);
    const table = await Table.sit(hub.port, deviceA, 1);
    // 11, the worked example: the same calls at the same run times, so the same states and their hashes as printed there.
    const page = readFileSync(new URL("../../docs/protocol.md", import.meta.url), "utf8");
    const [atHajime, atOsaekomi] = [60_000, 75_500].map((entered) => Number(new RegExp(`entered: ${entered} +seen: (\\d+)`).exec(page)[1]));
    await table.make(1, plain("CALLED"), { entered: 50_000 });
    const hajime = await table.make(1, plain("HAJIME"), { entered: 60_000, seen: atHajime });
    assert.deepEqual([hajime.kind, hajime.stateDiffers], [Verdict_Kind.APPLIED, false], "hajime"); // 8
    const osaekomi = await table.make(1, { osaekomi: "SIDE_WHITE" }, { entered: 75_500, seen: atOsaekomi });
    assert.deepEqual([osaekomi.kind, osaekomi.stateDiffers], [Verdict_Kind.APPLIED, false], "osaekomi");
    // Another state does not keep the call from counting; it is marked.
    const toketa = await table.make(1, plain("TOKETA"), { entered: 76_000, seen: atOsaekomi });
    assert.deepEqual([toketa.kind, toketa.stateDiffers], [Verdict_Kind.APPLIED, true]);
});

test("a mat another table holds is given only after a person's yes", limit, async (t) => {
    const hub = await begin(t);
    const hall = await screen(hub.port, { mats: [1] });
    const first = await Table.sit(hub.port, deviceA, 1);
    await first.make(1, plain("CALLED"));
    const second = await Table.connect(hub.port, deviceB);
    second.client.send({ case: "takeMat", value: { mat: 1 } });
    assert.match((await refused(second, Reason.MAT_HELD)).words, /mat 1/); // 7
    await first.make(1, plain("HAJIME")); // still in charge
    assert.equal(second.client.heard.some((message) => message.case === "allotment"), false);

    second.client.send({ case: "takeMat", value: { mat: 1, takeOver: true } });
    const { term, bouts } = await second.allotted();
    assert.equal(term, 2); // taking a held mat raises the term
    assert.equal(bouts[0].calls.length, 2); // and the calls of a bout that has begun come along
    const lost = (await first.client.next("matLost")).value;
    assert.deepEqual([lost.mat, lost.term], [1, 2]);
    assert.match(lost.words, /mat 1/);

    const late = await first.make(1, plain("MATE"));
    assert.equal(late.kind, Verdict_Kind.SET_ASIDE); // recorded, and set aside for a person
    assert.match(kept(hub, late.record), /mate {2}set aside {2}\(Ngaio, device 00000000000000aa/);
    const mate = await second.make(1, plain("MATE"), { entered: 60_000 });
    assert.equal(mate.kind, Verdict_Kind.APPLIED); // the bout still fights: the one set aside did not count
    await hall.next("mat", (view) => view.number === mate.record);
    assert.equal(hall.heard.some((message) => message.case === "mat" && message.value.number === late.record), false);
});

test("coming back to one's own mat raises no term", limit, async (t) => {
    const hub = await begin(t);
    const hall = await screen(hub.port, { mats: [1] });
    const table = await Table.sit(hub.port, deviceA, 1);
    const { number } = await hub.ready();
    await hall.next("mat", (view) => view.table === TableLine.LIVE);
    await table.close();
    await hall.next("mat", (view) => view.table === TableLine.ALONE); // 6
    const again = await Table.sit(hub.port, deviceA, 1, { run: "00000000000000a2" });
    assert.equal(again.allotment.term, 1); // 7
    await hall.next("mat", (view) => view.table === TableLine.LIVE);
    assert.equal((await hub.ready()).number, number);
    assert.equal((await again.make(1, plain("CALLED"))).kind, Verdict_Kind.APPLIED);
});

test("calls for what was not handed to the table are set aside", limit, async (t) => {
    const hub = await begin(t, { mats: 2, bouts: 2 });
    const table = await Table.sit(hub.port, deviceA, 1);
    for (const change of [{ mat: 2, bout: 3 }, { bout: 3 }, { bout: 99 }, { mat: 3 }, { term: 0 }, { term: 2 }]) {
        const verdict = await table.make(1, plain("CALLED"), change); // 8
        assert.equal(verdict.kind, Verdict_Kind.SET_ASIDE, JSON.stringify(change));
    }
    assert.equal((await table.make(1, plain("CALLED"))).kind, Verdict_Kind.APPLIED);
    table.client.send({ case: "takeMat", value: { mat: 3 } });
    assert.equal((await refused(table, Reason.NO_SUCH_MAT)).call, undefined); // 9
});

test("a call with a field out of range ends the connection, and names the field", limit, async (t) => {
    const hub = await begin(t);
    const { number } = await hub.ready();
    for (const [field, change] of [
        ["call.mat", { mat: 0 }], ["call.mat", { mat: 65_536 }], ["call.id.number", { id: { run: deviceA, number: 0 } }],
        ["call.id.run", { id: { run: "x", number: 1 } }], ["call.id", { id: undefined }], ["call.plain", { plain: 18 }], ["call.what", { plain: undefined }],
        ["call.osaekomi", { plain: undefined, osaekomi: "SIDE_BOTH" }], ["call.shido", { plain: undefined, shido: "SIDE_NONE" }],
        ["call.reason", { reason: "PENALTY_REASON_LEG_GRAB" }], ["call.replace.by", { plain: undefined, replace: { call: { run: deviceA, number: 1 }, by: { plain: "PLAIN_ACCEPT" } } }],
        ["call.score.level", { plain: undefined, score: { to: "SIDE_WHITE", level: 5 } }],
        ["call.award.way", { plain: undefined, award: { to: "SIDE_WHITE", way: "WAY_IPPON" } }],
        ["call.confirm.rules_hash", { plain: undefined, confirm: { winner: "WINNER_WHITE", way: "WAY_IPPON", rulesHash: "AAAA" } }],
        ["call.joint.source", { plain: undefined, joint: { earlier: deviceB, source: "SOURCE_NONE" } }],
    ]) {
        const table = await Table.connect(hub.port, deviceA);
        const call = { id: { run: deviceA, number: 1 }, term: 1, mat: 1, bout: 1, plain: "PLAIN_CALLED", ...change };
        for (const key of Object.keys(call)) if (call[key] === undefined) delete call[key];
        table.submit(call);
        const { value } = await table.client.next("goodbye"); // 9
        assert.equal(value.reason, Reason.UNREADABLE);
        assert.ok(value.words.includes(field), `${field}: ${value.words}`);
        assert.equal(await table.client.closed, 1007);
    }
    assert.equal((await hub.ready()).number, number); // nothing was half-applied
});

test("a table can't accept a result: refused, and no number is used", limit, async (t) => {
    const hub = await begin(t);
    const table = await Table.sit(hub.port, deviceA, 1);
    await table.confirm(1);
    const { number } = await hub.ready();
    const accept = table.call(1, plain("ACCEPT"));
    table.submit(accept);
    const { value } = await table.client.next("refusal");
    assert.equal(value.reason, Reason.NOT_THE_DESK);
    assert.equal(value.call.number, accept.id.number);
    assert.equal((await hub.ready()).number, number);
});

test("a confirmed result is an item of the stream, and a name where it was waited for", limit, async (t) => {
    const hub = await begin(t, { mats: 2, bouts: 1, more: ["3,2,women -57 kg,2025,4:00,final,winner of 1,,loser of 1,"] });
    const desk = await screen(hub.port, { allMats: true, results: true }, "ROLE_DESK");
    const waiting = await Table.sit(hub.port, deviceB, 2);
    const table = await Table.sit(hub.port, deviceA, 1);
    const { record } = await table.confirm(1);
    const item = (await desk.next("finished")).value; // 5
    assert.deepEqual([item.number, item.mat, item.bout.bout, item.bout.white.name], [record, 1, 1, "Wanda Pell 1"]);
    assert.deepEqual([item.result.winner, item.result.way], [Winner.WHITE, Way.FUSEN_GACHI]);
    assert.match(item.words, /^white wins by fusen-gachi/);
    const last = (await waiting.allotted()).bouts.find((bout) => bout.bout === 3); // 7: by itself
    assert.deepEqual([last.white.name, last.blue.name], ["Wanda Pell 1", "Bice Moro 1"]);
    const queue = (await desk.next("mat", (view) => view.mat === 2 && view.next.at(-1).white.name !== "")).value.next; // 6
    assert.deepEqual(queue.map((bout) => [bout.bout, bout.white.name]), [[2, "Wanda Pell 2"], [3, "Wanda Pell 1"]]);
    const done = (await desk.next("mat", (view) => view.mat === 1 && view.number === record)).value;
    assert.equal(done.frames[0].phase, Phase.CONFIRMED);
    const back = await Table.sit(hub.port, deviceA, 1);
    assert.equal(back.allotment.bouts[0].confirmed, true);
});

test("the results go on where they were left, none twice and none left out", limit, async (t) => {
    const hub = await begin(t, { bouts: 40 });
    const table = await Table.sit(hub.port, deviceA, 1);
    const records = [];
    const finish = async (count) => {
        for (let i = 0; i < count; ++i) records.push((await table.confirm(records.length + 1)).record);
    };
    const read = async (client, count) => {
        const numbers = [];
        while (numbers.length < count) numbers.push((await client.next("finished")).value.number);
        await dealtWith(client);
        assert.equal(client.heard.some((message) => message.case === "finished"), false, "nothing more");
        return numbers;
    };
    const stream = async (after) => screen(hub.port, { results: true, resultsAfter: after }, "ROLE_DESK");
    await finish(3);
    const first = await stream(0); // 5
    assert.deepEqual(await read(first, 3), records);
    await finish(2);
    assert.deepEqual(await read(first, 2), records.slice(3));
    first.close();
    await finish(35); // more than fits in one write of the hub
    const second = await stream(records[4]);
    assert.deepEqual(await read(second, 35), records.slice(5));
    // After a number that is no result (they have gaps), after each, and after the last.
    assert.deepEqual(await read(await stream(records[1] + 1), 38), records.slice(2));
    assert.deepEqual(await read(await stream(records[38]), 1), records.slice(39));
    assert.deepEqual(await read(await stream(records[39]), 0), []);
    // A new subscription replaces the one before, here on the same line.
    second.send({ case: "subscribe", value: { results: true, resultsAfter: records[37] } });
    assert.deepEqual(await read(second, 2), records.slice(38));
    // And a hub that was started anew has them all.
    await hub.stop("SIGTERM");
    const later = await serve(t, hub.data, { more: hub.more });
    assert.deepEqual(await read(await screen(later.port, { results: true, resultsAfter: records[9] }), 30), records.slice(10));
});

test("a subscription replaces the one before, and an empty one ends it", limit, async (t) => {
    const hub = await begin(t, { mats: 2 });
    const [changing, all] = [await screen(hub.port, { allMats: true, results: true }), await screen(hub.port, { allMats: true })];
    for (const mat of [1, 2]) await changing.next("mat", (view) => view.mat === mat);
    changing.send({ case: "subscribe", value: { mats: [2] } });
    await changing.next("mat", (view) => view.mat === 2); // 5
    const table = await Table.sit(hub.port, deviceA, 1);
    const other = await Table.sit(hub.port, deviceB, 2);
    const one = await table.make(1, plain("CALLED"));
    const two = await other.make(4, plain("CALLED"));
    await changing.next("mat", (view) => view.number === two.record);
    assert.equal(changing.heard.some((message) => message.case === "mat" && message.value.mat === 1), false);
    changing.send({ case: "subscribe", value: {} });
    await dealtWith(changing);
    changing.heard = [];
    await table.confirm(2);
    const three = await other.make(4, plain("HAJIME"));
    await all.next("mat", (view) => view.number === one.record);
    await all.next("mat", (view) => view.number === three.record); // whoever is subscribed has it
    await dealtWith(changing);
    assert.deepEqual(changing.heard.filter(({ case: kind }) => kind === "mat" || kind === "finished"), []);
});

test("run time is put on hub time with the word of the table", limit, async (t) => {
    const hub = await begin(t);
    const hall = await screen(hub.port, { mats: [1] });
    const table = await Table.sit(hub.port, deviceA, 1);
    const { hubMs } = await dealtWith(table.client);
    const runMs = 90_000; // 4: the same moment on both clocks
    table.client.send({ case: "runClock", value: { run: table.run, runMs, hubMs } });
    await table.make(1, plain("CALLED"), { entered: runMs + 1_000 });
    const hajime = await table.make(1, plain("HAJIME"), { entered: runMs + 1_500 });
    const { frames } = (await hall.next("mat", (view) => view.number === hajime.record)).value;
    assert.equal(frames[0].from, hubMs + 1_500);
    assert.equal(frames[1].from, hubMs + 1_500 + 240_000);
});

test("many calls on their way at once all get their verdicts, in order", limit, async (t) => {
    const hub = await begin(t, { mats: 2, bouts: 20 });
    const hall = await screen(hub.port, { allMats: true });
    const views = [];
    hall.onMessage = ({ case: kind, value }) => kind === "mat" && views.push(value);
    const tables = [await Table.sit(hub.port, deviceA, 1), await Table.sit(hub.port, deviceB, 2)];
    const calls = tables.map((table, at) => Array.from({ length: 400 }, (_, i) => table.call(at * 20 + 1 + Math.floor(i / 20),
        i % 20 === 0 ? plain("CALLED") : i % 2 === 0 ? plain("MATE") : plain("HAJIME"))));
    for (let i = 0; i < 400; ++i) tables.forEach((table, at) => table.submit(calls[at][i])); // 8: without waiting
    const records = [];
    for (const [at, table] of tables.entries()) {
        const own = [];
        for (const sent of calls[at]) {
            const { call, kind, record } = (await table.client.next("verdict")).value;
            assert.deepEqual([call.number, kind], [sent.id.number, Verdict_Kind.APPLIED]);
            own.push(record);
        }
        records.push(own);
    }
    // Every call one record, and each run's in order of its numbers.
    assert.equal(new Set(records.flat()).size, 800);
    for (const own of records) assert.deepEqual(own, [...own].sort((a, b) => a - b));
    for (const [at, own] of records.entries()) {
        while (views.findLast((view) => view.mat === at + 1).number < own.at(-1)) await hall.next("mat");
        const numbers = views.filter((view) => view.mat === at + 1).map((view) => view.number);
        assert.deepEqual(numbers, [...numbers].sort((a, b) => a - b)); // 10: views of one mat never go back
    }
});
