#include "hub/wire/call_json.h"

#include <google/protobuf/descriptor.h>
#include <google/protobuf/struct.pb.h>
#include <google/protobuf/util/json_util.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <vector>

#include "engine/view/json.h"
#include "hub/insist.h"
#include "hub/wire/parts.h"

namespace honbu {
namespace wire {
namespace {

namespace pb = google::protobuf;

constexpr std::size_t line_bytes_max = 16 * 1024;

// In quotes, short and on one line, whatever it was.
std::string quoted(std::string_view text) {
    constexpr std::size_t shown_max = 40;
    std::string out = "'";
    for (const char c : text.substr(0, shown_max)) {
        const auto byte = static_cast<unsigned char>(c);
        out += byte < 0x20 || byte > 0x7e ? '?' : c;
    }
    return out + (text.size() > shown_max ? "...'" : "'");
}

std::string listed(const std::vector<std::string>& names) {
    std::string out;
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (i > 0) out += i + 1 == names.size() ? " or " : ", ";
        out += names[i];
    }
    return out;
}

// protobuf's parser stops at the first mistake and says what it saw in its own words.
bool parsed(std::string_view line, pb::Message& out, Check& check) {
    if (line.size() > line_bytes_max) {
        check.wrong("it is longer than 16 KiB; a call takes one short line.");
        return false;
    }
    const auto status = pb::util::JsonStringToMessage(pb::StringPiece(line.data(), line.size()),
                                                      &out);
    if (status.ok()) return true;
    std::string words(status.message());
    words.resize(std::min(words.find('\n'), words.size()));
    words.erase(0, std::min(words.find_first_not_of(": "), words.size()));
    check.wrong("it is not a whole JSON object: " + words +
                " A line looks like this: " + R"({"entered": 0, "plain": "PLAIN_HAJIME"})");
    return false;
}

// Always in the same order, so that the same mistake is named first.
std::set<std::string> sorted(const pb::Struct& object) {
    std::set<std::string> names;
    for (const auto& [name, value] : object.fields())
        names.insert(name);
    return names;
}

// null is the same as not there.
bool says(const pb::Struct& object, const std::string& name) {
    const auto found = object.fields().find(name);
    return found != object.fields().end() && found->second.kind_case() != pb::Value::kNullValue;
}

// Walks a JSON object beside the schema, so that what is wrong is said by name. Values that pass
// here are read by protobuf afterwards.
class Names {
public:
    explicit Names(Check& check) : check_(check) {}

    void object(const pb::Struct& object, const pb::Descriptor& type, const std::string& at) {
        std::vector<std::string> kinds;
        for (const std::string& name : sorted(object)) {
            const pb::Value& value = object.fields().at(name);
            const pb::FieldDescriptor* field = find(type, name);
            if (field == nullptr) {
                check_.wrong(quoted(at + name) + " is not known here; it can be " + fields(type) +
                             ".");
                return;
            }
            if (value.kind_case() == pb::Value::kNullValue) continue;
            if (field->real_containing_oneof() != nullptr) kinds.push_back(field->json_name());
            one(value, *field, at + field->json_name());
        }
        if (kinds.size() > 1) {
            check_.wrong("it says more than one call, " + kinds[0] + " and " + kinds[1] +
                         "; write one call a line.");
        }
        if (type.oneof_decl_count() > 0 && kinds.empty()) {
            check_.wrong((at.empty() ? "it" : quoted(at.substr(0, at.size() - 1))) +
                         " does not say what was called; add one of " +
                         fields(*type.oneof_decl(0)) + ".");
        }
        if (type.oneof_decl_count() == 0 && type.name() != "Result") missing(object, type, at);
    }

private:
    static const pb::FieldDescriptor* find(const pb::Descriptor& type, const std::string& name) {
        for (int i = 0; i < type.field_count(); ++i) {
            const pb::FieldDescriptor* field = type.field(i);
            if (field->json_name() == name || field->name() == name) return field;
        }
        return nullptr;
    }

    template<class Group> static std::string fields(const Group& of) {
        std::vector<std::string> names;
        for (int i = 0; i < of.field_count(); ++i)
            names.push_back(of.field(i)->json_name());
        return listed(names);
    }

    // An enum whose zero means "none" has to be given, and so has a time: 0 is one as well.
    void missing(const pb::Struct& object, const pb::Descriptor& type, const std::string& at) {
        for (int i = 0; i < type.field_count(); ++i) {
            const pb::FieldDescriptor& field = *type.field(i);
            if (says(object, field.json_name()) || says(object, field.name())) continue;
            const std::string name = quoted(at + field.json_name());
            if (field.cpp_type() == pb::FieldDescriptor::CPPTYPE_ENUM) {
                if (!field.enum_type()->value(0)->name().ends_with("_NONE")) continue;
                check_.wrong(name + " is missing; it can be " + values(*field.enum_type()) + ".");
            } else if (field.cpp_type() == pb::FieldDescriptor::CPPTYPE_UINT32 && is_time(field)) {
                check_.wrong(name + " is missing; it is a time in milliseconds.");
            }
        }
    }

    static std::string values(const pb::EnumDescriptor& type) {
        std::vector<std::string> names;
        for (int i = 0; i < type.value_count(); ++i) {
            if (!type.value(i)->name().ends_with("_NONE")) names.push_back(type.value(i)->name());
        }
        return listed(names);
    }

    void one(const pb::Value& value, const pb::FieldDescriptor& field, const std::string& at) {
        switch (field.cpp_type()) {
        case pb::FieldDescriptor::CPPTYPE_MESSAGE:
            if (value.kind_case() == pb::Value::kStructValue) {
                object(value.struct_value(), *field.message_type(), at + ".");
            } else {
                check_.wrong(quoted(at) + " must be an object; it can say " +
                             fields(*field.message_type()) + ".");
            }
            return;
        case pb::FieldDescriptor::CPPTYPE_ENUM: known(value, *field.enum_type(), at); return;
        case pb::FieldDescriptor::CPPTYPE_UINT32:
            if (!whole(value)) {
                check_.wrong(quoted(at) + " must be a whole number from 0 to 4294967295" +
                             std::string(is_time(field) ? ", in milliseconds." : "."));
            }
            return;
        case pb::FieldDescriptor::CPPTYPE_BOOL:
            if (value.kind_case() != pb::Value::kBoolValue) {
                check_.wrong(quoted(at) + " must be true or false.");
            }
            return;
        case pb::FieldDescriptor::CPPTYPE_STRING:
            if (value.kind_case() != pb::Value::kStringValue) {
                check_.wrong(quoted(at) + " must be a text in quotes.");
            }
            return;
        case pb::FieldDescriptor::CPPTYPE_INT32:
        case pb::FieldDescriptor::CPPTYPE_INT64:
        case pb::FieldDescriptor::CPPTYPE_UINT64:
        case pb::FieldDescriptor::CPPTYPE_DOUBLE:
        case pb::FieldDescriptor::CPPTYPE_FLOAT: INSIST(false);  // not in the schema
        }
    }

    void known(const pb::Value& value, const pb::EnumDescriptor& type, const std::string& at) {
        if (whole(value)) return;  // by number: the range is looked at with the other checks
        const bool text = value.kind_case() == pb::Value::kStringValue;
        if (text && type.FindValueByName(value.string_value()) != nullptr) return;
        check_.wrong(quoted(at) + (text ? " is " + quoted(value.string_value()) + "; it" : "") +
                     " can be " + values(type) + ".");
    }

    static bool whole(const pb::Value& value) {
        if (value.kind_case() != pb::Value::kNumberValue) return false;
        const auto number = value.number_value();
        return number >= 0 && number <= std::numeric_limits<std::uint32_t>::max() &&
               std::floor(number) == number;
    }

    static bool is_time(const pb::FieldDescriptor& field) {
        const std::string& name = field.name();
        return name == "entered" || name == "back" || name == "to" || name == "there" ||
               name == "here" || name == "set_clock" || name == "ms" || name.ends_with("_ms");
    }

    Check& check_;
};

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

// The words of the other checks name fields from "call." on; here the line is the call.
std::string without_call(std::string words) {
    constexpr std::string_view prefix = "call.";
    return words.starts_with(prefix) ? words.substr(prefix.size()) : words;
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
    wire::Names(check).object(said, *v1::Call::descriptor(), "");
    v1::Call read;
    if (check.good()) wire::parsed(line, read, check);
    if (!check.good()) return WireFault{check.words()};
    wire::fill(read, said, usual);
    // Nothing in it: the caller fills in what the bout came to.
    const bool as_it_is = read.has_confirm() && read.confirm().ByteSizeLong() == 0;
    if (as_it_is) read.set_plain(v1::PLAIN_KACHI);
    Call call = wire::call_of(read, check);
    if (as_it_is) call.what = Confirm{};
    if (!check.good()) return WireFault{wire::without_call(check.words())};
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
    const auto time = [](const google::protobuf::Value& value) -> std::optional<Duration> {
        constexpr std::uint32_t time_ms_max = 6'000'000;  // 100 minutes
        const auto number = value.number_value();
        if (number < 0 || number > time_ms_max || std::floor(number) != number) return {};
        return Duration{static_cast<std::uint32_t>(number)};
    };
    for (const std::string& name : wire::sorted(said)) {
        const google::protobuf::Value& value = said.fields().at(name);
        const bool number = value.kind_case() == google::protobuf::Value::kNumberValue;
        if (name == "rules") {
            if (value.kind_case() != google::protobuf::Value::kStringValue) {
                check.wrong("'rules' must be the name of a rule set, in quotes.");
            }
            terms.rules = value.string_value();
        } else if (name == "timeMs") {
            terms.time = number ? time(value) : std::nullopt;
            if (!terms.time || terms.time->ms == 0) {
                check.wrong("'timeMs' must be the contest time in milliseconds, from 1 to "
                            "6000000: 240000 is four minutes.");
            }
        } else if (name == "goldenMs") {
            terms.golden = number ? time(value) : std::nullopt;
            if (!terms.golden) {
                check.wrong("'goldenMs' must be the limit of golden score in milliseconds, from 0 "
                            "(no limit) to 6000000.");
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

}  // namespace honbu
