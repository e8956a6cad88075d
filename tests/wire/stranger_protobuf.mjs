// The protobuf flavour (docs/protocol.md, section 1): binary messages of proto/honbu/v1/hub.proto, read by
// @bufbuild/protobuf through the descriptors that protoc writes. Written from the page alone.
// Messages are handed on as plain objects, enums by name; a name that the schema has not is an error here.
import { require } from "../packages.mjs";
import { descriptor, today } from "./protoc.mjs";

const { createFileRegistry, fromBinary, fromJson, toBinary, toJson } = require("@bufbuild/protobuf");
const { FileDescriptorSetSchema } = require("@bufbuild/protobuf/wkt");

const registry = createFileRegistry(fromBinary(FileDescriptorSetSchema, new Uint8Array(descriptor(today))));
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
