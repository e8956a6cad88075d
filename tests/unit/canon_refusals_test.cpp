// The canonical encoding: what it must not take, and what it must not leave out.
//
// If decoding took bytes that encoding never writes, two journals could say the same with different
// hashes. If a field of the state were left out, a table and the hub could see different boards and
// never notice: their hashes would agree.
#include <gtest/gtest.h>

#include <functional>
#include <set>

#include "engine/record/canon.h"
#include "tests/unit/bouts.h"
#include "tests/unit/dice.h"

namespace honbu {
namespace {

constexpr std::size_t before_what = 34;  // run, number, term, mat, bout, entered, back, seen

std::string call_of(std::string_view what) {
    Dice dice(1);
    return encode(dice.call(Called{})).substr(0, before_what) + std::string(what);
}
std::string bytes(std::initializer_list<int> values) {
    std::string out;
    for (const int value : values)
        out += static_cast<char>(value);
    return out;
}
bool taken(std::initializer_list<int> what) {
    return decode_call(call_of(bytes(what))).has_value();
}

// docs/journal.md names these numbers; kept journals hold them.
TEST(CanonKinds, AreNumberedAsTheJournalPageSays) {
    const std::vector<int> numbers = {1,  18, 19, 2,  3,  20, 4,  5,  6,  21, 7,  8,  22,
                                      9,  10, 11, 12, 23, 24, 25, 26, 27, 28, 29, 30, 13,
                                      14, 31, 32, 33, 16, 34, 35, 15, 36, 37, 17};
    Dice dice(7);
    const std::vector<What> whats = dice.whats();
    ASSERT_EQ(whats.size(), numbers.size());
    for (std::size_t i = 0; i < whats.size(); ++i) {
        EXPECT_EQ(encode(dice.call(whats[i])).at(before_what), numbers[i]) << word(whats[i]);
    }
    EXPECT_EQ(std::set<int>(numbers.begin(), numbers.end()).size(), numbers.size());
    for (const int unknown : {0, 38, 39, 255})
        EXPECT_FALSE(taken({unknown})) << unknown;
}

TEST(CanonRefusals, ValuesOutOfRange) {
    EXPECT_TRUE(taken({8, 3, 4}));  // score: both, ippon
    for (const int sides : {0, 4, 255})
        EXPECT_FALSE(taken({8, sides, 4}));
    for (const int level : {0, 5})
        EXPECT_FALSE(taken({8, 1, level}));
    EXPECT_TRUE(taken({9, 3, 37}));  // shido: both, another reason
    EXPECT_FALSE(taken({9, 3, 38}));
    EXPECT_FALSE(taken({9, 0, 0}));
    EXPECT_TRUE(taken({10, 1, 2, 25}));  // hansoku-make: white, against the spirit, kawazu-gake
    EXPECT_FALSE(taken({10, 1, 3, 25}));
    EXPECT_FALSE(taken({10, 1, 2, 38}));
    EXPECT_TRUE(taken({11, 1, 3}));  // by submission
    EXPECT_TRUE(taken({11, 1, 4}));  // by a choke or lock
    for (const int means : {0, 1, 2, 5})
        EXPECT_FALSE(taken({11, 1, means}));
    EXPECT_FALSE(taken({11, 3, 3}));  // nobody's and everybody's: one side wins by it
    for (int way = 0; way <= 20; ++way) {
        const bool awarded = way == 3 || way == 8 || way == 11 || way == 12;
        EXPECT_EQ(taken({12, 1, way, 0}), awarded) << way;
        EXPECT_EQ(taken({12, 1, way, 2}), way == 8) << way;
        EXPECT_EQ(taken({12, 1, way, 3}), way == 8) << way;
        EXPECT_FALSE(taken({12, 1, way, 1})) << way;
        EXPECT_FALSE(taken({12, 1, way, 4})) << way;
    }
    EXPECT_TRUE(taken({18, 3}));  // absent
    EXPECT_FALSE(taken({18, 0}));
    EXPECT_TRUE(taken({25, 2, 3}));  // doctor
    EXPECT_FALSE(taken({25, 2, 0}));
    EXPECT_FALSE(taken({25, 2, 4}));
    EXPECT_FALSE(taken({25, 3, 1}));
    EXPECT_TRUE(taken({26, 1, 11}));  // bleeding
    EXPECT_FALSE(taken({26, 1, 0}));
    EXPECT_FALSE(taken({26, 1, 12}));
    EXPECT_TRUE(taken({27, 1, 4, 0}));  // injury
    EXPECT_FALSE(taken({27, 1, 0, 0}));
    EXPECT_FALSE(taken({27, 1, 5, 0}));
    EXPECT_FALSE(taken({27, 1, 1, 5}));
    EXPECT_TRUE(taken({37, 6}));  // reopened
    EXPECT_FALSE(taken({37, 0}));
    EXPECT_FALSE(taken({37, 7}));
}

std::string fact_of(std::initializer_list<int> fact) {
    Record record;
    record.fact = BoutGivenBack{BoutId{1}};
    return encode(record).substr(0, 4 + 32 + 4 + 8 + 2 + 1) + bytes(fact);
}
bool fact_taken(std::initializer_list<int> fact) {
    return decode_record(fact_of(fact)).has_value();
}

// docs/journal.md: the kinds of fact and what each may hold.
TEST(CanonRefusals, FactsOutOfRange) {
    EXPECT_TRUE(fact_taken({9, 1, 0, 0, 0}));  // given back
    for (const int unknown : {0, 10, 255})
        EXPECT_FALSE(fact_taken({unknown, 1, 0, 0, 0}));
    EXPECT_TRUE(fact_taken({5, 2, 0, 6, 0, 0, 0}));  // freed
    EXPECT_FALSE(fact_taken({5, 2, 0, 6, 0, 0}));
    EXPECT_TRUE(fact_taken({8, 1, 0, 0, 0, 2, 0, 0, 0, 1, 0, 'w'}));  // moved
    EXPECT_FALSE(fact_taken({8, 1, 0, 0, 0, 2, 0, 0, 0, 2, 0, 'w'}));
    for (int how = 0; how < 5; ++how) {
        EXPECT_EQ(fact_taken({6, how, 7, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0}),
                  how == 1 || how == 2)
            << how;
    }
    // Counts of calls and of joined runs that nothing follows, up to the largest.
    EXPECT_FALSE(fact_taken({6, 2, 7, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0}));
    EXPECT_FALSE(fact_taken({6, 2, 7, 0, 0, 0, 255, 255, 255, 255, 0, 0, 0, 0, 0, 0}));
    EXPECT_FALSE(fact_taken({6, 2, 7, 0, 0, 0, 0, 0, 0, 0, 255, 255, 255, 255, 0, 0}));
    // A joint's source is 1 to 4.
    for (const int source : {0, 1, 4, 5}) {
        EXPECT_EQ(fact_taken({6, 2, 7, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 1, 2, 3, 4,      5, 6, 7,
                              8, 8, 7, 6, 5, 4, 3, 2, 1, 0, 0, 0, 0, 0, 0, 0, 0, source, 0, 0}),
                  source == 1 || source == 4)
            << source;
    }
    Dice dice(4);
    for (int from = 0; from < 5; ++from) {
        Record record;
        record.fact = ResultEntered{BoutId{1}, static_cast<ResultEntered::From>(from),
                                    RecordNumber{}, dice.result(), "why"};
        EXPECT_EQ(decode_record(encode(record)).has_value(), from == 1 || from == 2) << from;
    }
    ResultEntered nobody_knows{BoutId{1}, ResultEntered::From::paper, RecordNumber{}, {}, "why"};
    nobody_knows.result.winner = static_cast<Winner>(5);
    Record record;
    record.fact = nobody_knows;
    EXPECT_FALSE(decode_record(encode(record)));
}

// A correction of a correction of a correction would be work without end.
TEST(CanonRefusals, AReplacementHoldsOnlyACallFromTheMat) {
    const auto replace_by = [](std::initializer_list<int> by) {
        const std::string head = bytes({34, 1, 2, 3, 4, 5, 6, 7, 8, 1, 0, 0, 0});
        return decode_call(call_of(head + bytes(by))).has_value();
    };
    EXPECT_TRUE(replace_by({2}));
    EXPECT_TRUE(replace_by({8, 2, 3}));
    EXPECT_FALSE(replace_by({}));
    EXPECT_FALSE(replace_by({36}));                                                  // accept
    EXPECT_FALSE(replace_by({37, 1}));                                               // reopen
    EXPECT_FALSE(replace_by({16, 1, 2, 3, 4, 5, 6, 7, 8, 1, 0, 0, 0}));              // strike
    EXPECT_FALSE(replace_by({34, 1, 2, 3, 4, 5, 6, 7, 8, 1, 0, 0, 0, 2}));           // replace
    EXPECT_FALSE(replace_by({35, 1, 2, 3, 4, 5, 6, 7, 8, 1, 0, 0, 0, 0, 0, 0, 0}));  // move
    Dice dice(3);
    const std::string confirm = encode(dice.call(Confirm{dice.result()})).substr(before_what);
    const std::string joint = encode(dice.call(dice.joint())).substr(before_what);
    const std::string head = bytes({34, 1, 2, 3, 4, 5, 6, 7, 8, 1, 0, 0, 0});
    EXPECT_TRUE(decode_call(call_of(confirm)));
    EXPECT_FALSE(decode_call(call_of(head + confirm)));
    EXPECT_TRUE(decode_call(call_of(joint)));
    EXPECT_FALSE(decode_call(call_of(head + joint)));
    // A thousand of them one in the other: refused at the second, not by running out of stack.
    std::string deep;
    for (int i = 0; i < 1000; ++i)
        deep += head;
    EXPECT_FALSE(decode_call(call_of(deep + bytes({2}))));
}

// Every byte of every kind set to every value: refused, or a call that encodes to those bytes.
TEST(CanonRefusals, NoOtherBytesAreTakenForACall) {
    Dice dice(11);
    for (const What& what : dice.whats()) {
        const std::string good = encode(dice.call(what));
        for (std::size_t at = before_what; at < good.size(); ++at) {
            for (int value = 0; value < 256; ++value) {
                std::string changed = good;
                changed[at] = static_cast<char>(value);
                const auto call = decode_call(changed);
                if (call) {
                    ASSERT_EQ(encode(*call), changed) << word(what) << " at " << at;
                }
            }
        }
        for (std::size_t size = 0; size < good.size(); ++size)
            ASSERT_FALSE(decode_call(std::string_view(good).substr(0, size))) << word(what);
        ASSERT_FALSE(decode_call(good + '\0')) << word(what);
    }
}

TEST(CanonRefusals, NoOtherBytesAreTakenForARuleSet) {
    const std::string good = encode(rules_named("2018"));
    for (std::size_t at = 0; at < good.size(); ++at) {
        for (int value = 0; value < 256; value += 3) {
            std::string changed = good;
            changed[at] = static_cast<char>(value);
            const auto rules = decode_rules(changed);
            if (rules) {
                ASSERT_EQ(encode(*rules), changed) << at;
            }
        }
    }
    for (std::size_t size = 0; size < good.size(); ++size)
        ASSERT_FALSE(decode_rules(std::string_view(good).substr(0, size)));
}

// One change for each field of the state; all encodings differ from the first and from each other.
TEST(CanonState, EveryFieldIsInIt) {
    using Change = std::function<void(State&)>;
    const std::vector<Change> changes = {
        [](State& s) { s.phase = Phase::accepted; },
        [](State& s) { s.golden = true; },
        [](State& s) { s.time_up = true; },
        [](State& s) { s.time_up_late = true; },
        [](State& s) { s.time_up_at = Instant{1}; },
        [](State& s) { s.contest.running = true; },
        [](State& s) { s.contest.value = Duration{1}; },
        [](State& s) { s.contest.since = Instant{1}; },
        [](State& s) { s.golden_next = true; },
        [](State& s) { s.frozen_running = true; },
        [](State& s) { s.regular = Duration{1}; },
        [](State& s) { s.hold.on = true; },
        [](State& s) { s.hold.by = Side::blue; },
        [](State& s) { s.hold.clock.running = true; },
        [](State& s) { s.hold.clock.value = Duration{1}; },
        [](State& s) { s.hold.clock.since = Instant{1}; },
        [](State& s) { s.hold.reached = 1; },
        [](State& s) { s.hold.called = 1; },
        [](State& s) { s.hold.called_at = Instant{1}; },
        [](State& s) { s.past_hold.readable = true; },
        [](State& s) { s.past_hold.open = true; },
        [](State& s) { s.past_hold.by_signal = true; },
        [](State& s) { s.past_hold.by = Side::blue; },
        [](State& s) { s.past_hold.value = Duration{1}; },
        [](State& s) { s.past_hold.ended = Instant{1}; },
        [](State& s) { s.past_hold.reached = 1; },
        [](State& s) { s.past_hold.decided = true; },
        [](State& s) { s.past_hold.taken_out = true; },
        [](State& s) { s.decision.winner = Winner::blue; },
        [](State& s) { s.decision.way = Way::yuko; },
        [](State& s) { s.decision.means = Means::hold; },
        [](State& s) { s.decision.flags = 2; },
        [](State& s) { s.decision.at = Instant{1}; },
        [](State& s) { s.decision.elapsed = Duration{1}; },
        [](State& s) { s.decision.basis = Basis::person; },
        [](State& s) { s.together.open = true; },
        [](State& s) { s.together.before.winner = Winner::white; },
        [](State& s) { s.together.before.flags = 3; },
        [](State& s) { s.together.shido[0] = 1; },
        [](State& s) { s.together.shido[1] = 1; },
        [](State& s) { s.together.over_person = true; },
        [](State& s) { s.absence.who = both_sides(); },
        [](State& s) { s.absence.calls = 1; },
        [](State& s) { s.absence.clock.running = true; },
        [](State& s) { s.absence.due = true; },
        [](State& s) { s.absence.over = true; },
        [](State& s) { s.missing = Missing::mate; },
        [](State& s) { s.missing_since = Instant{1}; },
        [](State& s) { s.late_call = Instant{1}; },
        [](State& s) { s.late_end = Instant{1}; },
        [](State& s) { s.twice = Instant{1}; },
        [](State& s) { s.twice_by = Side::blue; },
        [](State& s) { s.review = true; },
        [](State& s) { s.names_exchanged = true; },
        [](State& s) { s.ended_once = true; },
        [](State& s) { s.administrative = true; },
    };
    std::set<std::string> seen = {encode(State{})};
    for (std::size_t i = 0; i < changes.size(); ++i) {
        State s;
        changes[i](s);
        EXPECT_TRUE(seen.insert(encode(s)).second) << "change " << i << " is not seen";
    }
    const std::vector<std::function<void(Tally&)>> of_a_tally = {
        [](Tally& t) { t.score[0] = 1; },
        [](Tally& t) { t.score[3] = 1; },
        [](Tally& t) { t.ippon_by = Means::hold; },
        [](Tally& t) { t.shido = 1; },
        [](Tally& t) { t.leg_grabs = 1; },
        [](Tally& t) { t.direct_hansoku_make = true; },
        [](Tally& t) { t.direct_class = DirectClass::against_spirit; },
        [](Tally& t) { t.doctor = 1; },
        [](Tally& t) { t.bleeding[0] = 1; },
        [](Tally& t) { t.bleeding[site_count - 1] = 1; },
        [](Tally& t) { t.asked_for_doctor = true; },
        [](Tally& t) { t.harm = 2; },
        [](Tally& t) { t.blame = Blame::own; },
        [](Tally& t) { t.judogi = 1; },
    };
    for (const Side side : {Side::white, Side::blue}) {
        for (std::size_t i = 0; i < of_a_tally.size(); ++i) {
            State s;
            of_a_tally[i](s.of(side));
            EXPECT_TRUE(seen.insert(encode(s)).second) << word(side) << ", change " << i;
        }
        State s;
        s.golden_base[side == Side::white ? 0 : 1][2] = 1;
        EXPECT_TRUE(seen.insert(encode(s)).second) << word(side) << ", base of golden score";
    }
}

}  // namespace
}  // namespace honbu
