// The protobuf flavour (docs/protocol.md, section 1): binary messages of proto/honbu/v1/hub.proto, read by
// @bufbuild/protobuf through the descriptors that protoc writes. Written from the page alone.
// Messages are handed on as plain objects, enums by name; a name that the schema has not is an error here.
import { execFileSync } from "node:child_process";
import { createRequire } from "node:module";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const require = createRequire(new URL("../../clients/web/package.json", import.meta.url));
const { createFileRegistry, fromBinary, fromJson, toBinary, toJson } = require("@bufbuild/protobuf");
const { FileDescriptorSetSchema } = require("@bufbuild/protobuf/wkt");

function descriptors() {
    const proto = fileURLToPath(new URL("../../proto", import.meta.url));
    const folder = mkdtempSync(join(tmpdir(), "honbu-stranger-"));
    const out = join(folder, "set.pb");
    try {
        execFileSync("protoc", ["-I", proto, "--include_imports", `--descriptor_set_out=${out}`, "honbu/v1/hub.proto"]);
        return fromBinary(FileDescriptorSetSchema, new Uint8Array(readFileSync(out)));
    } finally {
        rmSync(folder, { recursive: true });
    }
}

const registry = createFileRegistry(descriptors());
const ToHub = registry.getMessage("honbu.v1.ToHub");
const ToClient = registry.getMessage("honbu.v1.ToClient");

export const protobuf = {
    subprotocol: "honbu.v1.proto",
    encode: (message) => toBinary(ToHub, fromJson(ToHub, message)),
    decode: (data, binary) => {
        if (!binary) throw new Error("a text message on a protobuf line");
        return toJson(ToClient, fromBinary(ToClient, new Uint8Array(data)), { alwaysEmitImplicit: true });
    },
};
