// Reads a stream of server-sent events as the HTML Living Standard says (9.2.6, "Interpreting an event stream").
import { get } from "node:http";

export class EventReader {
    static open(port, query = "", headers = {}) {
        const reader = new EventReader();
        reader.events = [];
        reader.comments = 0;
        reader.lastId = "";
        reader.waiting = [];
        reader.over = false;
        return new Promise((opened, failed) => {
            reader.request = get({ port, host: "127.0.0.1", path: `/v1/events${query}`, headers, agent: false }, (response) => {
                reader.response = response;
                reader.status = response.statusCode;
                reader.headers = response.headers;
                response.setEncoding("utf8");
                let text = "";
                response.on("data", (more) => {
                    text += more;
                    const blocks = text.split("\n\n");
                    text = blocks.pop();
                    for (const block of blocks) reader.take(block);
                });
                const end = () => reader.wake(() => ((reader.over = true), (reader.rest = text)));
                response.on("end", end).on("error", end);
                opened(reader);
            });
            reader.request.on("error", failed);
        });
    }
    take(block) {
        const event = { name: "message", data: [] };
        for (const line of block.split("\n")) {
            const [, field, value] = /^([^:]*):? ?(.*)$/s.exec(line);
            if (field === "" && line.startsWith(":")) this.comments++;
            if (field === "event") event.name = value;
            if (field === "data") event.data.push(value);
            if (field === "id") this.lastId = event.id = value;
            if (field === "retry") this.retry = Number(value);
        }
        if (event.data.length === 0) return this.wake(() => {});
        this.wake(() => this.events.push({ name: event.name, id: event.id, data: JSON.parse(event.data.join("\n")) }));
    }
    wake(change) {
        change();
        this.waiting = this.waiting.filter((look) => !look());
    }
    until(is) {
        return new Promise((done, failed) => {
            const look = () => {
                if (is()) done();
                else if (this.over) failed(new Error(`the stream ended: ${JSON.stringify(this.rest)}`));
                return is() || this.over;
            };
            if (!look()) this.waiting.push(look);
        });
    }
    // The next event of this name not yet asked for.
    async next(name, fits = () => true) {
        const at = () => this.events.findIndex((event) => event.name === name && fits(event.data));
        await this.until(() => at() >= 0);
        return this.events.splice(at(), 1)[0];
    }
    async ended() {
        await this.until(() => this.over);
    }
    close() {
        this.request.destroy();
    }
}
