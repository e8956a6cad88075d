#include "hub/wire/call_json.h"

#include <google/protobuf/struct.pb.h>
#include <google/protobuf/util/json_util.h>

#include <algorithm>
#include <cmath>

#include "engine/bout/clock_text.h"
#include "engine/bout/ruleset_text.h"
#include "engine/view/json.h"
#include "hub/insist.h"
#include "hub/wire/call_names.h"
#include "hub/wire/json_slips.h"
#include "hub/wire/parts.h"

namespace honbu {
namespace wire {
namespace {

namespace pb = google::protobuf;

constexpr std::size_t line_bytes_max = 16 * 1024;

// protobuf's parser stops at the first mistake and says what it saw in its own words.
bool parsed(std::string_view line, pb::Message& out, Check& check) {
    if (line.size() > line_bytes_max) {
        check.wrong("it is longer than 16 KiB; a call takes one short line.");
        return false;
    }
    std::string words = json_slip(line);
    const auto status = pb::util::JsonStringToMessage(pb::StringPiece(line.data(), line.size()),
                                                      &out);
    if (words.empty() && status.ok()) return true;
    const bool utf8 = status.message().find("non UTF-8") == pb::StringPiece::npos;
    if (words.empty() || !utf8) {
        words = std::string(status.message());
        words.resize(std::min(words.find('\n'), words.size()));
        words.erase(0, std::min(words.find_first_not_of(": "), words.size()));
        words = plainer(words);
    }
    check.wrong("it is not a whole JSON object: " + words +
                " A line looks like this: " + R"({"entered": 0, "plain": "PLAIN_HAJIME"})");
    return false;
}

void fill(v1::CallRef& ref, const CallId& usual) {
    if (ref.run().empty()) ref.set_run(name_text(usual.run.value));
}

void fill(v1::Call& call, const pb::Struct& said, const Call& usual) {
    fill(*call.mutable_id(), usual.id);
    if (call.id().number() == 0) call.mutable_id()->set_number(usual.id.number.value);
    if (!says(said, "term")) call.set_term(usual.term.value);
    if (!says(said, "mat")) call.set_mat(usual.mat.value);
    if (!says(said, "bout")) call.set_bout(usual.bout.value);
    if (!says(said, "entered")) call.set_entered(usual.entered.ms);
    if (call.has_strike()) fill(*call.mutable_strike(), usual.id);
    if (call.has_replace()) fill(*call.mutable_replace()->mutable_call(), usual.id);
    if (call.has_move()) fill(*call.mutable_move()->mutable_call(), usual.id);
}

// The words of the other checks name fields from "call." on and as the schema does; here the line
// is the call, and its names are those of JSON.
std::string as_written(std::string_view words) {
    constexpr std::string_view prefix = "call.";
    if (words.starts_with(prefix)) words.remove_prefix(prefix.size());
    std::string out;
    for (const char c : words) {
        const bool small = c >= 'a' && c <= 'z';
        if (small && out.ends_with('_')) {
            out.back() = static_cast<char>(c - 'a' + 'A');
        } else {
            out += c;
        }
    }
    return out;
}

bool is_zero(const pb::Value& value) {
    return value.kind_case() == pb::Value::kNumberValue && !(value.number_value() < 0) &&
           !(value.number_value() > 0);
}

std::optional<Duration> time_within(const pb::Value& value, Duration least, Duration most) {
    const double number = value.number_value();
    if (value.kind_case() != pb::Value::kNumberValue || std::floor(number) != number ||
        number < least.ms || number > most.ms) {
        return std::nullopt;
    }
    return Duration{static_cast<std::uint32_t>(number)};
}

// " 240 is less than a second; ...": the usual slip.
std::string seconds_meant(const pb::Value& value, Duration least, Duration most) {
    const double number = value.number_value();
    if (value.kind_case() != pb::Value::kNumberValue || std::floor(number) != number ||
        number * 1000 < least.ms || number * 1000 > most.ms) {
        return {};
    }
    const Duration meant{static_cast<std::uint32_t>(number * 1000)};
    return " Are these seconds? Then write " + std::to_string(meant.ms) + ", which is " +
           clock_text(meant) + ".";
}

std::string json(const pb::Message& message, bool all) {
    pb::util::JsonPrintOptions options;
    options.always_print_primitive_fields = all;
    std::string out;
    INSIST(pb::util::MessageToJsonString(message, &out, options).ok());
    return out;
}

}  // namespace
}  // namespace wire

std::variant<Call, WireFault> call_from_json(std::string_view line, const Call& usual) {
    wire::Check check;
    google::protobuf::Struct said;
    if (!wire::parsed(line, said, check)) return WireFault{check.words()};
    wire::look_at_names(said, check);
    v1::Call read;
    if (check.good()) wire::parsed(line, read, check);
    if (!check.good()) return WireFault{check.words()};
    wire::fill(read, said, usual);
    // Nothing in it: the caller fills in what the bout came to.
    const bool as_it_is = read.has_confirm() && read.confirm().ByteSizeLong() == 0;
    if (read.has_confirm() && !as_it_is && read.confirm().rules_hash().size() != 32) {
        return WireFault{
            R"('confirm' is only part of a result. Write {"confirm": {}}: it is filled )"
            "in by itself with what the bout came to."};
    }
    if (as_it_is) read.set_plain(v1::PLAIN_KACHI);
    Call call = wire::call_of(read, check);
    if (as_it_is) call.what = Confirm{};
    if (!check.good()) return WireFault{wire::as_written(check.words())};
    return call;
}

bool looks_like_terms(std::string_view line) {
    wire::Check check;
    google::protobuf::Struct said;
    if (!wire::parsed(line, said, check)) return false;
    for (const char* name : {"rules", "timeMs", "goldenMs"}) {
        if (wire::says(said, name)) return true;
    }
    return false;
}

std::variant<BoutTerms, WireFault> terms_from_json(std::string_view line) {
    wire::Check check;
    google::protobuf::Struct said;
    if (!wire::parsed(line, said, check)) return WireFault{check.words()};
    BoutTerms terms;
    constexpr Duration golden_min = seconds(1);
    constexpr Duration golden_max = seconds(99 * 60 + 59);
    for (const std::string& name : wire::sorted(said)) {
        const google::protobuf::Value& value = said.fields().at(name);
        if (name == "rules") {
            if (value.kind_case() != google::protobuf::Value::kStringValue) {
                check.wrong("'rules' must be the name of a rule set, in quotes.");
            }
            terms.rules = value.string_value();
        } else if (name == "timeMs") {
            terms.time = wire::time_within(value, contest_min, contest_max);
            if (!terms.time) {
                check.wrong("'timeMs' must be the contest time in milliseconds, from 30000 (0:30) "
                            "to 600000 (10:00): 240000 is four minutes." +
                            wire::seconds_meant(value, contest_min, contest_max));
            }
        } else if (name == "goldenMs") {
            terms.golden = wire::time_within(value, golden_min, golden_max);
            if (wire::is_zero(value)) terms.golden = Duration{};
            if (!terms.golden) {
                check.wrong("'goldenMs' must be the limit of golden score in milliseconds, at most "
                            "5999000 (99:59), or 0 for no limit: 180000 is three minutes." +
                            wire::seconds_meant(value, golden_min, golden_max));
            }
        } else {
            check.wrong(wire::quoted(name) +
                        " is not known here; this line can say rules, timeMs and goldenMs, and "
                        "calls come after it.");
        }
    }
    if (!check.good()) return WireFault{check.words()};
    return terms;
}

std::string to_proto_json(const Call& call) {
    v1::Call out;
    wire::put(call, out);
    return wire::json(out, false);
}

std::string to_proto_json(const What& what) {
    Call call;
    call.what = what;
    v1::Call out;
    wire::put(call, out);
    out.clear_id();
    return wire::json(out, false);
}

std::string to_proto_json(const FrameShown& frame) {
    MatView view;
    view.frames.push_back(frame);
    v1::MatView out;
    wire::put(view, out);
    return wire::json(out.frames(0), true);
}

std::string to_proto_json(const Result& result) {
    v1::Result out;
    wire::put(result, out);
    return wire::json(out, true);
}

std::string to_proto_json(const BoutHead& head) {
    v1::BoutHead out;
    wire::put(head, out);
    return wire::json(out, true);
}

std::string to_proto_json(const MatView& view) {
    v1::MatView out;
    wire::put(view, out);
    return wire::json(out, true);
}

std::string to_proto_json(const Finished& item) {
    v1::Finished out;
    wire::put(item, out);
    return wire::json(out, true);
}

std::string to_proto_json(const Reopened& item) {
    v1::Reopened out;
    wire::put(item, out);
    return wire::json(out, true);
}

std::string to_proto_json(const Renamed& item) {
    v1::Renamed out;
    wire::put(item, out);
    return wire::json(out, true);
}

std::string to_proto_json(const CallList& list) {
    v1::CallList out;
    wire::put(list, out);
    return wire::json(out, true);
}

std::string to_proto_json(const BoardSide& side) {
    v1::BoardSide out;
    wire::put(side, out);
    return wire::json(out, true);
}

std::string_view proto_name(Happening why) {
    return v1::Frame::Why_Name(static_cast<v1::Frame::Why>(why));
}
std::string_view proto_name(Phase phase) { return v1::Phase_Name(static_cast<v1::Phase>(phase)); }
std::string_view proto_name(Sides sides) {
    return v1::Side_Name(static_cast<v1::Side>(sides.bits));
}
std::string_view proto_name(Reason reason) {
    return v1::PenaltyReason_Name(static_cast<v1::PenaltyReason>(reason));
}
std::string_view proto_name(PublicNames names) {
    return v1::PublicNames_Name(static_cast<v1::PublicNames>(names));
}

}  // namespace honbu
