// Fair shares: what many descriptors and few allow, and how fast a client may speak.
//
// Numbers are ours (hub/net/shares.h says why); what is checked here holds for any of them. The
// leaky bucket as one instant: ITU-T I.371, annex A (generic cell rate algorithm), from memory.
#include "hub/net/shares.h"

#include <gtest/gtest.h>

#include "hub/net/entrance.h"

namespace honbu {
namespace {

constexpr std::array all{ClientKind::door, ClientKind::knocking, ClientKind::table,
                         ClientKind::desk, ClientKind::display,  ClientKind::crowd_door,
                         ClientKind::crowd};

const Share& at_most(ClientKind kind) { return most[static_cast<std::size_t>(kind)]; }

TEST(Shares, NeverPromiseMoreThanThereIs) {
    for (const bool encrypted : {false, true}) {
        for (const std::size_t descriptors :
             {0UL, 100UL, 256UL, 1'024UL, 4'096UL, 65'536UL, 1'048'576UL}) {
            const Shares shares(descriptors, encrypted);
            EXPECT_LE(shares.descriptors(), std::max(descriptors, descriptors_kept_back));
            for (const ClientKind kind : all) {
                EXPECT_LE(shares[kind].connections, at_most(kind).connections);
            }
        }
    }
}

// However full the crowd is, its places are not the hall's: those have been set aside first.
TEST(Shares, TheHallComesFirst) {
    for (const bool encrypted : {false, true}) {
        const Shares usual(1'024, encrypted);
        EXPECT_GE(usual[ClientKind::table].connections, 40U);  // 20 mats, twice
        EXPECT_GE(usual[ClientKind::desk].connections, 20U);
        EXPECT_GE(usual[ClientKind::door].connections, 20U);
        EXPECT_GE(usual[ClientKind::knocking].connections, 20U);
        EXPECT_GE(usual[ClientKind::display].connections, 40U);
        EXPECT_GE(usual[ClientKind::crowd].connections, 40U);
        const Shares many(1'048'576, encrypted);
        for (const ClientKind kind : all) {
            EXPECT_EQ(many[kind].connections, at_most(kind).connections);
        }
    }
}

TEST(Shares, EachRoleHasItsKind) {
    EXPECT_EQ(kind_of(Role::table), ClientKind::table);
    EXPECT_EQ(kind_of(Role::desk), ClientKind::desk);
    EXPECT_EQ(kind_of(Role::board), ClientKind::display);
    EXPECT_EQ(kind_of(Role::hall), ClientKind::display);
    for (const ClientKind kind : all) {
        const Goodbye goodbye = full_farewell(kind);
        EXPECT_EQ(goodbye.reason, Cause::full);
        EXPECT_TRUE(goodbye.come_back);
        EXPECT_LE(goodbye.words.size(), 123U);  // RFC 6455, 5.5: whole in a close frame as well
    }
}

constexpr Share ten_a_second{0, 0, 0, 10, 5, 2};

TEST(Shares, WhoeverPausesMaySayMuchAtOnceAndIsThenSlowed) {
    Pace pace;
    std::uint64_t now = 1'000'000;
    for (int i = 0; i < 5; ++i)
        EXPECT_EQ(pace.one_more(now, ten_a_second), 0U) << i;
    EXPECT_EQ(pace.one_more(now, ten_a_second), 100'000U);
    EXPECT_EQ(pace.one_more(now, ten_a_second), 200'000U);
    now += 10'000'000;
    for (int i = 0; i < 5; ++i)
        EXPECT_EQ(pace.one_more(now, ten_a_second), 0U) << i;
    EXPECT_GT(pace.one_more(now, ten_a_second), 0U);
}

TEST(Shares, WhoeverWaitsAsToldIsNeverFasterThanItsShare) {
    Pace pace;
    std::uint64_t now = 0;
    int said = 0;
    while (now < 60'000'000) {
        now += pace.one_more(now, ten_a_second);
        ++said;
    }
    EXPECT_LE(said, 60 * 10 + 5 + 1);
    EXPECT_GE(said, 60 * 10);
    EXPECT_TRUE(pace.too_long(now, ten_a_second));  // a minute without a pause
}

// However fast they were: what they owe is paid back in this time.
TEST(Shares, ADebtHasAnEnd) {
    Pace pace;
    constexpr std::uint64_t now = 1'000'000;
    constexpr std::uint64_t debt = 3'000'000;
    for (int i = 0; i < 10'000; ++i) {
        pace.one_more(now, ten_a_second);
        pace.owe_at_most(debt, now, ten_a_second);
    }
    EXPECT_EQ(pace.one_more(now, ten_a_second), debt + 100'000);
    EXPECT_EQ(pace.one_more(now + debt, ten_a_second), 200'000U);
}

TEST(Shares, AtItsLastingRateNobodyIsSlowed) {
    Pace pace;
    for (std::uint64_t now = 0; now < 60'000'000; now += 100'000) {
        EXPECT_EQ(pace.one_more(now, ten_a_second), 0U);
        EXPECT_FALSE(pace.too_long(now, ten_a_second));
    }
}

TEST(Entrance, TheCrowdsIsOnlyLookedThrough) {
    Hello hello;
    for (const auto& [role, may] : {std::pair(Role::board, true), std::pair(Role::hall, true),
                                    std::pair(Role::table, false), std::pair(Role::desk, false)}) {
        hello.role = role;
        EXPECT_EQ(!turned_away(Entrance::crowd, hello), may);
        EXPECT_FALSE(turned_away(Entrance::hall, hello));
    }
    Subscribe wish;
    wish.all_mats = wish.results = wish.call_list = true;
    EXPECT_FALSE(turned_away(Entrance::crowd, wish));
    for (bool Subscribe::*const desks :
         {&Subscribe::tables, &Subscribe::door, &Subscribe::set_aside, &Subscribe::audit}) {
        Subscribe more = wish;
        more.*desks = true;
        EXPECT_TRUE(turned_away(Entrance::crowd, more));
        EXPECT_FALSE(turned_away(Entrance::hall, more));
    }
    EXPECT_FALSE(turned_away(Entrance::crowd, ClockAsk()));
    EXPECT_FALSE(turned_away(Entrance::crowd, Heartbeat()));
}

// Every kind of command there is, whatever is added later: only four pass.
template<std::size_t... at> std::size_t passing(std::index_sequence<at...>) {
    return (std::size_t{0} + ... +
            (turned_away(Entrance::crowd, Command(std::in_place_index<at>)) ? 0U : 1U));
}
TEST(Entrance, WhateverElseIsSaidThereIsTurnedAway) {
    EXPECT_EQ(passing(std::make_index_sequence<std::variant_size_v<Command>>()), 4U);
}

TEST(Entrance, PagesThatScoreAreAtTheHallsOnly) {
    for (const std::string_view page : {"/table.html", "/table.js", "/desk.js", "/honbu.wasm",
                                        "/index.html", "/setup.html", "/x.js", "/boards.js", "/"}) {
        EXPECT_FALSE(leads_to(Entrance::crowd, page)) << page;
        EXPECT_TRUE(leads_to(Entrance::hall, page)) << page;
    }
    for (const std::string_view page : {"/board.html", "/hall.js", "/trust.css", "/watch.html"}) {
        EXPECT_TRUE(leads_to(Entrance::crowd, page)) << page;
    }
}

}  // namespace
}  // namespace honbu
