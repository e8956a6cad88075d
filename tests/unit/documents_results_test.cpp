// Documents and events of what the desk puts right: two bouts in one item, results taken away, and
// sheets that change without their mat's view.
//
// A results page that shows one athlete's result under another's name is the worst this hub can do,
// and the same item must mean the same to whoever reads JSON, CSV or events (docs/http.md).
#include <gtest/gtest.h>

#include "hub/feed/documents.h"
#include "hub/wire/call_json.h"
#include "hub/wire/wire.h"

namespace honbu {
namespace {

constexpr SessionId reader{1};
constexpr std::size_t plenty = 100;

struct NoBell final : Bell {
    void ring(SessionId) override {}
};

Finished result(std::uint32_t number, std::uint32_t bout, const std::string& winner) {
    Finished item;
    item.number = RecordNumber{number};
    item.mat = MatId{1};
    item.bout.bout = BoutId{bout};
    item.bout.white.name = winner;
    item.result.winner = Winner::white;
    item.words = "white wins by ippon";
    return item;
}

struct Corrected : testing::Test {
    NoBell bell;
    Feed feed{bell};
    std::map<BoutId, BoutSheet> truth;
    int asked = 0;
    Documents documents{feed, [this](BoutId bout) -> std::optional<BoutSheet> {
                            ++asked;
                            const auto found = truth.find(bout);
                            return found == truth.end() ? std::nullopt
                                                        : std::optional(found->second);
                        }};

    Corrected() {
        feed.begin(Epoch{0xe0});
        documents.begin(Epoch{0xe0});
        feed.finished(result(5, 1, "Ada Norlund"));
        feed.finished(result(6, 2, "Yua Tsukada"));
    }
    // "1: Yua Tsukada at 9", in the order of the list.
    std::vector<std::string> listed() const {
        std::vector<std::string> out;
        for (const Results::Told* told : feed.results().standing()) {
            const auto& item = std::get<Finished>(told->fact);
            EXPECT_EQ(told->json(), to_proto_json(item));
            out.push_back(std::to_string(item.bout.bout.value) + ": " + item.bout.white.name +
                          " at " + std::to_string(item.number.value));
        }
        return out;
    }
    std::size_t lines_of_csv() {
        const std::string& body = documents.results_csv()->body;
        std::size_t lines = 0;
        for (std::size_t at = 0; (at = body.find("\r\n", at)) != std::string::npos; ++at)
            ++lines;
        return lines;
    }
    std::string events_after(std::uint32_t number) {
        Subscribe wish;
        wish.results = true;
        wish.results_after = RecordNumber{number};
        feed.follow_events(reader, wish);
        std::string all;
        for (const Shared& event : feed.take(reader, plenty))
            all += *event;
        return all;
    }
};
using Listed = std::vector<std::string>;

TEST_F(Corrected, TwoBoutsInOneItemHaveAResultEach) {
    Finished item = result(9, 1, "Yua Tsukada");
    item.from = ResultFrom::other_record;
    item.replaces = RecordNumber{5};
    Finished also = result(9, 2, "Ada Norlund");
    also.from = ResultFrom::other_record;
    also.replaces = RecordNumber{6};
    item.also = {also};
    feed.finished(item);
    EXPECT_EQ(listed(), (Listed{"1: Yua Tsukada at 9", "2: Ada Norlund at 9"}));
    const std::string& json = documents.results()->body;
    EXPECT_EQ(json.find("\"also\""), std::string::npos);
    EXPECT_NE(json.find("Yua Tsukada"), std::string::npos);
    EXPECT_NE(json.find("RESULT_FROM_OTHER_RECORD"), std::string::npos);
    EXPECT_EQ(lines_of_csv(), 3U);
    // One of the two is put right once more: the other stays.
    feed.finished(result(12, 1, "Ines Valcourt"));
    EXPECT_EQ(listed(), (Listed{"2: Ada Norlund at 9", "1: Ines Valcourt at 12"}));
    feed.reopened(Reopened{RecordNumber{13}, MatId{1}, BoutId{2}, RecordNumber{9}});
    EXPECT_EQ(listed(), Listed{"1: Ines Valcourt at 12"});
}

TEST_F(Corrected, TheOtherBoutMayHaveNoResultAnyMore) {
    Finished item = result(9, 2, "Ada Norlund");
    item.no_result = {Reopened{RecordNumber{9}, MatId{1}, BoutId{1}, RecordNumber{5}}};
    feed.finished(item);
    EXPECT_EQ(listed(), Listed{"2: Ada Norlund at 9"});
    EXPECT_EQ(lines_of_csv(), 2U);
}

// HTML Living Standard, 9.2.6: an event without an id leaves the last one as it was.
TEST_F(Corrected, OnlyTheLastOfTwoEventsHasTheId) {
    Finished item = result(9, 1, "Yua Tsukada");
    item.also = {result(9, 2, "Ada Norlund")};
    feed.finished(item);
    Finished half = result(10, 1, "Ada Norlund");
    half.no_result = {Reopened{RecordNumber{10}, MatId{1}, BoutId{2}, RecordNumber{9}}};
    feed.finished(half);
    const std::string all = events_after(6);
    const std::string head = "event: result\ndata: {\"epoch\":\"00000000000000e0\",\"number\":9,";
    EXPECT_TRUE(all.starts_with(head)) << all;
    std::vector<std::string> names;
    for (std::size_t at = 0; (at = all.find("event: ", at)) != std::string::npos; ++at) {
        const std::string event = all.substr(at, all.find("\n\n", at) - at);
        std::string name = event.substr(7, event.find('\n') - 7);
        const std::size_t id = event.find("\nid: ");
        if (id != std::string::npos)
            name += event.substr(id + 4, event.find('\n', id + 1) - id - 4);
        names.push_back(name);
    }
    EXPECT_EQ(names, (Listed{"result", "result 00000000000000e0-9", "result",
                             "reopened 00000000000000e0-10"}));
    EXPECT_EQ(all.find("\"also\""), std::string::npos);
    EXPECT_EQ(all.find("\"noResult\""), std::string::npos);
}

// Over WebSocket it stays one item, so that nobody sees the one bout right and the other wrong.
TEST_F(Corrected, OnTheWireItIsOneItem) {
    Finished item = result(9, 1, "Yua Tsukada");
    item.also = {result(9, 2, "Ada Norlund")};
    feed.finished(item);
    Subscribe wish;
    wish.results = true;
    wish.results_after = RecordNumber{6};
    feed.subscribe(reader, wish);
    const auto taken = feed.take(reader, plenty);
    ASSERT_EQ(taken.size(), 1U);
    EXPECT_EQ(*taken[0], to_wire(item));
}

// -- sheets and the call list ---------------------------------------------------------------------

TEST_F(Corrected, ASheetIsMadeAnewWhenItHasChanged) {
    truth[BoutId{3}].mat = MatId{1};
    truth[BoutId{3}].bout.bout = BoutId{3};
    truth[BoutId{3}].words = "white wins";
    const SharedDocument first = documents.sheet(BoutId{3});
    const SharedDocument first_csv = documents.sheet_csv(BoutId{3});
    EXPECT_EQ(documents.sheet(BoutId{3}), first);
    EXPECT_EQ(asked, 2) << "kept";
    // The desk puts it right, and its mat shows another bout: no view changes.
    truth[BoutId{3}].words = "blue wins";
    feed.sheet_changed(BoutId{3});
    const SharedDocument second = documents.sheet(BoutId{3});
    EXPECT_NE(second->etag, first->etag);
    EXPECT_NE(second->body.find("blue wins"), std::string::npos);
    EXPECT_NE(documents.sheet_csv(BoutId{3}), first_csv);
    // And as before with its mat's view.
    truth[BoutId{3}].number = RecordNumber{20};
    MatView view;
    view.mat = MatId{1};
    view.number = RecordNumber{20};
    feed.mat(view);
    EXPECT_NE(documents.sheet(BoutId{3}), second);
    feed.sheet_changed(BoutId{4});  // another bout's
    const int before = asked;
    documents.sheet(BoutId{3});
    EXPECT_EQ(asked, before);
}

TEST_F(Corrected, TheCallListHasItsVersion) {
    CallList list;
    list.number = RecordNumber{7};
    list.mats.resize(1);
    list.mats[0].mat = MatId{1};
    feed.call_list(list);
    const SharedDocument first = documents.call_list();
    EXPECT_TRUE(first->etag.starts_with("\"00000000000000e0-7-")) << first->etag;
    EXPECT_TRUE(first->body.starts_with("{\"epoch\":\"00000000000000e0\",\"number\":7,"))
        << first->body;
    list.number = RecordNumber{8};
    feed.call_list(list);
    EXPECT_EQ(documents.call_list(), first) << "a number alone is no change";
    list.mats[0].phase = Phase::called;
    feed.call_list(list);
    EXPECT_TRUE(documents.call_list()->etag.starts_with("\"00000000000000e0-8-"));
}

}  // namespace
}  // namespace honbu
