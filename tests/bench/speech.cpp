#include "tests/bench/speech.h"

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <map>
#include <vector>

#include "engine/record/canon.h"
#include "hub/wire/wire.h"
#include "tests/generate/contest.h"
#include "tests/generate/shipped.h"

namespace honbu::bench {
namespace {

constexpr std::uint64_t first_device = 0xbe0000;
constexpr std::uint32_t day_seed = 7;
constexpr std::size_t calls_before = 8;  // then a bout is in progress on every mat

const RuleSet& rules() {
    const auto& all = generate::all_rules();
    return *std::find_if(all.begin(), all.end(),
                         [](const RuleSet& each) { return each.name == "2025"; });
}

// The few fields the load looks at, read as protobuf has them on the wire: a number for the field
// and its kind, then a number or a length and so many bytes.
class Fields {
public:
    explicit Fields(std::string_view bytes) : left_(bytes) {}
    bool next() {
        if (left_.empty()) return false;
        const auto key = static_cast<std::uint32_t>(varint());
        field = key >> 3;
        number = static_cast<std::uint32_t>(varint());
        inside = {};
        if ((key & 7U) != 2) return true;
        inside = left_.substr(0, number);
        left_.remove_prefix(inside.size());
        return true;
    }
    std::uint32_t field = 0;
    std::uint32_t number = 0;
    std::string_view inside;

private:
    std::uint64_t varint() {
        std::uint64_t value = 0;
        for (unsigned shift = 0; !left_.empty() && shift < 64; shift += 7) {
            const auto byte = static_cast<unsigned char>(left_.front());
            left_.remove_prefix(1);
            value |= std::uint64_t{byte & 0x7FU} << shift;
            if ((byte & 0x80U) == 0) break;
        }
        return value;
    }
    std::string_view left_;
};

std::uint32_t number_in(std::string_view message, std::uint32_t field) {
    for (Fields fields(message); fields.next();) {
        if (fields.field == field) return fields.number;
    }
    return 0;
}

[[noreturn]] void not_as_expected(const char* what, std::string_view message) {
    std::fprintf(stderr, "the hub %s: %.*s\n", what, static_cast<int>(message.size()),
                 message.data());
    std::exit(1);
}

class WithHub final : public Speech {
public:
    explicit WithHub(const HallShape& hall) : mats_(hall.mats), tables_(hall.mats) {
        const Conditions under{rules(), seconds(240), Duration{}};
        const auto bouts = static_cast<std::uint32_t>(hall.mats * hall.bouts_a_mat);
        for (auto& bout :
             generate::day(under, day_seed, static_cast<std::uint16_t>(hall.mats), bouts)) {
            Table& table = tables_[bout.mat.value - 1U];
            if (table.messages.empty()) table.first = bout.calls.front();
            std::vector<Call> so_far;
            for (Call& call : bout.calls) {
                call.seen = short_hash(before(under, so_far, call));
                table.messages.push_back(to_wire(Command(Submit{call})));
                so_far.push_back(call);
            }
        }
    }

    std::string hello(bool table, std::size_t index) override {
        Hello hello;
        hello.schema = wire_schema;
        hello.role = table ? Role::table : Role::hall;
        hello.fold_version = fold_version;
        if (table) {
            hello.device = DeviceId{first_device + index};
            hello.run = tables_[index].first.id.run;
        }
        return to_wire(Command(hello));
    }
    std::string after_welcome(bool table, std::size_t index) override {
        if (table) {
            return to_wire(
                Command(TakeMat{MatId{static_cast<std::uint16_t>(index + 1)}, false, ""}));
        }
        Subscribe all;
        all.all_mats = true;
        return to_wire(Command(all));
    }
    // The run's clock, so that the views carry instants as in a real hall: an hour after the start.
    std::string after_allotment(std::size_t index) override {
        const Call& first = tables_[index].first;
        ClockMeasured measured;
        measured.clock = RunClock{first.id.run, first.entered, Instant{3'600'000}};
        return to_wire(Command(measured));
    }
    std::size_t first_views() const override { return mats_; }
    bool server_numbers() const override { return true; }
    std::size_t events_before() const override { return calls_before; }
    std::string event(std::size_t table, std::uint32_t) override {
        Table& from = tables_[table];
        return from.next < from.messages.size() ? from.messages[from.next++] : std::string();
    }
    std::string sign_of_life() const override { return to_wire(Command(Heartbeat())); }

    // Field numbers: proto/honbu/v1/hub.proto, ToClient and what is in it.
    Heard hear(std::string_view message) const override {
        Fields kind(message);
        if (!kind.next()) return {};
        switch (kind.field) {
        case 1: return {Heard::Kind::welcome, 0};
        case 3: return {Heard::Kind::allotment, 0};
        case 4:
            if (number_in(kind.inside, 2) != 1) not_as_expected("did not apply a call", "");
            return {Heard::Kind::verdict, number_in(kind.inside, 3)};
        case 5: not_as_expected("refused", kind.inside);
        case 6: return {Heard::Kind::view, number_in(kind.inside, 2)};
        case 9: not_as_expected("said goodbye", kind.inside);
        default: return {};
        }
    }

private:
    struct Table {
        Call first;
        std::vector<std::string> messages;
        std::size_t next = 0;
    };
    std::size_t mats_;
    std::vector<Table> tables_;
};

class Plain final : public Speech {
public:
    std::string hello(bool table, std::size_t) override { return table ? "" : "S"; }
    std::string after_welcome(bool, std::size_t) override { return {}; }
    std::string after_allotment(std::size_t) override { return {}; }
    std::size_t first_views() const override { return 1; }
    bool server_numbers() const override { return false; }
    std::size_t events_before() const override { return 0; }
    std::string event(std::size_t, std::uint32_t number) override {
        std::string out("E");
        out.append(reinterpret_cast<const char*>(&number), sizeof number);
        return out;
    }
    std::string sign_of_life() const override { return {}; }
    Heard hear(std::string_view message) const override {
        if (message.size() < 5) return {};
        Heard heard{message[0] == 'A' ? Heard::Kind::verdict : Heard::Kind::view, 0};
        std::memcpy(&heard.number, message.data() + 1, sizeof heard.number);
        return heard;
    }
};

}  // namespace

std::unique_ptr<Speech> speech_with_hub(const HallShape& hall) {
    return std::make_unique<WithHub>(hall);
}

std::unique_ptr<Speech> plain_speech() { return std::make_unique<Plain>(); }

// Bouts go to the mats in turn, as generate::day() has them.
std::string competition_csv(const HallShape& hall) {
    std::string out = "bout,mat,category,rules,time,round,white,white_club,blue,blue_club\n";
    for (std::size_t bout = 1; bout <= hall.mats * hall.bouts_a_mat; ++bout) {
        const std::string number = std::to_string(bout);
        out += number + "," + std::to_string((bout - 1) % hall.mats + 1) +
               ",men -73 kg,2025,4:00,round 1,Milan Fernhill " + number + ",Dojo Lanternside," +
               "Ilo Saltmarsh " + number + ",Judo Kestrel Bay\n";
    }
    return out;
}

}  // namespace honbu::bench
