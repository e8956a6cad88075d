// People over the wire and on the disk, with the real hub: a name that is erased is nowhere afterwards, in no flavour, no
// document and no file (docs/personal-data.md); and what the public is shown where names are cut (--public-names).
// Regulation (EU) 2016/679, Art. 17(1) and 5(1)(c) (from memory).
import assert from "node:assert/strict";
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { setTimeout as pause } from "node:timers/promises";
import { wire } from "../wire_client.mjs";
import { EventReader } from "./event_source.mjs";
import { JsonLine } from "./json_line.mjs";
import { honbu, scratch, serve } from "./one_hub.mjs";
import { Table, screen } from "./table.mjs";

const limit = { timeout: 60_000 };
const { Reason } = wire;
const device = "00000000000000e1";
const name = "Wilhelmina Ostergard", club = "Dojo Fernhill";

function cup(folder) {
    const file = join(folder, "cup.csv");
    writeFileSync(file, [
        "bout,mat,category,rules,time,round,white,white_club,blue,blue_club",
        `1,1,women -57 kg,2025,4:00,semi-final,${name},${club},Bice Moro,Judo Saltmarsh`,
        "2,1,women -57 kg,2025,4:00,semi-final,Jean-Luc van Aerden,,\"Okpara, Adaeze\",Judo Saltmarsh",
        "3,1,women -57 kg,2025,4:00,final,winner of 1,,winner of 2,", ""].join("\n"));
    return file;
}

async function openDesk(port) {
    const desk = await screen(port, { results: true, allMats: true, callList: true, sheets: [1] }, "ROLE_DESK", { device, hand: "table 2, morning" });
    let requests = 0;
    desk.ask = async (kind, value) => {
        const request = ++requests;
        desk.send({ case: kind, value: { request, ...value } });
        return desk.nextOf((message) => message.value.request === request);
    };
    return desk;
}

// The files in which it stands, the logs among them.
const holds = (folder, text) => readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return holds(path, text);
    return entry.isFile() && readFileSync(path).includes(text) ? [path] : [];
});
async function soon(what, yes) {
    for (let i = 0; i < 200; ++i) {
        if (await yes()) return;
        await pause(50);
    }
    assert.fail(`not within ten seconds: ${what}`);
}
const pages = ["/v1/mats", "/v1/mats/1", "/v1/call-list", "/v1/results", "/v1/results.csv", "/v1/bouts/1", "/v1/bouts/1.csv", "/v1/bouts/3"];
const everyPage = async (url) => (await Promise.all(pages.map(async (page) => (await fetch(url + page)).text()))).join("\n");
const said = (messages) => JSON.stringify(messages, (_, value) => (typeof value === "bigint" ? String(value) : value));

test("an erased name is in no answer, no stream and no file", limit, async (t) => {
    const folder = scratch(t);
    const data = join(folder, "data"), mirror = join(folder, "mirror");
    const more = ["--competition", cup(folder), "--title", "Evening Cup", "--mirror", mirror];
    let hub = await serve(t, data, { more });
    const table = await Table.sit(hub.port, "00000000000000a1", 1);
    const confirmed = (await table.confirm(1)).record;
    const desk = await openDesk(hub.port);
    const events = await EventReader.open(hub.port);
    const board = await JsonLine.greeted(hub.port, { role: "ROLE_BOARD" });
    board.send("subscribe", { allMats: true, results: true });
    assert.match(await everyPage(hub.url), new RegExp(name));
    await soon("the mirror has it", () => holds(mirror, name).length > 0);

    // Found by a part of the name, and erased by number.
    const found = (await desk.ask("findPeople", { words: "osterg" })).value;
    assert.equal(found.people.length, 1);
    const [{ person }] = found.people;
    assert.deepEqual([found.people[0].name, found.people[0].club, found.people[0].bouts], [name, club, [1, 3]]);
    const done = await desk.ask("erasePerson", { person, reason: "asked for it" });
    assert.equal(done.case, "done", done.value.words);
    const instead = `Athlete ${person}`;

    // Whoever follows is told in each form.
    const { value: renamed } = await desk.next("renamed");
    assert.deepEqual([renamed.number, renamed.person, renamed.name], [done.value.record, person, instead]);
    const { value: view } = await desk.next("mat", ({ number }) => number === done.value.record);
    assert.equal(view.next[0].white.name, "Jean-Luc van Aerden");
    const { value: list } = await desk.next("callList", ({ number }) => number === done.value.record);
    assert.deepEqual([list.mats[0].next[1].white.name, list.mats[0].next[1].white.club], [instead, ""]);
    assert.equal((await desk.next("sheet", ({ bout }) => bout.white.name === instead)).value.changed, confirmed);
    const event = await events.next("renamed");
    assert.deepEqual(event.data.renamed, { number: done.value.record, person, name: instead });
    assert.equal(event.id, `${event.data.epoch}-${done.value.record}`);
    assert.deepEqual(await board.next("renamed"), { number: done.value.record, person, name: instead });
    const given = await table.client.next("allotment", ({ bouts }) => bouts[2].white.name === instead);
    assert.equal(given.value.bouts[0].white.name, instead);

    // And who comes later finds it nowhere.
    const checkNowhere = async () => {
        const late = await openDesk(hub.port);
        await late.next("renamed");
        for (const kind of ["mat", "callList", "sheet", "finished"]) {
            const { value } = await late.next(kind);
            assert.ok(!said(value).includes(name), kind);
            assert.ok(!said(value).includes(club), kind);
        }
        assert.equal((await late.ask("findPeople", { words: "osterg" })).value.people.length, 0);
        const [gone] = (await late.ask("findPeople", { words: String(person) })).value.people;
        assert.deepEqual([gone.erased, gone.name], [true, instead]);
        late.close();
        const all = await everyPage(hub.url);
        assert.ok(!all.includes(name) && !all.includes(club), "a document");
        assert.match(all, new RegExp(instead));
        const again = await EventReader.open(hub.port);
        const result = await again.next("result");
        assert.equal(result.data.result.bout.white.name, instead);
        again.close();
    };
    await checkNowhere();
    await soon("gone from the journal's files", () => holds(data, name).length === 0);
    await soon("gone from the mirror's files", () => holds(mirror, name).length === 0);

    // Once only, and only who is there; a table can't.
    const twice = await desk.ask("erasePerson", { person, reason: "asked for it" });
    assert.deepEqual([twice.case, twice.value.reason], ["refusal", Reason.CHANGED]);
    const nobody = await desk.ask("erasePerson", { person: 99, reason: "asked for it" });
    assert.equal(nobody.value.reason, Reason.NO_SUCH_PERSON);
    table.client.send({ case: "erasePerson", value: { request: 5, person: 2, reason: "no" } });
    assert.equal((await table.client.next("refusal")).value.reason, Reason.NOT_THE_DESK);
    for (const one of [desk, events, board, table]) one.close();

    // After a kill, with the same file named again: the same.
    hub.child.kill("SIGKILL");
    await hub.ended;
    hub = await serve(t, data, { more });
    await checkNowhere();
    hub.child.kill("SIGTERM");
    await hub.ended;
    assert.deepEqual([holds(data, name), holds(mirror, name)], [[], []]);
});

const journal = (...words) => {
    const { code: status, out: stdout, err: stderr } = honbu("journal", ...words);
    return { status, stdout, stderr };
};

test("with no hub running a name is found, shown and erased on the command line", limit, async (t) => {
    const folder = scratch(t);
    const data = join(folder, "data"), stick = join(folder, "stick");
    const file = cup(folder);
    const hub = await serve(t, data, { more: ["--competition", file] });
    const erase = ["erase", "--data", data, "--person", "1", "--reason", "a letter"];
    const while_it_runs = journal(...erase);
    assert.equal(while_it_runs.status, 1);
    assert.match(while_it_runs.stderr, /Another hub .* is already running/);
    hub.child.kill("SIGTERM");
    await hub.ended;
    assert.equal(journal("copy", "--data", data, "--to", stick).status, 0);
    assert.notDeepEqual(holds(stick, name), []);

    assert.match(journal("people", "--data", data).stdout, new RegExp(`^person 1  ${name}, ${club}  bouts 1$`, "m"));
    assert.equal(journal("people", "--data", data, "Moro").stdout, "person 2  Bice Moro, Judo Saltmarsh  bouts 1\n");
    assert.equal(journal("people", "--data", data, "Nobody").status, 1);
    const one = journal("person", "--data", data, "--person", "1").stdout;
    assert.match(one, /bout 1, mat 1, women -57 kg, semi-final, as white/);
    assert.equal(journal("person", "--data", data, "--person", "9").status, 1);

    for (const wrong of [["--person", "9", "--reason", "a letter"], ["--reason", "a letter"], ["--person", "1", "--reason", " "], ["--person", "1", "--bout", "2", "--reason", "both"]]) {
        assert.equal(journal("erase", "--data", data, ...wrong).status, 1, wrong.join(" "));
    }
    assert.equal(journal("erase", "--data", join(folder, "nothing"), "--person", "1", "--reason", "a letter").status, 1);
    assert.match(journal("erase", "--data", stick, "--person", "1", "--reason", "a letter").stderr, /holds a copy/);
    const erased = journal(...erase);
    assert.equal(erased.status, 0, erased.stderr);
    assert.match(erased.stdout, /^Erased, by record 3, and gone from the files in /);
    assert.deepEqual(holds(data, name), []);
    assert.equal(journal(...erase).status, 1);
    assert.match(journal("people", "--data", data, "1").stdout, /^person 1 {2}Athlete 1 \(erased\) {2}bouts 1$/m);
    assert.match(journal("show", "--data", data).stdout, /person 1 erased: a letter/);
    assert.equal(journal("verify", "--data", data).status, 0);

    // The copy still has it until it is brought up to date.
    assert.notDeepEqual(holds(stick, name), []);
    assert.equal(journal("copy", "--data", data, "--to", stick).status, 0);
    assert.deepEqual(holds(stick, name), []);
    // And a hub goes on, with the file that still names her.
    const again = await serve(t, data, { more: ["--competition", file] });
    assert.match(await everyPage(again.url), /Athlete 1/);
});

for (const [kind, shown] of [["initials", ["W. O.", "B. M.", "J.-L. v. A.", "A. O."]], ["hidden", ["white, bout 1", "blue, bout 1", "white, bout 2", "blue, bout 2"]]]) {
    test(`the public sees names ${kind}, the hall sees them whole`, limit, async (t) => {
        const folder = scratch(t);
        const hub = await serve(t, join(folder, "data"), { more: ["--competition", cup(folder), "--public-names", kind, "--public-listen", "127.0.0.1:0"] });
        const crowd = Number(/For spectators.*\n\s+http:\/\/127\.0\.0\.1:(\d+)\//.exec(hub.out)[1]);
        const table = await Table.sit(hub.port, "00000000000000a1", 1);
        assert.equal(table.allotment.bouts[0].white.name, name);
        await table.confirm(1);
        const display = await screen(hub.port, { allMats: true, results: true }, "ROLE_HALL");
        assert.equal(display.welcome.publicNames, wire.PublicNames[kind.toUpperCase()]);
        assert.equal((await display.next("finished")).value.bout.white.name, name);
        // Through the crowd's entrance nobody does, in either flavour.
        const phone = await screen(crowd, { allMats: true, results: true, callList: true, sheets: [1] });
        const other = await JsonLine.greeted(crowd, { role: "ROLE_HALL" });
        other.send("subscribe", { allMats: true, results: true, callList: true, sheets: [1] });
        for (const message of ["mat", "callList", "sheet", "finished"]) {
            const both = said((await phone.next(message)).value) + said(await other.next(message));
            for (const hidden of [name, club, "Moro", "Saltmarsh", "Aerden", "Okpara"]) assert.ok(!both.includes(hidden), `${hidden} in ${message}`);
            assert.ok(shown.some((there) => both.includes(there)), message);
        }
        phone.close();
        other.close();

        const all = await everyPage(hub.url);
        for (const hidden of [name, club, "Moro", "Saltmarsh", "Aerden", "Adaeze", "Okpara"]) assert.ok(!all.includes(hidden), hidden);
        for (const there of shown) assert.ok(all.includes(there), there);
        assert.equal((await (await fetch(`${hub.url}/v1`)).json()).publicNames, `PUBLIC_NAMES_${kind.toUpperCase()}`);
        const events = await EventReader.open(hub.port);
        const mat = await events.next("mat"), result = await events.next("result");
        for (const { data } of [mat, result]) {
            assert.equal(data.mat?.bout.white.name ?? data.result.bout.white.name, shown[0]);
            assert.ok(!said(data).includes(club));
        }
        events.close();
        display.close();
        table.close();
    });
}
