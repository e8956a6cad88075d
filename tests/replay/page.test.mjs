// docs/replay.md is what a stranger goes by: its example must print what it says, every line it shows must be one that is
// read, and every field that comes out must stand in it.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { hajime, mate, osaekomi, replay, score, shido, steps, toketa } from "./replay.mjs";

const page = readFileSync(new URL("../../docs/replay.md", import.meta.url), "utf8");
const [, example, printed] = /```jsonl\n([^]*?)```[^]*?```\n([^]*?)```/.exec(page);

test("the example prints what the page says", () => {
  const { code, out, err } = replay([example]);
  assert.equal(err, "");
  assert.equal(code, 3);
  assert.equal(out.replace(/ +$/gm, ""), printed);
});

test("every line the page shows is one that is read", () => {
  const lines = [...page.matchAll(/`(\{"[^`]*\})`/g)].map(([, line]) => line);
  assert.ok(lines.length > 40);
  for (const line of lines) {
    const terms = line.startsWith('{"rules"');
    const { code, err } = replay(terms ? [line, hajime("0:00")] : [hajime("0:00"), line]);
    assert.ok(code === 0 || code === 3, `${line}: ${err}`); // 3: read, but impossible here
  }
});

test("every kind of call in the schema has a line on the page", () => {
  const schema = readFileSync(new URL("../../proto/honbu/v1/hub.proto", import.meta.url), "utf8");
  const [, kinds] = /oneof what \{([^]*?)\n {2}\}/.exec(schema.slice(schema.indexOf("message Call {")));
  const fields = [...kinds.matchAll(/^ +\w+ (\w+) = \d+;/gm)].map(([, name]) => name.replace(/_(.)/g, (_, c) => c.toUpperCase()));
  assert.ok(fields.length > 15);
  for (const field of fields) assert.match(page, new RegExp(`"${field}": `), field);
  const [, plains] = /enum Plain \{([^]*?)\n\}/.exec(schema);
  for (const [, name] of plains.matchAll(/^ +(PLAIN_\w+) = [1-9]/gm)) assert.match(page, new RegExp(name), name);
});

test("every field of --json is on the page", () => {
  const names = new Set();
  function collect(value) {
    if (Array.isArray(value)) value.forEach(collect);
    else if (value !== null && typeof value === "object") {
      for (const [name, inner] of Object.entries(value)) {
        names.add(name);
        if (name !== "call") collect(inner); // a call is the schema's
      }
    }
  }
  for (const told of [
    steps([hajime("0:00"), hajime("0:01"), osaekomi("0:10", "SIDE_BLUE"), toketa("0:16"), mate("0:18"), shido("0:19", "SIDE_BLUE")]),
    steps([{ absent: "SIDE_BLUE" }], "--until", "5:00"),
    steps([osaekomi("0:10", "SIDE_BLUE")]), // hajime is missing: an offer
    steps([hajime("0:00"), score("0:10", "SIDE_BLUE", "LEVEL_IPPON"), { injury: { to: "SIDE_BLUE", harm: "HARM_HEAD" } }]),
  ]) collect([told.terms, told.happened, told.end]);
  assert.ok(["offers", "prompts", "refusal", "absence", "pastHold", "leftMs", "decidedAt"].every((name) => names.has(name)));
  for (const name of names) assert.ok(page.includes(`\`${name}\``), name);
});
