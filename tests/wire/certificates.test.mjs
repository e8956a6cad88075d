// honbu certificates, and which doors honbu serve opens with and without them: what is said, and that a refusal
// changes nothing. What is in the certificates: tests/net/certificates_test.cpp.
import assert from "node:assert/strict";
import { mkdirSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { X509Certificate } from "node:crypto";
import { honbu, scratch, serve } from "./one_hub.mjs";

const limit = { timeout: 60_000 };
const folder = (data) => join(data, "certificates");
const all = (data) => readdirSync(folder(data)).sort().map((name) => [name, readFileSync(join(folder(data), name), "utf8")]);
const make = (data, ...more) => honbu("certificates", "--data", data, "--name", "localhost", ...more);

test("they are made, and it is said for which names, until when and how to compare", limit, (t) => {
    const data = scratch(t);
    const { code, out } = make(data, "--address", "192.0.2.7", "--days", "2");
    assert.equal(code, 0);
    assert.match(out, /names: localhost, 192\.0\.2\.7/);
    const authority = new X509Certificate(readFileSync(join(folder(data), "authority.pem")));
    const [first, second] = out.match(/^ {4}([0-9A-F]{2}:){15}[0-9A-F]{2}$/gm);
    assert.equal(`${first.trim()}:${second.trim()}`, authority.fingerprint256);
    const hours = (new Date(authority.validTo) - Date.now()) / 3_600_000;
    assert.ok(hours > 47 && hours <= 48, `${hours} hours`);
    assert.deepEqual(readdirSync(folder(data)).sort(), ["authority.pem", "hub.key", "hub.pem", "spare.key", "spare.pem"]);
    assert.equal(statSync(join(folder(data), "hub.key")).mode & 0o777, 0o600);
    const hub = new X509Certificate(readFileSync(join(folder(data), "hub.pem")));
    assert.ok(hub.verify(authority.publicKey) && hub.checkIssued(authority));
});

test("those that are still good stay, unless new ones are asked for in so many words", limit, (t) => {
    const data = scratch(t);
    make(data);
    const before = all(data);
    const refused = make(data);
    assert.equal(refused.code, 1);
    assert.match(refused.err, /--again.*trust them anew/);
    assert.deepEqual(all(data), before);
    assert.equal(make(data, "--again").code, 0);
    assert.notDeepEqual(all(data), before);
    assert.deepEqual(readdirSync(data), ["certificates"]); // nothing of the old ones lies about
});

test("what can't be a name or an address is refused before anything is written", limit, (t) => {
    const data = scratch(t);
    for (const [more, words] of [[["--name", "*.example"], /can't be a machine's name/], [["--name", "192.0.2.7"], /--address/],
        [["--address", "hub"], /not an IP address/]]) {
        const { code, err } = make(data, ...more);
        assert.equal(code, 1);
        assert.match(err, words);
    }
    assert.equal(make(data, "--days", "0").code, 2);
    assert.equal(make(data, "--days", "4000").code, 2);
    assert.deepEqual(readdirSync(data), []);
});

// A folder that is a file stands for a disk that can't be written; nothing is left of the attempt.
test("a set that can't be kept whole is not kept at all", limit, (t) => {
    const data = scratch(t);
    writeFileSync(folder(data), "in the way");
    const { code, err } = make(data);
    assert.equal(code, 1);
    assert.match(err, /Nothing was changed/);
    assert.deepEqual(readdirSync(data), ["certificates"]);
});

test("without certificates only this machine is listened to, unless somebody says what that costs", limit, async (t) => {
    const data = scratch(t);
    const refused = honbu("serve", "--data", data, "--listen", "0.0.0.0:0");
    assert.equal(refused.code, 1);
    assert.match(refused.err, /honbu certificates.*--plain-http-secrets-readable/s);
    const hub = await serve(t, data, { listen: "0.0.0.0:0", more: ["--plain-http-secrets-readable"] });
    assert.match(hub.out, /NOT ENCRYPTED/);
    assert.equal((await fetch(`${hub.url}/healthz`)).status, 200);
    await hub.stop("SIGTERM");
});

test("certificates that can't be used keep the hub from starting, and say why", limit, (t) => {
    const data = scratch(t);
    make(data);
    const start = (...more) => honbu("serve", "--data", data, "--listen", "127.0.0.1:0", ...more);
    const file = (name) => join(folder(data), name);
    for (const [more, words] of [
        [["--certificate", file("hub.pem"), "--key", file("spare.key")], /does not belong to its certificate/],
        [["--certificate", file("hub.pem")], /belong together/],
        [["--certificate", file("none.pem"), "--key", file("hub.key")], /none\.pem can't be read/],
        [["--certificate", file("hub.key"), "--key", file("hub.key")], /not in PEM form/],
    ]) {
        const { code, err } = start(...more);
        assert.equal(code, 1);
        assert.match(err, words);
    }
    rmSync(file("hub.key"));
    mkdirSync(file("hub.key"));
    assert.match(start().err, /hub\.key can't be read/);
});

test("a certificate that is for none of this machine's addresses is warned about", limit, async (t) => {
    const data = scratch(t);
    make(data, "--address", "192.0.2.99", "--days", "1");
    const hub = await serve(t, data);
    assert.match(hub.err, /is for localhost, 192\.0\.2\.99, and this machine's addresses now are 127\.0\.0\.1/);
    assert.match(hub.err, /certificate ends on/); // within a day
    await hub.stop("SIGTERM");
});

test("the spare's pair goes with a copy and with a mirror, the hub's own key stays at home", limit, async (t) => {
    const data = scratch(t);
    const mirror = scratch(t);
    const copy = join(scratch(t), "copy");
    const spare = join(scratch(t), "spare");
    make(data);
    const ours = Object.fromEntries(all(data));
    const hub = await serve(t, data, { more: ["--mirror", mirror] });
    assert.equal(honbu("journal", "copy", "--data", data, "--to", copy).code, 0);
    await hub.stop("SIGTERM");
    for (const where of [mirror, copy]) {
        assert.deepEqual(Object.fromEntries(all(where)),
            { "authority.pem": ours["authority.pem"], "spare.pem": ours["spare.pem"], "spare.key": ours["spare.key"] });
    }
    const next = await serve(t, spare, { more: ["--from-copy", copy] });
    assert.match(next.out, /https:\/\/localhost/);
    await next.stop("SIGTERM");
    const theirs = Object.fromEntries(all(spare));
    assert.deepEqual([theirs["hub.pem"], theirs["hub.key"]], [ours["spare.pem"], ours["spare.key"]]);
});
