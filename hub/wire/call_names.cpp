#include "hub/wire/call_names.h"

#include <google/protobuf/descriptor.h>

#include <cmath>
#include <limits>
#include <vector>

#include "hub/insist.h"
#include "hub/wire/nearest.h"

namespace honbu::wire {
namespace {

namespace pb = google::protobuf;

std::string listed(const std::vector<std::string>& names) {
    std::string out;
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (i > 0) out += i + 1 == names.size() ? " or " : ", ";
        out += names[i];
    }
    return out;
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
        if (type.name() == "CallRef" && at != "id." && !says(object, "number")) {
            check_.wrong(
                quoted(at + "number") +
                " is missing; it is the number of an earlier call, as in {\"number\": 3}.");
        }
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
                check_.wrong(name + " is missing; it can be " + listed(values(field)) + ".");
            } else if (field.message_type() != nullptr) {
                check_.wrong(name + " is missing; write it like this: " + by_example(type) + ".");
            } else if (field.cpp_type() == pb::FieldDescriptor::CPPTYPE_UINT32 && is_time(field)) {
                check_.wrong(name + " is missing; it is a time in milliseconds.");
            }
        }
    }

    // How the calls that hold others are written.
    static std::string by_example(const pb::Descriptor& type) {
        if (type.name() == "CallRef") return R"({"number": 3})";
        if (type.name() == "Replace") {
            return R"({"call": {"number": 3}, "by": {"osaekomi": "SIDE_BLUE"}})";
        }
        if (type.name() == "Move") return R"({"call": {"number": 2}, "to": 20000})";
        return "{ }, with " + fields(type);
    }

    // Only these can be given to both, and only these wins are called.
    static bool possible(const pb::FieldDescriptor& field, const std::string& value) {
        if (value.ends_with("_NONE")) return false;
        const std::string& name = field.full_name();
        const auto is = [&name](std::string_view wanted) { return name.ends_with(wanted); };
        if (value == "SIDE_BOTH") {
            return is(".Score.to") || is(".Call.shido") || is(".Call.hansoku_make") ||
                   is(".Call.absent") || is(".Call.judogi");
        }
        if (is(".Award.way")) {
            return value == "WAY_HANTEI" || value == "WAY_KIKEN_GACHI" ||
                   value == "WAY_FUSEN_GACHI" || value == "WAY_SOGO_GACHI";
        }
        if (is(".Call.means")) return value == "MEANS_SUBMISSION" || value == "MEANS_CHOKE";
        return true;
    }

    static std::vector<std::string> values(const pb::FieldDescriptor& field) {
        const pb::EnumDescriptor& type = *field.enum_type();
        std::vector<std::string> names;
        for (int i = 0; i < type.value_count(); ++i) {
            if (possible(field, type.value(i)->name())) names.push_back(type.value(i)->name());
        }
        return names;
    }

    // All that can stand there, or of many the nearest.
    static std::string suggested(const pb::FieldDescriptor& field, const std::string& given) {
        constexpr std::size_t listed_max = 8;
        const std::vector<std::string> all = values(field);
        if (all.size() <= listed_max) return "it can be " + listed(all) + ".";
        return "did you mean " + listed(nearest(all, given, 3)) +
               "? docs/replay.md, section 3, has them all.";
    }

    void one(const pb::Value& value, const pb::FieldDescriptor& field, const std::string& at) {
        switch (field.cpp_type()) {
        case pb::FieldDescriptor::CPPTYPE_MESSAGE:
            if (value.kind_case() == pb::Value::kStructValue) {
                object(value.struct_value(), *field.message_type(), at + ".");
            } else {
                check_.wrong(quoted(at) + " must be an object, written like this: " +
                             by_example(*field.message_type()) + ".");
            }
            return;
        case pb::FieldDescriptor::CPPTYPE_ENUM: known(value, field, at); return;
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

    void known(const pb::Value& value, const pb::FieldDescriptor& field, const std::string& at) {
        const pb::EnumDescriptor& type = *field.enum_type();
        const pb::EnumValueDescriptor* found = nullptr;
        std::string given;
        if (value.kind_case() == pb::Value::kStringValue) {
            given = value.string_value();
            found = type.FindValueByName(given);
        } else if (whole(value)) {
            const double number = value.number_value();
            given = std::to_string(static_cast<std::uint32_t>(number));
            if (number <= std::numeric_limits<int>::max()) {
                found = type.FindValueByNumber(static_cast<int>(number));
            }
        }
        if (found != nullptr && (found->number() == 0 || possible(field, found->name()))) return;
        const std::string is = given.empty() ? " is no name" : " is " + quoted(given);
        const bool both = found != nullptr && found->name() == "SIDE_BOTH";
        const bool win = field.full_name().ends_with(".Award.way") && found != nullptr;
        check_.wrong(quoted(at) + is + "; " + suggested(field, given) +
                     (both  ? " Only one can have it."
                      : win ? " Every other win follows from the calls."
                            : ""));
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

}  // namespace

void look_at_names(const google::protobuf::Struct& line, Check& check) {
    Names(check).object(line, *v1::Call::descriptor(), "");
}

std::string quoted(std::string_view text) {
    constexpr std::size_t shown_max = 40;
    std::string out = "'";
    for (const char c : text.substr(0, shown_max)) {
        const auto byte = static_cast<unsigned char>(c);
        out += byte < 0x20 || byte > 0x7e ? '?' : c;
    }
    return out + (text.size() > shown_max ? "...'" : "'");
}

std::set<std::string> sorted(const pb::Struct& object) {
    std::set<std::string> names;
    for (const auto& [name, value] : object.fields())
        names.insert(name);
    return names;
}

bool says(const pb::Struct& object, const std::string& name) {
    const auto found = object.fields().find(name);
    return found != object.fields().end() && found->second.kind_case() != pb::Value::kNullValue;
}

}  // namespace honbu::wire
