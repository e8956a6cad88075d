// What anybody may read over HTTP: versions, caching, bout sheets, CSV, and what must never be in it.
// Sources: RFC 9110 and 9111 (sections beside the checks), RFC 4180 (CSV), docs/http.md for what is ours alone.
import assert from "node:assert/strict";
import { test } from "node:test";
import { demo } from "../crash/hub.mjs";
import { competition, oneHub, scratch, serve } from "./one_hub.mjs";
import { Table } from "./table.mjs";

const limit = { timeout: 20_000 };
const hub = oneHub();
const ask = (path, headers = {}, method = "GET", at = hub) => fetch(at.url + path, { headers, method });
const json = async (path, at = hub) => (await ask(path, {}, "GET", at)).json();

// RFC 4180, 2: CRLF after each line, commas, quotes doubled inside quotes.
function rows(text) {
    assert.ok(text.endsWith("\r\n"));
    const all = [[]];
    const cell = /(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n)/gy;
    for (let match; cell.lastIndex < text.length && (match = cell.exec(text)); ) {
        all.at(-1).push(match[1] === undefined ? match[2] : match[1].replaceAll('""', '"'));
        if (match[3] !== ",") all.push([]);
    }
    assert.deepEqual(all.pop(), [], "the whole text is CSV");
    for (const row of all) assert.equal(row.length, all[0].length); // 2.4
    return all.slice(1).map((row) => Object.fromEntries(row.map((value, i) => [all[0][i], value])));
}

test("a document carries its version and is not sent twice", limit, async () => {
    for (const path of ["/v1/mats", "/v1/mats/1", "/v1/call-list", "/v1/results", "/v1/results.csv", "/v1/bouts/1", "/v1/bouts/1.csv", "/openapi.json"]) {
        const first = await ask(path);
        assert.equal(first.status, 200, path);
        const etag = first.headers.get("etag");
        assert.match(etag, /^"[\x21\x23-\x7e]+"$/, path); // RFC 9110, 8.8.3: strong
        const text = await first.text();
        if (path.startsWith("/v1")) {
            assert.equal(first.headers.get("cache-control"), "public, max-age=1"); // RFC 9111, 5.2.2
            const { epoch } = await json("/v1");
            assert.ok(etag.startsWith(`"${epoch}-`), path);
            if (!path.endsWith(".csv")) {
                const { epoch: inside, number } = JSON.parse(text);
                assert.ok(etag.startsWith(`"${inside}-${number}-`), `${path} ${etag}`);
            }
        }
        for (const known of [etag, `W/${etag}`, `"other", ${etag}`, "*"]) { // 13.1.2
            const again = await ask(path, { "If-None-Match": known });
            assert.deepEqual([again.status, await again.text(), again.headers.get("etag")], [304, "", etag], `${path} ${known}`); // 15.4.5
            assert.equal(again.headers.get("cache-control"), first.headers.get("cache-control"));
        }
        const other = await ask(path, { "If-None-Match": '"other"' });
        assert.deepEqual([other.status, await other.text()], [200, text]);
        const head = await ask(path, {}, "HEAD"); // 9.3.2
        assert.deepEqual([head.status, await head.text(), head.headers.get("etag")], [200, "", etag]);
        assert.equal(head.headers.get("content-length"), String(Buffer.byteLength(text)));
        assert.equal((await ask(path, {}, "POST")).status, 405); // 15.5.6
    }
});

test("what is not there is said in a sentence", limit, async () => {
    for (const path of ["/v1/mats/9", "/v1/mats/0", "/v1/mats/01", "/v1/mats/x", "/v1/mats/", "/v1/mats/70000", "/v1/bouts/0", "/v1/bouts/999", "/v1/bouts/999.csv",
        "/v1/bouts/1.CSV", "/v1/bouts/-1", "/v1/bouts/4294967296", "/v1/", "/v1/nothing", "/v2", "/v1/results.csv/", "/openapi.json/"]) {
        const answer = await ask(path);
        assert.equal(answer.status, 404, path);
        assert.match(await answer.text(), /^[A-Z].{10,}\n$/, path);
        assert.equal(answer.headers.get("cache-control"), "no-store");
    }
});

test("a query does not change a document", limit, async () => {
    assert.equal((await ask("/v1/mats/1?x=1")).headers.get("etag"), (await ask("/v1/mats/1")).headers.get("etag"));
});

test("a view changes its version with a call, and the others keep theirs", limit, async () => {
    const versions = async () => Promise.all([1, 2].map(async (mat) => (await ask(`/v1/mats/${mat}`)).headers.get("etag")));
    const before = await versions();
    const table = await Table.sit(hub.port, "00000000000000a1", 1);
    const bout = table.allotment.bouts[0].bout;
    const { record } = await table.make(bout, { plain: "PLAIN_CALLED" });
    const { number, mat } = await json("/v1/mats/1");
    assert.deepEqual([number, mat.number, mat.table, mat.bout.bout, mat.frames[0].phase], [record, record, "TABLE_LINE_LIVE", bout, "PHASE_CALLED"]);
    const after = await versions();
    assert.notEqual(after[0], before[0]);
    assert.equal(after[1], before[1]);
    assert.deepEqual((await json("/v1/mats")).mats.map((one) => one.mat), [1, 2, 3]);
    // The table's line is no record: the number stays, the strong ETag may not (RFC 9110, 8.8.1).
    await table.close();
    let alone;
    do alone = await json("/v1/mats/1"); while (alone.mat.table !== "TABLE_LINE_ALONE");
    assert.equal(alone.number, record);
    assert.notEqual((await ask("/v1/mats/1")).headers.get("etag"), after[0]);
});

// A bout with everything in it that is nobody's business, and its sheet.
async function hurt(table, bout) {
    const calls = [
        { plain: "PLAIN_CALLED" }, { plain: "PLAIN_HAJIME" }, { score: { to: "SIDE_WHITE", level: "LEVEL_WAZA_ARI" } }, { shido: "SIDE_BLUE", reason: "PENALTY_REASON_FALSE_ATTACK" },
        { plain: "PLAIN_MATE" }, { doctor: { to: "SIDE_BLUE", by: "DOCTOR_CALL_ATHLETE" } }, { bleeding: { to: "SIDE_BLUE", site: "SITE_EAR" } },
        { injury: { to: "SIDE_BLUE", harm: "HARM_UNCONSCIOUS", by: "BLAME_OWN" } }, { judogi: "SIDE_WHITE" },
        { hansokuMake: "SIDE_BLUE", reason: "PENALTY_REASON_UNSPORTING", directClass: "DIRECT_CLASS_AGAINST_SPIRIT" },
    ];
    const verdicts = [];
    for (const what of calls) verdicts.push(await table.make(bout, what));
    return verdicts;
}

test("a bout sheet has what counted, and nothing of what was noted about a body", limit, async () => {
    const table = await Table.sit(hub.port, "00000000000000b2", 2, { run: "00000000000b2b2b" });
    const bout = table.allotment.bouts[0].bout;
    const verdicts = await hurt(table, bout);
    assert.ok(verdicts.every(({ kind }) => kind === 1), "all of it counts: Verdict.KIND_APPLIED");
    const struck = await table.make(bout, { score: { to: "SIDE_BLUE", level: "LEVEL_YUKO" } });
    await table.make(bout, { strike: { run: table.run, number: struck.call.number } });

    const { sheet } = await json(`/v1/bouts/${bout}`);
    const said = sheet.lines.map((line) => line.words);
    assert.deepEqual(said, ["called to the mat", "hajime", "waza-ari to white", "shido to blue for false attack", "mate", "hansoku-make to blue"]);
    assert.deepEqual(sheet.lines[3], { ...sheet.lines[3], call: "shido", side: "SIDE_BLUE", reason: "PENALTY_REASON_FALSE_ATTACK", goldenScore: false });
    assert.equal(sheet.lines[3].white.wazaAri, 1);
    assert.equal(sheet.lines[3].blue.shido, 1);
    const csv = rows(await (await ask(`/v1/bouts/${bout}.csv`)).text());
    assert.deepEqual(csv.map((row) => row.words), said);
    // Neither words nor names of what is closed, nor of the device, the run and the person at the table, in any document.
    const all = await Promise.all(["/v1", "/v1/mats", "/v1/mats/2", "/v1/call-list", "/v1/results", `/v1/bouts/${bout}`, `/v1/bouts/${bout}.csv`, "/metrics"].map(async (path) => (await ask(path)).text()));
    for (const secret of [/doctor/i, /bleed/i, /\bear\b|SITE_/i, /injur|HARM_|unconscious/i, /BLAME_/, /judogi/i, /DIRECT_CLASS|spirit|unsporting/i, /00000000000000b2/, /00000000000b2b2b/, /Ngaio/]) {
        for (const text of all) assert.doesNotMatch(text, secret);
    }
    table.close();
});

test("results that stand are listed; one that was opened again is not", limit, async () => {
    const table = await Table.sit(hub.port, "00000000000000c3", 3);
    const bout = table.allotment.bouts[0].bout;
    const before = (await ask("/v1/results")).headers.get("etag");
    const { record } = await table.confirm(bout);
    const { number, results } = await json("/v1/results");
    assert.deepEqual([number, results.at(-1).number, results.at(-1).bout.bout, results.at(-1).result.way], [record, record, bout, "WAY_FUSEN_GACHI"]);
    assert.notEqual((await ask("/v1/results")).headers.get("etag"), before);
    assert.deepEqual((await json(`/v1/bouts/${bout}`)).sheet.result, results.at(-1).result);
    const answer = await ask("/v1/results.csv");
    assert.match(answer.headers.get("content-type"), /^text\/csv; charset=utf-8/); // RFC 7111, 5.1
    const [row] = rows(await answer.text());
    assert.deepEqual([row.bout, row.winner, row.winner_name, row.way], [String(bout), "first", results[0].bout.white.name, "fusen-gachi"]);

    const again = await table.make(bout, { reopen: "GROUND_SLIP" });
    assert.deepEqual(await json("/v1/results"), { ...(await json("/v1/results")), number: again.record, results: [] });
    assert.deepEqual(rows(await (await ask("/v1/results.csv")).text()), []);
    assert.equal((await json(`/v1/bouts/${bout}`)).sheet.result, undefined);
    table.close();
});

test("the call list has who is on and who comes next, and leaves out whoever has a result", limit, async (t) => {
    const folder = scratch(t);
    const own = await serve(t, folder, { more: ["--competition", competition(folder, { bouts: 10 })] });
    const list = async () => (await json("/v1/call-list", own)).callList.mats[0];
    const numbers = ({ next }) => next.map(({ bout }) => bout);
    assert.deepEqual(numbers(await list()), [1, 2, 3, 4, 5, 6, 7, 8]);
    const table = await Table.sit(own.port, "00000000000000f6", 1);
    await table.make(1, { plain: "PLAIN_CALLED" });
    const called = await list();
    assert.deepEqual([called.on.bout, called.phase, called.table, numbers(called)], [1, "PHASE_CALLED", "TABLE_LINE_LIVE", [2, 3, 4, 5, 6, 7, 8, 9]]);
    // What changes on the mat and not on the list leaves the list's version as it is.
    const before = (await ask("/v1/call-list", {}, "GET", own)).headers.get("etag");
    await table.make(1, { judogi: "SIDE_WHITE" });
    assert.equal((await list()).phase, "PHASE_CALLED");
    assert.equal((await ask("/v1/call-list", {}, "GET", own)).headers.get("etag"), before);
    await table.confirm(2);
    const confirmed = await list();
    assert.deepEqual([confirmed.on, numbers(confirmed)], [undefined, [3, 4, 5, 6, 7, 8, 9, 10]]);
    table.close();
});

test("no cell of a CSV is run by a spreadsheet", limit, async (t) => {
    const folder = scratch(t);
    // Each of these begins a cell for one spreadsheet or another; the club of the last is harmless.
    const names = ["=1+2", "+1", "-1", "@SUM(A1)", "Ann;=1+2", "Val-d'Or"];
    const more = names.map((name, i) => `${10 + i},1,women -57 kg,2025,4:00,round 1,"${name}",Dojo Fernhill,Bice Moro,Judo Saltmarsh`);
    const own = await serve(t, folder, { more: ["--competition", competition(folder, { bouts: 1, more })] });
    const table = await Table.sit(own.port, "00000000000000d4", 1);
    for (let i = 0; i < names.length; ++i) await table.confirm(10 + i);
    const text = await (await ask("/v1/results.csv", {}, "GET", own)).text();
    const cells = rows(text).map((row) => row.first);
    assert.deepEqual(cells, ["'=1+2", "'+1", "'-1", "'@SUM(A1)", "Ann;'=1+2", "Val-d'Or"]);
    // Whatever separates for the reader: nothing after a separator, a quote or a line's end is run.
    assert.doesNotMatch(text, /(^|[,;|\t\r\n"]) *[=+\-@\t]/);
    assert.deepEqual((await json("/v1/results", own)).results.map((one) => one.bout.white.name), names); // JSON is no spreadsheet
    table.close();
});

test("documents are the same after a restart", limit, async (t) => {
    const folder = scratch(t);
    const first = await serve(t, folder, { more: ["--competition", competition(folder, { mats: 2 })] });
    const table = await Table.sit(first.port, "00000000000000e5", 1);
    await table.confirm(1);
    await table.close();
    const paths = ["/v1/results", "/v1/results.csv", "/v1/bouts/1", "/v1/bouts/1.csv"];
    const all = (at) => Promise.all(paths.map(async (path) => {
        const answer = await ask(path, {}, "GET", at);
        return [answer.headers.get("etag"), await answer.text()];
    }));
    const before = await all(first);
    await first.stop("SIGKILL");
    const second = await serve(t, folder);
    assert.deepEqual(await all(second), before);
});

// The format of the figures: Prometheus text exposition format 0.0.4.
test("figures are told in the text format", limit, async (t) => {
    const own = await serve(t, scratch(t), { more: ["--competition", demo] });
    const answer = await ask("/metrics", {}, "GET", own);
    assert.match(answer.headers.get("content-type"), /^text\/plain; version=0\.0\.4/);
    const text = await answer.text();
    const value = (series) => Number(text.split("\n").find((line) => line.startsWith(`${series} `))?.split(" ").at(-1));
    for (const line of text.trimEnd().split("\n")) assert.match(line, /^(# (HELP|TYPE) \w+ .+|\w+(\{\w+="[^"]*"(,\w+="[^"]*")*\})? -?[\d.e+]+|\w+\{.*le="\+Inf"\} \d+)$/, line);
    const { number } = await (await fetch(`${own.url}/readyz`)).json();
    assert.equal(value("honbu_journal_records"), number);
    assert.equal(value("honbu_commit_seconds_count"), number); // this hub began its journal
    assert.equal(value("honbu_replayed_records"), 0);
    assert.equal(value("honbu_disk_full"), 0);
    assert.ok(value('honbu_connections{role="http"}') >= 1); // this one
    assert.equal(["live", "alone", "none"].reduce((sum, line) => sum + value(`honbu_mats{table="${line}"}`), 0), 3);

    const table = await Table.sit(own.port, "00000000000000a1", 1, { run: "00000000000000a2" });
    await table.make(table.allotment.bouts[1].bout, { plain: "PLAIN_CALLED" });
    const again = table.call(table.allotment.bouts[1].bout, { plain: "PLAIN_MATE" }, { id: { run: table.run, number: 9 } });
    await table.refusal(table.submit(again));
    const now = await (await ask("/metrics", {}, "GET", own)).text();
    assert.match(now, /^honbu_calls_total\{verdict="applied"\} 1$/m);
    assert.match(now, /^honbu_calls_total\{verdict="refused"\} 1$/m);
    assert.match(now, /^honbu_connections\{role="table"\} 1$/m);
    assert.match(now, /^honbu_mats\{table="live"\} 1$/m);
    table.close();
});
