#include "hub/feed/event.h"

#include <charconv>

#include "engine/view/json.h"

namespace honbu {
namespace {

// JSON of one line: a line end in a name is written as \n there.
std::string event(std::string_view name, std::string_view id, std::string_view json) {
    std::string out = "event: ";
    out += name;
    if (!id.empty()) {
        out += "\nid: ";
        out += id;
    }
    out += "\ndata: ";
    out += json;
    out += "\n\n";
    return out;
}

std::string with_position(const Position& position, const char* name, std::string_view json) {
    JsonWriter w;
    w.begin_object();
    w.name("epoch", position.epoch.value);
    w.number("number", position.number.value);
    w.key(name);
    w.raw(json);
    w.end_object();
    return w.take();
}

}  // namespace

std::string mat_event(const Position& position, std::string_view mat_json) {
    return event("mat", {}, with_position(position, "mat", mat_json));
}

std::string result_event(const Position& position, std::string_view result_json, bool with_id) {
    return event("result", with_id ? position_text(position) : "",
                 with_position(position, "result", result_json));
}

std::string reopened_event(const Position& position, std::string_view item_json, bool with_id) {
    return event("reopened", with_id ? position_text(position) : "",
                 with_position(position, "reopened", item_json));
}

std::string renamed_event(const Position& position, std::string_view item_json) {
    return event("renamed", position_text(position), with_position(position, "renamed", item_json));
}

std::string hub_event(std::string_view hub_json) { return event("hub", {}, hub_json); }

std::string goodbye_event(const Goodbye& goodbye) {
    JsonWriter w;
    w.begin_object();
    w.text("words", goodbye.words);
    w.flag("comeBack", goodbye.come_back);
    w.end_object();
    return event("goodbye", {}, w.take());
}

std::string position_text(const Position& position) {
    return name_text(position.epoch.value) + "-" + std::to_string(position.number.value);
}

std::optional<Position> position_of(std::string_view text) {
    constexpr std::size_t digits = 16;
    if (text.size() < digits + 2 || text[digits] != '-') return std::nullopt;
    Position position;
    const char* const dash = text.data() + digits;
    const char* const end = text.data() + text.size();
    const auto epoch = std::from_chars(text.data(), dash, position.epoch.value, 16);
    const auto number = std::from_chars(dash + 1, end, position.number.value);
    if (epoch.ec != std::errc() || epoch.ptr != dash) return std::nullopt;
    if (number.ec != std::errc() || number.ptr != end) return std::nullopt;
    return position;
}

}  // namespace honbu
