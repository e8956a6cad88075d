// The same messages in both flavours: what a JSON client hears is, message by message, what a binary client hears,
// turned into JSON by another library (@bufbuild/protobuf, toJson with all defaults written). Source: the JSON mapping
// of the Protocol Buffers language guide; docs/protocol.md, section 14.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Client, wire } from "../wire_client.mjs";
import { competition, scratch, serve } from "./one_hub.mjs";
import { JsonLine, JsonTable } from "./json_line.mjs";
import { dealtWith, screen, Table } from "./table.mjs";

const limit = { timeout: 30_000 };
const device = "00000000000000aa";

async function begin(t) {
    const folder = scratch(t);
    return serve(t, `${folder}/data`, { more: ["--competition", competition(folder, { mats: 2 }), "--title", 'Ōtautahi "open" </b>'] });
}

// A binary message as the JSON flavour has to say it.
const asJson = ({ case: kind, value }) => {
    const message = wire.create(wire.ToClientSchema, { kind: { case: kind, value } });
    return wire.toJson(wire.ToClientSchema, message, { alwaysEmitImplicit: true });
};
const asHeard = ({ kind, value }) => ({ [kind]: value });
const same = (json, binary, why) => assert.deepEqual(asHeard(json), asJson(binary), why);

test("screens of both flavours hear the same views and results in the same order", limit, async (t) => {
    const hub = await begin(t);
    const binary = await screen(hub.port, { allMats: true, results: true });
    const json = await JsonLine.greeted(hub.port);
    json.send("subscribe", { allMats: true, results: true });
    const wanted = ["mat", "finished"];
    const nextBinary = async () => {
        for (;;) {
            const at = binary.heard.findIndex(({ case: kind }) => wanted.includes(kind));
            if (at >= 0) return binary.heard.splice(at, 1)[0];
            await new Promise((heard) => binary.waiting.push(() => (heard(), true)));
        }
    };
    let messages = 0;
    // One call at a time, so that neither skips a view: both have heard all of it before the next.
    const both = async (count) => {
        for (let i = 0; i < count; ++i) {
            same(await json.nextOf(wanted), await nextBinary());
            ++messages;
        }
    };
    await both(2);
    const table = await Table.sit(hub.port, device, 1);
    await both(1);
    let entered = 1_000;
    for (const what of [
        { plain: "PLAIN_CALLED" }, { absent: "SIDE_WHITE" }, { plain: "PLAIN_PRESENT" }, { plain: "PLAIN_HAJIME" }, { osaekomi: "SIDE_BLUE" }, { plain: "PLAIN_TOKETA" },
        { plain: "PLAIN_MATE" }, { shido: "SIDE_BOTH", reason: "PENALTY_REASON_NON_COMBATIVITY" }, { plain: "PLAIN_HAJIME" }, { score: { to: "SIDE_WHITE", level: "LEVEL_WAZA_ARI" } },
        { plain: "PLAIN_MATE" }, { doctor: { to: "SIDE_BLUE", by: "DOCTOR_CALL_REFEREE" } },
    ]) {
        const { kind } = await table.make(1, what, { entered: (entered += 7_000) });
        assert.equal(kind, wire.Verdict_Kind.APPLIED, JSON.stringify(what));
        await both(1);
    }
    table.entered = entered;
    await table.confirm(2); // called, fusen-gachi, kachi, confirmed: views and one result
    await both(5);
    assert.equal(messages, 20);
    await dealtWith(binary);
    json.send("clockAsk", { sent: 1 });
    await json.next("clockAnswer");
    assert.deepEqual([json.heard, binary.heard].map((heard) => heard.filter(({ kind, case: binaryKind }) => wanted.includes(kind ?? binaryKind))), [[], []]);

    // Whoever comes later is given the same by both.
    const late = await screen(hub.port, { allMats: true, results: true });
    const lateJson = await JsonLine.greeted(hub.port);
    lateJson.send("subscribe", { allMats: true, results: true });
    for (let i = 0; i < 2; ++i) same(await lateJson.nextOf(["mat"]), await late.next("mat"));
    same(await lateJson.nextOf(["finished"]), await late.next("finished"));
});

test("a table is told the same in both flavours", limit, async (t) => {
    const hub = await begin(t);
    const [binary, json] = [await Table.sit(hub.port, device, 1), await JsonTable.sit(hub.port, "00000000000000bb", 2)];
    await binary.make(1, { plain: "PLAIN_CALLED" });
    await json.make(4, 1_000, { plain: "PLAIN_CALLED" });
    await json.make(4, 2_000, { score: { to: "SIDE_BOTH", level: "LEVEL_YUKO" } });
    await json.line.close();
    // The same device comes back with the other flavour: the same welcome, allotment, verdicts and refusals.
    const again = { role: "ROLE_TABLE", device: "00000000000000bb", run: "00000000000000b2", foldVersion: json.foldVersion, hand: "Renske" };
    const [oneHears, otherHears] = [[], []];
    const calls = [1, 2, 3].map((number) => ({
        id: { run: "00000000000000bb", number: number === 3 ? 17 : number }, term: 1, mat: 2, bout: 4, entered: number * 1_000,
        ...(number === 2 ? { score: { to: "SIDE_BOTH", level: "LEVEL_YUKO" } } : { plain: "PLAIN_CALLED" }),
    })); // 1 and 2 again as they were, and one that leaves a gap
    const line = await JsonLine.greeted(hub.port, again);
    line.send("takeMat", { mat: 2 });
    line.send("takeMat", { mat: 1 });
    line.send("takeMat", { mat: 9 });
    for (const call of calls) line.send("submit", { call });
    oneHears.push({ kind: "welcome", value: line.welcome });
    for (const kind of ["allotment", "refusal", "refusal", "verdict", "verdict", "refusal"]) oneHears.push(await line.nextOf([kind]));
    await line.close();
    const other = await Client.connect(hub.port, again);
    for (const mat of [2, 1, 9]) other.send({ case: "takeMat", value: { mat } });
    for (const call of calls) other.send({ case: "submit", value: { call } });
    otherHears.push({ case: "welcome", value: other.welcome });
    for (const kind of ["allotment", "refusal", "refusal", "verdict", "verdict", "refusal"]) otherHears.push(await other.next(kind));
    oneHears[0].value.hubMs = otherHears[0].value.hubMs = 0; // the only thing that moves on
    oneHears.forEach((heard, i) => same(heard, otherHears[i], `message ${i}`));
    assert.equal(oneHears[1].value.bouts[0].calls.length, 2);

    // Another table takes the mat, and the hub is stopped.
    const third = await JsonTable.sit(hub.port, "00000000000000cc", 1, { takeOver: true });
    third.line.send("takeMat", { mat: 2, takeOver: true });
    const [lostByBinary, lostByOther] = [await binary.client.next("matLost"), await other.next("matLost")];
    const fourth = await Table.sit(hub.port, device, 1, { takeOver: true });
    const lostByJson = await third.line.nextOf(["matLost"]);
    assert.deepEqual(lostByJson.value, { ...asJson(lostByBinary).matLost, term: 3 });
    assert.equal(lostByOther.value.mat, 2);
    hub.child.kill("SIGTERM");
    same(await third.line.nextOf(["goodbye"]), await fourth.client.next("goodbye"));
});
