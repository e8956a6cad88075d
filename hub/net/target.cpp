#include "hub/net/target.h"

#include <array>
#include <charconv>
#include <utility>

#include "hub/feed/event.h"

namespace honbu {
namespace {

constexpr std::string_view events_target = "/v1/events";
constexpr std::size_t mats_max = 64;

std::string_view path_of(std::string_view target) {
    return target.substr(0, target.find_first_of("?#"));
}

// Digits only, without a zero in front.
template<class Number> std::optional<Number> number_of(std::string_view text) {
    Number number = 0;
    const char* const end = text.data() + text.size();
    const auto read = std::from_chars(text.data(), end, number);
    const bool whole = read.ec == std::errc() && read.ptr == end;
    if (!whole || (text.front() == '0' && text.size() > 1)) return std::nullopt;
    return number;
}

bool take_prefix(std::string_view& text, std::string_view prefix) {
    if (!text.starts_with(prefix)) return false;
    text.remove_prefix(prefix.size());
    return true;
}

bool take_suffix(std::string_view& text, std::string_view suffix) {
    if (!text.ends_with(suffix)) return false;
    text.remove_suffix(suffix.size());
    return true;
}

// %2C and the like (RFC 3986, 2.1); a '+' stays one. Nothing: broken.
std::optional<std::string> unescaped(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] != '%') {
            out += text[i];
            continue;
        }
        unsigned char byte = 0;
        if (i + 2 >= text.size()) return std::nullopt;
        const char* const first = text.data() + i + 1;
        const auto read = std::from_chars(first, first + 2, byte, 16);
        if (read.ec != std::errc() || read.ptr != first + 2) return std::nullopt;
        out += static_cast<char>(byte);
        i += 2;
    }
    return out;
}

// The fields of a query, in order; broken ones are nothing.
template<class Each> bool each_field(std::string_view query, const Each& each) {
    while (!query.empty()) {
        const std::size_t end = query.find('&');
        const std::string_view field = query.substr(0, end);
        query.remove_prefix(end == std::string_view::npos ? query.size() : end + 1);
        if (field.empty()) continue;
        const std::size_t equals = field.find('=');
        const auto name = unescaped(field.substr(0, equals));
        const auto value = unescaped(equals == std::string_view::npos ? std::string_view()
                                                                      : field.substr(equals + 1));
        if (!name || !value || !each(*name, *value)) return false;
    }
    return true;
}

constexpr std::string_view how =
    " Write it like /v1/events?mats=1,2&results_after=0, or mats=all; without either everything "
    "comes.";

std::string about(std::string_view what) { return std::string(what) + std::string(how); }

bool read_mats(std::string_view list, Subscribe& into) {
    if (list == "all") {
        into.all_mats = true;
        return true;
    }
    while (true) {
        const std::size_t comma = list.find(',');
        const auto mat = number_of<std::uint16_t>(list.substr(0, comma));
        if (!mat || into.mats.size() == mats_max) return false;
        into.mats.push_back(MatId{*mat});
        if (comma == std::string_view::npos) return true;
        list.remove_prefix(comma + 1);
    }
}

// "42", or with the journal it counts in: "9c41d7e20b6f5a18-42".
bool read_position(std::string_view text, EventsWish& into) {
    into.what.results = true;
    if (const auto position = position_of(text)) {
        into.of = position->epoch;
        into.what.results_after = position->number;
        return true;
    }
    const auto number = number_of<std::uint32_t>(text);
    if (!number) return false;
    into.of.reset();
    into.what.results_after = RecordNumber{*number};
    return true;
}

}  // namespace

std::optional<Wish> wish_of(std::string_view target) {
    using Kind = Wish::Kind;
    constexpr std::array<std::pair<std::string_view, Kind>, 8> whole{{
        {"/v1", Kind::hub},
        {"/v1/mats", Kind::mats},
        {"/v1/call-list", Kind::call_list},
        {"/v1/results", Kind::results},
        {"/v1/results.csv", Kind::results_csv},
        {"/v1/status", Kind::status},
        {"/metrics", Kind::metrics},
        {"/openapi.json", Kind::openapi},
    }};
    std::string_view path = path_of(target);
    Wish wish;
    for (const auto& [name, kind] : whole) {
        wish.kind = kind;
        if (path == name) return wish;
    }
    if (take_prefix(path, "/v1/mats/")) {
        const auto mat = number_of<std::uint16_t>(path);
        if (!mat) return std::nullopt;
        wish.kind = Kind::mat;
        wish.mat = MatId{*mat};
        return wish;
    }
    if (!take_prefix(path, "/v1/bouts/")) return std::nullopt;
    wish.kind = take_suffix(path, ".csv") ? Kind::sheet_csv : Kind::sheet;
    const auto bout = number_of<std::uint32_t>(path);
    if (!bout) return std::nullopt;
    wish.bout = BoutId{*bout};
    return wish;
}

std::string no_such(const Wish& wish) {
    switch (wish.kind) {
    case Wish::Kind::mat:
        return "This competition has no mat " + std::to_string(wish.mat.value) +
               "; /v1/mats has them all.";
    case Wish::Kind::sheet:
    case Wish::Kind::sheet_csv:
        return "This competition has no bout " + std::to_string(wish.bout.value) + ".";
    case Wish::Kind::hub:
    case Wish::Kind::mats:
    case Wish::Kind::call_list:
    case Wish::Kind::results:
    case Wish::Kind::results_csv:
    case Wish::Kind::metrics:
    case Wish::Kind::status:
    case Wish::Kind::openapi: return "This hub has no such document.";
    }
    return {};
}

bool asks_for_events(std::string_view target) { return path_of(target) == events_target; }

std::variant<EventsWish, std::string> events_wish(std::string_view target,
                                                  std::string_view last_event_id) {
    const std::size_t mark = target.find('?');
    std::string_view query = mark == std::string_view::npos ? "" : target.substr(mark + 1);
    query = query.substr(0, query.find('#'));
    EventsWish wish;
    std::string wrong;
    const bool read = each_field(query, [&](const std::string& name, const std::string& value) {
        if (name == "mats") {
            if (!read_mats(value, wish.what)) {
                wrong = about("The list in 'mats' can't be read; it takes up to 64 mat numbers.");
            }
        } else if (name == "results_after") {
            if (!read_position(value, wish)) {
                wrong = about("The position in 'results_after' is no record number.");
            }
        } else {
            wrong = about("The address asks for something this hub does not know.");
        }
        return wrong.empty();
    });
    if (!read) {
        return wrong.empty() ? about("The address has a broken %-escape in it.") : wrong;
    }
    if (wish.what.mats.empty() && !wish.what.all_mats && !wish.what.results) {
        wish.what.all_mats = true;
        wish.what.results = true;
    }
    // Whoever comes back knows better than the address it began with.
    if (!last_event_id.empty() && wish.what.results) {
        if (!position_of(last_event_id)) {
            return std::string("The Last-Event-ID is none that this hub gives. Leave it out to "
                               "begin again.");
        }
        read_position(last_event_id, wish);
    }
    return wish;
}

}  // namespace honbu
