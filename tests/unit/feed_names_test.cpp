// Who sees which names, and that an erased one is in nothing that is taken after it.
//
// Most of a hall sees everything and pays nothing for the others: with full names every follower of
// a view takes the same bytes (docs/architecture.md, "encode once"). That a name which a person had
// erased is not told again: Regulation (EU) 2016/679, Art. 17(1) (from memory).
#include <gtest/gtest.h>

#include "hub/feed/documents.h"
#include "hub/wire/heard.h"
#include "tests/unit/world.h"

namespace honbu {
namespace {

constexpr SessionId display{1};
constexpr SessionId phone{2};
constexpr SessionId reader{3};
constexpr std::size_t plenty = 100;

struct NoBell final : Bell {
    void ring(SessionId) override {}
};

BoutHead bout(std::uint32_t number) {
    BoutHead head;
    head.bout = BoutId{number};
    head.white_word = "white";
    head.blue_word = "blue";
    head.white = Seat{PersonId{3}, "Aiko Brandt", "JC Fjord", Slot::From::person, {}};
    head.blue = Seat{PersonId{4}, "Inès Valcourt", "Dojo Port", Slot::From::person, {}};
    return head;
}
Finished result(std::uint32_t number, std::uint32_t of) {
    Finished item;
    item.number = RecordNumber{number};
    item.mat = MatId{1};
    item.bout = bout(of);
    item.result.winner = Winner::white;
    item.words = "white wins by ippon";
    return item;
}

struct FeedNames : testing::Test {
    FeedNames() {
        feed.sheets_from([this](BoutId of) { return sheet(of); });
    }
    std::optional<BoutSheet> sheet(BoutId of) const {
        BoutSheet out;
        out.mat = MatId{1};
        out.bout = bout(of.value);
        if (erased) out.bout.white = Seat{PersonId{3}, "Athlete 3", "", Slot::From::person, {}};
        return out;
    }
    void begin(PublicNames names) {
        feed.show_publicly(names);
        feed.begin(Epoch{0xe0});
        documents.begin(Epoch{0xe0});
        tell();
        feed.finished(result(5, 1));
        Finished two = result(6, 2);
        two.also = {result(6, 3)};
        feed.finished(two);
        Finished other = result(7, 4);
        other.no_result = {Reopened{RecordNumber{7}, MatId{1}, BoutId{3}, RecordNumber{6}}};
        feed.finished(other);
    }
    // What the core tells of the views.
    void tell() {
        MatView view;
        view.mat = MatId{1};
        view.number = RecordNumber{erased ? 9U : 4U};
        view.has_bout = true;
        view.bout = sheet(BoutId{1})->bout;
        view.frames.resize(1);
        feed.mat(view);
        CallList list;
        list.number = view.number;
        list.mats.resize(1);
        list.mats[0].mat = MatId{1};
        list.mats[0].on = view.bout;
        feed.call_list(list);
        feed.sheet_changed(BoutId{1});
    }
    void erase() {
        erased = true;
        feed.renamed(Renamed{RecordNumber{9}, PersonId{3}, "Athlete 3"});
        tell();
    }
    std::vector<Shared> all(SessionId session, bool names, Flavour flavour = Flavour::binary) {
        Subscribe wish;
        wish.all_mats = wish.results = wish.call_list = true;
        wish.sheets = {BoutId{1}};
        wish.names = names;
        feed.subscribe(session, wish);
        return feed.take(session, plenty, flavour);
    }
    static std::string text(const std::vector<Shared>& taken) {
        std::string out;
        for (const Shared& each : taken)
            out += *each + "\n";
        return out;
    }
    std::string events() {
        Subscribe wish;
        wish.all_mats = wish.results = true;
        feed.follow_events(reader, wish);
        return text(feed.take(reader, plenty));
    }
    std::string all_documents() {
        std::string out;
        for (const SharedDocument& each :
             {documents.mats(), documents.mat(MatId{1}), documents.call_list(), documents.results(),
              documents.results_csv(), documents.sheet(BoutId{1}),
              documents.sheet_csv(BoutId{1})}) {
            out += each->body + "\n";
        }
        return out;
    }
    static bool names_people(const std::string& text) {
        return text.find("Aiko") != std::string::npos || text.find("Fjord") != std::string::npos ||
               text.find("Valcourt") != std::string::npos || text.find("Port") != std::string::npos;
    }

    NoBell bell;
    Feed feed{bell};
    bool erased = false;
    Documents documents{feed, [this](BoutId of) { return sheet(of); }};
};

TEST_F(FeedNames, WithFullNamesAllTakeTheSameBytes) {
    begin(PublicNames::full);
    const auto there = all(display, true);
    const auto here = all(phone, false);
    ASSERT_EQ(there.size(), 6U);  // mat, call list, sheet, three results
    ASSERT_EQ(here.size(), there.size());
    for (std::size_t i = 0; i < there.size(); ++i)
        EXPECT_EQ(there[i].get(), here[i].get()) << i;
    EXPECT_TRUE(names_people(events()));
    EXPECT_TRUE(names_people(all_documents()));
}

TEST_F(FeedNames, WithInitialsOnlyThoseWithARightSeeNames) {
    begin(PublicNames::initials);
    for (const Flavour flavour : {Flavour::binary, Flavour::json}) {
        const auto there = all(display, true, flavour);
        const auto here = all(phone, false, flavour);
        ASSERT_EQ(here.size(), there.size());
        for (std::size_t i = 0; i < here.size(); ++i) {
            EXPECT_TRUE(names_people(*there[i])) << i;
            EXPECT_FALSE(names_people(*here[i])) << i;
            EXPECT_NE(here[i]->find("A. B."), std::string::npos) << i;
        }
        // Encoded once for all of them.
        const auto again = all(reader, false, flavour);
        for (std::size_t i = 0; i < here.size(); ++i)
            EXPECT_EQ(here[i].get(), again[i].get()) << i;
    }
    EXPECT_FALSE(names_people(events()));
    EXPECT_NE(events().find("A. B."), std::string::npos);
    EXPECT_FALSE(names_people(all_documents()));
    EXPECT_NE(all_documents().find("I. V."), std::string::npos);
}

TEST_F(FeedNames, HiddenNamesAreSidesAndBouts) {
    begin(PublicNames::hidden);
    const auto here = all(phone, false);
    EXPECT_FALSE(names_people(text(here)));
    const auto view = std::get<MatView>(heard(*here.front()));
    EXPECT_EQ(view.bout.white.name, "white, bout 1");
    EXPECT_EQ(view.bout.blue.name, "blue, bout 1");
    EXPECT_EQ(view.bout.white.person, PersonId{});
    EXPECT_FALSE(names_people(events()));
    EXPECT_FALSE(names_people(all_documents()));
    EXPECT_NE(documents.results_csv()->body.find("\"white, bout 1\""), std::string::npos);
}

// Two bouts in one item are one item for the public as well.
TEST_F(FeedNames, AnItemOfTwoBoutsIsCutWhole) {
    begin(PublicNames::initials);
    Subscribe wish;
    wish.results = true;
    wish.results_after = RecordNumber{5};
    wish.names = false;
    feed.subscribe(phone, wish);
    const auto items = feed.take(phone, plenty);
    ASSERT_EQ(items.size(), 2U);
    const auto two = std::get<Finished>(heard(*items[0]));
    ASSERT_EQ(two.also.size(), 1U);
    EXPECT_EQ(two.also[0].bout.white.name, "A. B.");
    EXPECT_EQ(two.also[0].bout.bout, BoutId{3});
    ASSERT_EQ(std::get<Finished>(heard(*items[1])).no_result.size(), 1U);
}

struct FeedErased : FeedNames, testing::WithParamInterface<PublicNames> {};

TEST_P(FeedErased, NothingTakenAfterItHasTheName) {
    begin(GetParam());
    all(display, true);
    all(phone, false);
    const std::string before = all_documents() + events();
    EXPECT_NE(before.find(GetParam() == PublicNames::full ? "Aiko" : "A. B."), std::string::npos);
    erase();

    // Who follows is told, in the order of all that happened.
    const auto news = feed.take(display, plenty);
    bool told = false;
    for (const Shared& each : news) {
        EXPECT_EQ(each->find("Aiko"), std::string::npos);
        const Heard message = heard(*each);
        if (const auto* item = std::get_if<Renamed>(&message)) {
            told = item->person == PersonId{3} && item->name == "Athlete 3";
        }
    }
    EXPECT_TRUE(told);
    // And who comes later finds it nowhere, in no flavour and no document.
    for (const bool whole : {true, false}) {
        for (const Flavour flavour : {Flavour::binary, Flavour::json}) {
            const std::string now = text(all(SessionId{9}, whole, flavour));
            EXPECT_EQ(now.find("Aiko"), std::string::npos);
            EXPECT_EQ(now.find("A. B."), std::string::npos);
            EXPECT_EQ(now.find("Fjord"), std::string::npos);
            EXPECT_NE(now.find("Athlete 3"), std::string::npos);
        }
    }
    const std::string rest = all_documents() + events();
    EXPECT_EQ(rest.find("Aiko"), std::string::npos);
    EXPECT_EQ(rest.find("A. B."), std::string::npos);
    EXPECT_EQ(rest.find("Fjord"), std::string::npos);
    EXPECT_NE(rest.find("Athlete 3"), std::string::npos);
    EXPECT_NE(rest.find("event: renamed\nid: 00000000000000e0-9\n"), std::string::npos);
}

// The public of a hub that hides names has no number of a person; an erasure gives it none.
TEST_F(FeedNames, HiddenAnErasureNamesNobody) {
    begin(PublicNames::hidden);
    all(display, true);
    all(phone, false);
    erase();
    for (const bool names : {true, false}) {
        std::optional<Renamed> told;
        for (const Shared& each : feed.take(names ? display : phone, plenty)) {
            const Heard message = heard(*each);
            if (const auto* item = std::get_if<Renamed>(&message)) told = *item;
        }
        ASSERT_TRUE(told.has_value());
        EXPECT_EQ(told->number, RecordNumber{9});
        EXPECT_EQ(told->person, names ? PersonId{3} : PersonId{});
        EXPECT_EQ(told->name, names ? "Athlete 3" : "");
    }
    const std::string now = events();
    EXPECT_NE(now.find("event: renamed\nid: 00000000000000e0-9\n"), std::string::npos);
    EXPECT_EQ(now.find("Athlete 3"), std::string::npos);
    EXPECT_EQ(now.find("\"person\":3"), std::string::npos);
}

INSTANTIATE_TEST_SUITE_P(Kinds, FeedErased,
                         testing::Values(PublicNames::full, PublicNames::initials));

}  // namespace
}  // namespace honbu
