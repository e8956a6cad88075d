// What addresses mean, and that strange ones mean nothing.
//
// Sources: RFC 3986, 2.1 (escapes); RFC 9110, 13.1.2 and 15.4.5 (not modified); RFC 6266 (names of
// files); the HTML Living Standard, 9.2 (Last-Event-ID). The addresses are ours: docs/http.md.
#include "hub/net/target.h"

#include <gtest/gtest.h>

#include "hub/net/site.h"

namespace honbu {
namespace {

using Kind = Wish::Kind;

TEST(Target, NamesDocuments) {
    EXPECT_EQ(wish_of("/v1")->kind, Kind::hub);
    EXPECT_EQ(wish_of("/v1/mats")->kind, Kind::mats);
    EXPECT_EQ(wish_of("/v1/call-list")->kind, Kind::call_list);
    EXPECT_EQ(wish_of("/v1/results.csv?x=1")->kind, Kind::results_csv);
    EXPECT_EQ(wish_of("/openapi.json#top")->kind, Kind::openapi);
    EXPECT_EQ(wish_of("/v1/mats/65535")->mat, MatId{65'535});
    EXPECT_EQ(wish_of("/v1/bouts/4294967295")->bout, BoutId{4'294'967'295U});
    EXPECT_EQ(wish_of("/v1/bouts/12")->kind, Kind::sheet);
    EXPECT_EQ(wish_of("/v1/bouts/12.csv")->kind, Kind::sheet_csv);
}

TEST(Target, WhatIsNoneIsNothing) {
    for (const std::string_view none : {"",
                                        "/",
                                        "/v1/",
                                        "/v1/mats/",
                                        "/v1/mats/1/",
                                        "/v1/mats/01",
                                        "/v1/mats/+1",
                                        "/v1/mats/-1",
                                        "/v1/mats/65536",
                                        "/v1/mats/1 ",
                                        "/v1/mats/1.csv",
                                        "/v1/bouts/",
                                        "/v1/bouts/.csv",
                                        "/v1/bouts/x",
                                        "/v1/bouts/1.csv.csv",
                                        "/v1/bouts/4294967296",
                                        "/V1",
                                        "v1",
                                        "/metrics/",
                                        "/v1/events",
                                        "/v10"}) {
        EXPECT_FALSE(wish_of(none)) << none;
    }
}

EventsWish wish(std::string_view target, std::string_view last = {}) {
    auto read = events_wish(target, last);
    EXPECT_TRUE(std::holds_alternative<EventsWish>(read)) << target;
    return std::get<EventsWish>(read);
}

TEST(Target, EventsAreWhatIsAskedFor) {
    const EventsWish all = wish("/v1/events");
    EXPECT_TRUE(all.what.all_mats && all.what.results);
    EXPECT_EQ(all.what.results_after, RecordNumber{});

    const EventsWish mats = wish("/v1/events?mats=3,1%2C2");
    EXPECT_EQ(mats.what.mats, (std::vector<MatId>{MatId{3}, MatId{1}, MatId{2}}));
    EXPECT_FALSE(mats.what.all_mats || mats.what.results);

    const EventsWish results = wish("/v1/events?results_after=42&&");
    EXPECT_TRUE(results.what.results && !results.what.all_mats);
    EXPECT_EQ(results.what.results_after, RecordNumber{42});
    EXPECT_FALSE(results.of);
    EXPECT_EQ(wish("/v1/events?results_after=00000000000000e0-7").of, Epoch{0xe0});
}

// 9.2.3: a browser that comes back says where it was; that is later than where it began.
TEST(Target, TheLastEventCountsMoreThanTheAddress) {
    const EventsWish back = wish("/v1/events?mats=all&results_after=1", "00000000000000e0-9");
    EXPECT_EQ(back.of, Epoch{0xe0});
    EXPECT_EQ(back.what.results_after, RecordNumber{9});
    EXPECT_TRUE(back.what.all_mats);
    // Who follows views only gets no ids, so one that comes all the same is another's.
    EXPECT_FALSE(wish("/v1/events?mats=1", "rubbish").what.results);
}

TEST(Target, EventsThatCantBeAreASentence) {
    std::string many = "/v1/events?mats=1";
    for (int i = 0; i < 64; ++i)
        many += ",1";
    for (const std::string_view bad :
         {std::string_view("/v1/events?mats="), std::string_view("/v1/events?mats=a"),
          std::string_view("/v1/events?mats=1,"), std::string_view("/v1/events?mats=65536"),
          std::string_view("/v1/events?results_after=4294967296"),
          std::string_view("/v1/events?results_after=+1"),
          std::string_view("/v1/events?results_after=00000000000000eg-1"),
          std::string_view("/v1/events?else=1"), std::string_view("/v1/events?mats=%4"),
          std::string_view("/v1/events?mats=%+1"), std::string_view(many)}) {
        const auto read = events_wish(bad, {});
        ASSERT_TRUE(std::holds_alternative<std::string>(read)) << bad;
        EXPECT_TRUE(std::get<std::string>(read).ends_with('.')) << bad;
    }
    EXPECT_TRUE(std::holds_alternative<std::string>(events_wish("/v1/events", "7")));
}

struct DocumentAnswer : testing::Test {
    DocumentAnswer() {
        auto made = std::make_shared<Document>();
        made->content_type = "text/csv";
        made->body = "a,b\r\n";
        made->etag = "\"e-1-x\"";
        made->cache = for_a_second;
        made->file_name = "bout-1.csv";
        document = std::move(made);
    }
    Answer ask(std::string_view method, std::string_view known = {}) const {
        Request request;
        request.method = method;
        request.target = "/v1/bouts/1.csv";
        request.if_none_match = known;
        return answer(request, {}, Readiness{},
                      [this](const Wish& w) { return w.bout == BoutId{1} ? document : nullptr; });
    }
    SharedDocument document;
};

TEST_F(DocumentAnswer, IsSentWithItsVersionAndName) {
    const Answer found = ask("GET");
    EXPECT_EQ(found.body(), "a,b\r\n");
    const std::string sent = head(found, true, "now");
    for (const std::string_view line :
         {"HTTP/1.1 200 OK\r\n", "Content-Length: 5\r\n", "Cache-Control: public, max-age=1\r\n",
          "ETag: \"e-1-x\"\r\n", "Content-Disposition: attachment; filename=\"bout-1.csv\"\r\n"}) {
        EXPECT_NE(sent.find(line), std::string::npos) << line;
    }
}

// RFC 9110, 15.4.5: a 304 carries the ETag and Cache-Control that a 200 would have.
TEST_F(DocumentAnswer, IsNotSentTwice) {
    const Answer found = ask("GET", "\"e-1-x\"");
    EXPECT_EQ(found.status, 304U);
    EXPECT_TRUE(found.head_only);
    const std::string sent = head(found, true, "now");
    EXPECT_NE(sent.find("ETag: \"e-1-x\"\r\n"), std::string::npos);
    EXPECT_NE(sent.find("Cache-Control: public, max-age=1\r\n"), std::string::npos);
    EXPECT_EQ(sent.find("Content-Length"), std::string::npos);
    EXPECT_EQ(ask("GET", "\"e-1-y\"").status, 200U);
    EXPECT_TRUE(ask("HEAD").head_only);
    EXPECT_EQ(ask("PUT").status, 405U);
}

// RFC 9112, 6.3: without a length it ends with the connection.
TEST(EventsAnswer, HasNoLength) {
    const std::string sent = head(events_answer(), false, "now");
    EXPECT_NE(sent.find("Content-Type: text/event-stream\r\n"), std::string::npos);
    EXPECT_NE(sent.find("Cache-Control: no-store\r\n"), std::string::npos);
    EXPECT_EQ(sent.find("Content-Length"), std::string::npos);
    EXPECT_TRUE(sent.ends_with("Connection: close\r\n\r\n"));
}

}  // namespace
}  // namespace honbu
