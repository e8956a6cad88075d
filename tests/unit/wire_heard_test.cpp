// The wire: what a C++ client hears is what the hub said.
//
// The simulator and clients/sim believe what heard() gives them; a field it drops can't be checked
// by any of them. So each message is heard and said again, and must be the same bytes.
#include "engine/record/canon.h"
#include "hub/wire/heard.h"
#include "tests/unit/wire_samples.h"

namespace honbu {
namespace {

struct SayAgain {
    std::string operator()(const Unreadable&) const { return "unreadable"; }
    std::string operator()(const Welcome& m) const { return to_wire(Reply{m}); }
    std::string operator()(const ClockAnswer& m) const { return to_wire(Reply{m}); }
    std::string operator()(const Allotment& m) const { return to_wire(Reply{m}); }
    std::string operator()(const VerdictGiven& m) const { return to_wire(Reply{m}); }
    std::string operator()(const Refusal& m) const { return to_wire(Reply{m}); }
    std::string operator()(const MatLost& m) const { return to_wire(Reply{m}); }
    std::string operator()(const Heartbeat& m) const { return to_wire(Reply{m}); }
    std::string operator()(const Goodbye& m) const { return to_wire(Reply{m}); }
    std::string operator()(const Asked& m) const { return to_wire(Reply{m}); }
    std::string operator()(const AskAnswered& m) const { return to_wire(Reply{m}); }
    std::string operator()(const Done& m) const { return to_wire(Reply{m}); }
    std::string operator()(const MatView& m) const { return to_wire(m); }
    std::string operator()(const Finished& m) const { return to_wire(m); }
    std::string operator()(const Reopened& m) const { return to_wire(m); }
    std::string operator()(const Renamed& m) const { return to_wire(m); }
    std::string operator()(const PeopleFound& m) const { return to_wire(Reply{m}); }
    std::string operator()(const CallList& m) const { return to_wire(m); }
    std::string operator()(const BoutSheet& m) const { return to_wire(m); }
    std::string operator()(const Tables& m) const { return to_wire(m); }
    std::string operator()(const SetAside& m) const { return to_wire(m); }
    std::string operator()(const AtTheDoor& m) const { return to_wire(Reply{m}); }
    std::string operator()(const Door& m) const { return to_wire(m); }
    std::string operator()(const HeardRecord&) const { return "a record"; }
};

void expect_heard(const std::string& said) {
    const Heard message = heard(said);
    EXPECT_EQ(hex(std::visit(SayAgain{}, message)), hex(said))
        << parsed(said).ShortDebugString().substr(0, 200);
}

TEST(WireHeard, EveryMessageIsHeardAsItWasSaid) {
    const CallId call{RunId{0x00f3a1b2c3d4e5f6}, CallNumber{31}};
    expect_heard(to_wire(Reply{a_welcome()}));
    expect_heard(to_wire(Reply{ClockAnswer{17, Instant{4000}}}));
    expect_heard(to_wire(Reply{an_allotment()}));
    expect_heard(to_wire(Reply{VerdictGiven{call, Verdict::set_aside, RecordNumber{88}, true}}));
    expect_heard(to_wire(Reply{Refusal{Cause::number_gap, "Call 30 is missing.", true, call, 0}}));
    expect_heard(to_wire(Reply{Refusal{Cause::too_many, "Ask again later.", false, {}, 9}}));
    expect_heard(to_wire(Reply{MatLost{MatId{2}, Term{6}, "Taken.", true}}));
    expect_heard(to_wire(Reply{Heartbeat{}}));
    expect_heard(to_wire(Reply{Goodbye{Cause::stopping, "The hub stops.", true}}));
    expect_heard(
        to_wire(Reply{Asked{7, MatId{2}, true, "Renske", About::other, "words", Instant{9000}}}));
    for (const Answered how :
         {Answered::heard, Answered::coming, Answered::yes, Answered::no, Answered::gone}) {
        expect_heard(to_wire(Reply{AskAnswered{7, how, "Ngaio", "not yet", 3}}));
    }
    expect_heard(to_wire(Reply{Done{8, RecordNumber{130}, "done"}}));
    expect_heard(to_wire(a_view()));
    expect_heard(to_wire(a_door()));
    expect_heard(to_wire(Reply{AtTheDoor{"012345", true}}));
    expect_heard(to_wire(a_finished()));
    expect_heard(to_wire(Reopened{RecordNumber{131}, MatId{2}, BoutId{12}, RecordNumber{120}}));
    expect_heard(to_wire(Renamed{RecordNumber{140}, PersonId{17}, "Athlete 17"}));
    PeopleFound found;
    found.request = 9;
    found.people = {{PersonId{17}, {}, "Athlete 17", "", true, {BoutId{3}, BoutId{12}}},
                    {{}, BoutId{0x80000001}, "Tui Marama - Hana Lund", "-57 kg", false, {}}};
    found.more = 4;
    expect_heard(to_wire(Reply{found}));
    expect_heard(to_wire(a_call_list()));
    expect_heard(to_wire(a_sheet()));
    expect_heard(to_wire(some_tables()));
    expect_heard(to_wire(a_set_aside()));
}

TEST(WireHeard, ARecordIsHeardWithItsBytes) {
    Dice dice(9);
    for (const What& what : dice.whats()) {
        Record record;
        record.number = RecordNumber{dice.u32()};
        record.received = Instant{dice.u32()};
        record.device = DeviceId{dice.name()};
        record.hand = "Ngaio Ō";
        record.verdict = dice.among(Verdict::applied, Verdict::set_aside);
        record.fact = dice.call(what);
        const std::string bytes = encode(record);
        const Heard message = heard(record_to_wire(record, bytes, "in words"));
        const auto* got = std::get_if<HeardRecord>(&message);
        ASSERT_NE(got, nullptr);
        EXPECT_EQ(got->number, record.number);
        EXPECT_EQ(got->received, record.received);
        EXPECT_EQ(got->device, record.device);
        EXPECT_EQ(got->hand, record.hand);
        EXPECT_EQ(got->verdict, record.verdict);
        EXPECT_EQ(got->words, "in words");
        ASSERT_TRUE(got->call.has_value());
        EXPECT_EQ(encode(*got->call), encode(std::get<Call>(record.fact)));
        EXPECT_EQ(got->bytes, bytes);
        EXPECT_EQ(
            hex(sha256(bytes)).substr(0, 16),
            hex(std::string{static_cast<char>(got->hash >> 56), static_cast<char>(got->hash >> 48),
                            static_cast<char>(got->hash >> 40), static_cast<char>(got->hash >> 32),
                            static_cast<char>(got->hash >> 24), static_cast<char>(got->hash >> 16),
                            static_cast<char>(got->hash >> 8), static_cast<char>(got->hash)}));
    }
    Record freed;
    freed.fact = MatFreed{MatId{2}, Term{6}};
    const Heard message = heard(record_to_wire(freed, encode(freed), ""));
    ASSERT_TRUE(std::holds_alternative<HeardRecord>(message));
    EXPECT_FALSE(std::get<HeardRecord>(message).call.has_value());
}

TEST(WireHeard, NoiseIsUnreadable) {
    EXPECT_TRUE(std::holds_alternative<Unreadable>(heard("")));
    EXPECT_TRUE(std::holds_alternative<Unreadable>(heard("hajime")));
    // Damage to a message of every kind is survived, whatever is heard then.
    for (const std::string& whole :
         {to_wire(Reply{a_welcome()}), to_wire(Reply{an_allotment()}), to_wire(a_view()),
          to_wire(a_finished()), to_wire(a_call_list()), to_wire(a_sheet()), to_wire(some_tables()),
          to_wire(a_set_aside())}) {
        for (std::size_t at = 0; at < whole.size(); ++at) {
            std::string damaged = whole;
            damaged[at] = static_cast<char>(damaged[at] ^ 0x55);
            heard(damaged);
        }
    }
}

}  // namespace
}  // namespace honbu
