// The JSON flavour (docs/protocol.md, section 14): nothing but a JSON parser. Written from the page alone.
export const json = {
    subprotocol: "honbu.v1.json",
    encode: (message) => JSON.stringify(message),
    decode: (data, binary) => {
        if (binary) throw new Error("a binary message on a JSON line");
        return JSON.parse(data.toString("utf8"));
    },
};
