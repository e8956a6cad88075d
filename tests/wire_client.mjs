// A small client for tests and figures: the schemas as the build bundled them, over `ws`.
import { dirname, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { require } from "./packages.mjs";

const { WebSocket } = require("ws");
const build = process.env.HONBU_BUILD ?? dirname(process.env.HONBU);
export const wire = await import(pathToFileURL(join(resolve(build), "web", "wire.mjs")));

export class Client {
    static async connect(port, hello) {
        const client = new Client();
        client.heard = [];
        client.waiting = [];
        client.socket = new WebSocket(`ws://127.0.0.1:${port}/ws`, "honbu.v1.proto");
        client.closed = new Promise((closed) => client.socket.on("close", (code) => closed(code)));
        client.socket.on("message", (bytes) => {
            const { kind } = wire.fromBinary(wire.ToClientSchema, bytes);
            client.onMessage?.(kind);
            if (kind.case === "heartbeat") client.send({ case: "heartbeat", value: {} });
            client.heard.push(kind);
            client.waiting = client.waiting.filter((look) => !look());
        });
        await new Promise((open, failed) => client.socket.on("open", open).on("error", failed));
        if (hello) {
            client.send({ case: "hello", value: { schema: 2, ...hello } });
            client.welcome = (await client.next("welcome")).value;
        }
        return client;
    }

    send(kind) {
        this.socket.send(wire.toBinary(wire.ToHubSchema, wire.fromJson(wire.ToHubSchema, { [kind.case]: kind.value })));
    }

    // The next message of this kind not yet asked for.
    next(kind, fits = () => true) {
        return new Promise((found) => {
            const look = () => {
                const at = this.heard.findIndex((message) => message.case === kind && fits(message.value));
                if (at < 0) return false;
                found(this.heard.splice(at, 1)[0]);
                return true;
            };
            if (!look()) this.waiting.push(look);
        });
    }

    close() {
        this.socket.terminate();
    }
}
