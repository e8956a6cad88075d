// The audit stream: every record in order, never skipped, from any number on, in bounded memory.
//
// An audit with a hole in it proves nothing, and one that keeps a day for each follower takes the
// hub's memory (docs/architecture.md, promises 7 and 11). Records are chained here as in
// docs/journal.md, section 3.
#include <gtest/gtest.h>

#include "engine/record/canon.h"
#include "hub/feed/feed.h"
#include "hub/wire/heard.h"
#include "hub/words/record_line.h"
#include "tests/unit/bouts.h"

namespace honbu {
namespace {

constexpr SessionId auditor{1};
constexpr SessionId other{2};
constexpr std::size_t plenty = 10'000;

struct CountingBell final : Bell {
    void ring(SessionId session) override { ++rung[session]; }
    int take(SessionId session) { return std::exchange(rung[session], 0); }
    std::map<SessionId, int> rung;
};

Subscribe audit_after(std::uint32_t number) {
    Subscribe wish;
    wish.audit = true;
    wish.audit_after = RecordNumber{number};
    return wish;
}

HeardRecord record_in(const Shared& bytes) {
    const Heard message = heard(*bytes);
    const auto* record = std::get_if<HeardRecord>(&message);
    EXPECT_NE(record, nullptr);
    return record == nullptr ? HeardRecord{} : *record;
}
using Numbers = std::vector<std::uint32_t>;
Numbers numbers(const std::vector<Shared>& messages) {
    Numbers out;
    for (const Shared& bytes : messages)
        out.push_back(record_in(bytes).number.value);
    return out;
}
Numbers from_to(std::uint32_t first, std::uint32_t last) {
    Numbers out;
    for (std::uint32_t n = first; n <= last; ++n)
        out.push_back(n);
    return out;
}

struct FeedAudit : testing::Test {
    // `hand` makes it longer.
    void record(Feed& into, const std::string& hand = "Maja") {
        Record next;
        next.number = RecordNumber{static_cast<std::uint32_t>(disk.size() + 1)};
        next.previous = disk.empty() ? Hash{} : sha256(disk.back());
        next.received = Instant{next.number.value * 10};
        next.hand = hand;
        next.fact = MatTaken{MatId{1}, Term{next.number.value}};
        disk.push_back(encode(next));
        into.recorded(next.number, disk.back());
    }
    void records(Feed& into, int count) {
        for (int i = 0; i < count; ++i)
            record(into);
    }
    Audit::Source source() {
        return [this](RecordNumber after, std::size_t limit) {
            ++asked;
            most_asked = std::max(most_asked, limit);
            std::vector<std::string> out;
            for (std::size_t i = after.value; i < disk.size() && out.size() < limit; ++i)
                out.push_back(disk[i]);
            return out;
        };
    }
    // All that waits, taken in small bites.
    Numbers take_all(Feed& from, SessionId session, std::size_t bite) {
        Numbers got;
        for (;;) {
            const Numbers some = numbers(from.take(session, bite));
            EXPECT_LE(some.size(), bite);
            if (some.empty()) return got;
            got.insert(got.end(), some.begin(), some.end());
        }
    }

    CountingBell bell;
    Feed feed{bell};
    std::vector<std::string> disk;
    int asked = 0;
    std::size_t most_asked = 0;
};

TEST_F(FeedAudit, AnItemIsTheRecordAndItsWords) {
    feed.subscribe(auditor, audit_after(0));
    EXPECT_EQ(bell.take(auditor), 0);
    record(feed);
    EXPECT_EQ(bell.take(auditor), 1);
    const auto taken = feed.take(auditor, plenty);
    ASSERT_EQ(taken.size(), 1U);
    const HeardRecord item = record_in(taken[0]);
    EXPECT_EQ(item.bytes, disk[0]);
    EXPECT_EQ(item.words, line(*decode_record(disk[0])));
    EXPECT_EQ(item.hand, "Maja");
    EXPECT_EQ(hex(sha256(disk[0])).substr(0, 16), hex16(item.hash));
}

TEST_F(FeedAudit, NoRecordIsSkippedHoweverSlowlyItIsTaken) {
    feed.records_from(RecordNumber{0}, source());
    feed.subscribe(auditor, audit_after(0));
    Numbers got;
    for (int round = 0; round < 400; ++round) {
        records(feed, 3);
        for (const std::uint32_t number : numbers(feed.take(auditor, 2)))
            got.push_back(number);
    }
    EXPECT_EQ(feed.lag().records, 400U);
    const Numbers rest = take_all(feed, auditor, 2);
    got.insert(got.end(), rest.begin(), rest.end());
    EXPECT_EQ(got, from_to(1, 1200));
    EXPECT_LE(most_asked, 2U) << "no more is read than is taken";
    EXPECT_EQ(feed.lag().records, 0U);
}

TEST_F(FeedAudit, GoesOnFromAnyNumber) {
    feed.records_from(RecordNumber{0}, source());
    records(feed, 1000);
    for (const std::uint32_t after : {0U, 1U, 700U, 743U, 744U, 745U, 998U, 999U}) {
        feed.subscribe(auditor, audit_after(after));
        EXPECT_EQ(bell.take(auditor), 1) << after;
        EXPECT_EQ(take_all(feed, auditor, 32), from_to(after + 1, 1000)) << after;
    }
    for (const std::uint32_t after : {1000U, 1001U, 4'294'967'295U}) {
        feed.subscribe(auditor, audit_after(after));
        EXPECT_EQ(bell.take(auditor), 0) << after;
        EXPECT_EQ(take_all(feed, auditor, 32), Numbers{}) << after;
        EXPECT_EQ(feed.lag().records, 0U) << after;
    }
    feed.subscribe(auditor, audit_after(1000));
    record(feed);
    EXPECT_EQ(take_all(feed, auditor, 32), Numbers{1001});
}

// A new process knows nothing of what it has not recorded itself, and asks for it.
TEST_F(FeedAudit, GoesOnAcrossARestart) {
    feed.records_from(RecordNumber{0}, source());
    feed.subscribe(auditor, audit_after(0));
    records(feed, 10);
    Numbers got = numbers(feed.take(auditor, 4));

    Feed later(bell);
    later.records_from(RecordNumber{10}, source());
    later.subscribe(auditor, audit_after(got.back()));
    EXPECT_EQ(later.audit().recent(), 0U);
    const Numbers old = numbers(later.take(auditor, 3));
    got.insert(got.end(), old.begin(), old.end());
    records(later, 5);
    const Numbers rest = take_all(later, auditor, 3);
    got.insert(got.end(), rest.begin(), rest.end());
    EXPECT_EQ(got, from_to(1, 15));
}

// The journal's thread is ahead of the hub's: what is on the disk and not yet told is not shown.
TEST_F(FeedAudit, NothingIsShownBeforeTheHubHasHeardThatItIsKept) {
    Feed ahead(bell);
    records(ahead, 20);  // on the disk
    feed.records_from(RecordNumber{12}, source());
    feed.subscribe(auditor, audit_after(0));
    EXPECT_EQ(take_all(feed, auditor, 5), from_to(1, 12));
    feed.recorded(RecordNumber{13}, disk[12]);
    EXPECT_EQ(take_all(feed, auditor, 5), Numbers{13});
}

TEST_F(FeedAudit, WhatIsKeptIsBoundedByCountAndByBytes) {
    feed.records_from(RecordNumber{0}, source());
    records(feed, 5000);
    EXPECT_EQ(feed.audit().recent(), Audit::recent_max);
    EXPECT_LE(feed.audit().recent_bytes(), Audit::recent_bytes_max);
    for (int i = 0; i < 50; ++i)
        record(feed, std::string(20'000, 'x'));
    EXPECT_LE(feed.audit().recent(), 13U);
    EXPECT_LE(feed.audit().recent_bytes(), Audit::recent_bytes_max);
    record(feed, std::string(60'000, 'x'));
    EXPECT_LE(feed.audit().recent_bytes(), Audit::recent_bytes_max);
    // As messages they are longer than as records, and in two flavours twice: still bounded.
    feed.subscribe(auditor, audit_after(0));
    feed.subscribe(other, audit_after(5'030));
    EXPECT_EQ(take_all(feed, auditor, 32), from_to(1, 5051));
    while (!feed.take(other, 32, Flavour::json).empty()) {
    }
    EXPECT_LE(feed.audit().recent_bytes(), Audit::recent_bytes_max);
    records(feed, 5000);
    EXPECT_EQ(feed.audit().recent(), Audit::recent_max);
    EXPECT_EQ(take_all(feed, auditor, 32), from_to(5052, 10'051));
}

// The names of a competition are not in a record, but a big one is still bigger than all that is
// kept here.
TEST_F(FeedAudit, ARecordBiggerThanTheBoundIsReadFromTheJournal) {
    feed.records_from(RecordNumber{0}, source());
    Record big;
    big.number = RecordNumber{1};
    CompetitionLoaded competition;
    competition.title = "Lantern Cup";
    competition.rules = {rules_named("2018")};
    competition.categories = {{"women -57 kg", 0, seconds(240), {}}};
    for (std::uint32_t i = 1; i <= 20'000; ++i) {
        BoutEntry bout;
        bout.bout = BoutId{i};
        bout.mat = MatId{1};
        bout.round = "round 1";
        bout.white.value = bout.blue.value = i;
        competition.bouts.push_back(bout);
    }
    big.fact = competition;
    disk.push_back(encode(big));
    ASSERT_GT(disk.back().size(), Audit::recent_bytes_max);
    feed.recorded(big.number, disk.back());
    EXPECT_EQ(feed.audit().recent(), 0U);
    EXPECT_EQ(feed.audit().recent_bytes(), 0U);
    feed.subscribe(auditor, audit_after(0));
    record(feed);
    EXPECT_EQ(take_all(feed, auditor, 32), from_to(1, 2));
}

TEST_F(FeedAudit, TheRecentPartIsEncodedOnceForAll) {
    feed.records_from(RecordNumber{0}, source());
    for (const SessionId session : {auditor, other})
        feed.subscribe(session, audit_after(0));
    records(feed, 3);
    const auto one = feed.take(auditor, plenty);
    const auto two = feed.take(other, plenty);
    ASSERT_EQ(one.size(), 3U);
    ASSERT_EQ(two.size(), 3U);
    for (std::size_t i = 0; i < one.size(); ++i)
        EXPECT_EQ(one[i].get(), two[i].get()) << "encoded twice";
    EXPECT_EQ(asked, 0);
    // In text as well.
    feed.subscribe(auditor, audit_after(0));
    feed.subscribe(other, audit_after(0));
    EXPECT_EQ(feed.take(auditor, 1, Flavour::json).at(0).get(),
              feed.take(other, 1, Flavour::json).at(0).get());
}

// What can't be read for now holds nothing up, and is not passed over.
TEST_F(FeedAudit, WhatCannotBeReadIsAskedForAgain) {
    bool readable = false;
    feed.records_from(RecordNumber{5}, [&](RecordNumber after, std::size_t limit) {
        return readable ? source()(after, limit) : std::vector<std::string>();
    });
    Feed elsewhere(bell);
    records(elsewhere, 5);
    feed.subscribe(auditor, audit_after(2));
    EXPECT_EQ(take_all(feed, auditor, 32), Numbers{});
    record(feed);
    EXPECT_EQ(bell.take(auditor), 2);
    EXPECT_EQ(take_all(feed, auditor, 32), Numbers{});
    readable = true;
    EXPECT_EQ(take_all(feed, auditor, 32), from_to(3, 6));
}

TEST_F(FeedAudit, ARecordOutOfTurnFromTheSourceIsNotShown) {
    Feed elsewhere(bell);
    records(elsewhere, 5);
    feed.records_from(RecordNumber{5}, [this](RecordNumber, std::size_t) {
        return std::vector<std::string>{disk[0], disk[2], "no record"};
    });
    feed.subscribe(auditor, audit_after(0));
    EXPECT_EQ(numbers(feed.take(auditor, 32)), Numbers{1});
    EXPECT_EQ(numbers(feed.take(auditor, 32)), Numbers{});
}

TEST_F(FeedAudit, RecordsOutOfOrderAreOurOwnMistake) {
    record(feed);
    EXPECT_DEATH(feed.recorded(RecordNumber{3}, disk[0]), "must hold");
}

// Views that never rest and a day of results must not hold it up, nor it them.
TEST_F(FeedAudit, EachStreamGetsItsPlace) {
    Subscribe wish = audit_after(0);
    wish.all_mats = true;
    wish.results = true;
    feed.subscribe(auditor, wish);
    records(feed, 2);
    for (std::uint32_t number = 1; number <= 100; ++number) {
        Finished item;
        item.number = RecordNumber{number};
        feed.finished(item);
    }
    int audited = 0;
    int results = 0;
    for (std::uint32_t round = 1; round <= 2; ++round) {
        for (std::uint16_t mat = 1; mat <= 8; ++mat) {
            MatView view;
            view.mat = MatId{mat};
            view.number = RecordNumber{round};
            feed.mat(view);
        }
        for (const Shared& bytes : feed.take(auditor, 4)) {
            const Heard message = heard(*bytes);
            audited += std::holds_alternative<HeardRecord>(message) ? 1 : 0;
            results += std::holds_alternative<Finished>(message) ? 1 : 0;
        }
    }
    EXPECT_EQ(audited, 2);
    EXPECT_EQ(results, 2);
}

TEST_F(FeedAudit, WhoLeavesIsForgotten) {
    feed.subscribe(auditor, audit_after(0));
    record(feed);
    feed.leave(auditor);
    bell.take(auditor);
    record(feed);
    EXPECT_EQ(bell.take(auditor), 0);
    EXPECT_EQ(feed.take(auditor, plenty).size(), 0U);
}

}  // namespace
}  // namespace honbu
