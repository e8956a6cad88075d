// Today's schema only added to yesterday's: each message, field and enum value of it is there still, with its number, its
// type and its name. proto/README.md promises that; a page that stayed open over night lives by it. Both are read by
// protoc (descriptor.proto of protobuf).
import assert from "node:assert/strict";
import { test } from "node:test";
import { require } from "../packages.mjs";
import { descriptor, today, yesterday } from "./protoc.mjs";

const { fromBinary } = require("@bufbuild/protobuf");
const { FileDescriptorSetSchema } = require("@bufbuild/protobuf/wkt");
const file = (schema) => fromBinary(FileDescriptorSetSchema, descriptor(schema)).file[0];

// All that must stay as it is, by name: "message Hello, field 3" -> "device, ...".
function promised({ package: name, syntax, messageType, enumType }) {
    const out = new Map([["package", name], ["syntax", syntax]]);
    const enums = (where, list) => {
        for (const one of list) for (const value of one.value) out.set(`enum ${where}${one.name}, value ${value.number}`, value.name);
    };
    const messages = (where, list) => {
        for (const message of list) {
            const at = `${where}${message.name}`;
            out.set(`message ${at}`, "is there");
            for (const field of message.field) {
                const oneof = Object.hasOwn(field, "oneofIndex") ? message.oneofDecl[field.oneofIndex].name : "";
                const said = { name: field.name, type: field.type, of: field.typeName, label: field.label, oneof };
                out.set(`message ${at}, field ${field.number}`, JSON.stringify(said));
            }
            enums(`${at}.`, message.enumType);
            messages(`${at}.`, message.nestedType);
        }
    };
    enums("", enumType);
    messages("", messageType);
    return out;
}

function broken(before, after) {
    const now = promised(after);
    return [...promised(before)].filter(([what, said]) => now.get(what) !== said).map(([what, said]) => `${what} was ${said}, is ${now.get(what)}`);
}

test("today's schema has all of yesterday's, and more", () => {
    const [before, after] = [file(yesterday), file(today)];
    assert.deepEqual(broken(before, after), []);
    assert.ok(promised(before).size > 250, "yesterday's schema was read");
    assert.ok(promised(after).size > promised(before).size + 100, "today's says more");
});

test("a field that goes, moves or changes would be found", () => {
    const spoil = (change) => {
        const spoilt = file(today);
        change(spoilt, (name) => spoilt.messageType.find((one) => one.name === name));
        return broken(file(yesterday), spoilt);
    };
    const field = (message, name) => message.field.find((one) => one.name === name);
    assert.equal(spoil((_, message) => (message("Hello").field = message("Hello").field.filter(({ name }) => name !== "run"))).length, 1);
    assert.equal(spoil((_, message) => (field(message("Hello"), "run").number = 99)).length, 1);
    assert.equal(spoil((_, message) => (field(message("Hello"), "run").name = "life")).length, 1);
    assert.equal(spoil((_, message) => (field(message("Hello"), "run").type = 12)).length, 1); // TYPE_BYTES
    assert.equal(spoil((_, message) => (field(message("Welcome"), "mats").label = 1)).length, 1); // LABEL_OPTIONAL
    assert.equal(spoil((_, message) => (field(message("Submit"), "call").typeName = ".honbu.v1.CallRef")).length, 1);
    assert.equal(spoil((all) => (all.enumType.find(({ name }) => name === "Way").value[3].name = "WAY_OTHER")).length, 1);
    assert.equal(spoil((all) => (all.messageType = all.messageType.filter(({ name }) => name !== "Heartbeat"))).length, 1);
});
