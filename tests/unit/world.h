// A hub with a pretended world: a journal that syncs when told, an outlet and a feed that remember.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "engine/record/canon.h"
#include "hub/core/hub.h"
#include "tests/unit/bouts.h"

namespace honbu {

struct World final : JournalPort, OutletPort, FeedPort {
    struct Row {
        RecordNumber number;
        std::string bytes;
        std::vector<Beside> beside;
    };

    // Closed: rights are checked.
    explicit World(bool closed = false) : anyone(!closed) { start(); }

    // -- ports
    void append(RecordNumber number, std::string bytes, std::vector<Beside> beside) override {
        unsynced.push_back({number, std::move(bytes), std::move(beside)});
    }
    void reply(SessionId to, const Reply& reply) override { replies[to].push_back(reply); }
    void close(SessionId session, const Goodbye& goodbye) override {
        replies[session].push_back(goodbye);
    }
    void mat(const MatView& view) override { views[view.mat].push_back(view); }
    void finished(const Finished& item) override { results.push_back(item); }
    void reopened(const Reopened& item) override { opened_again.push_back(item); }
    void renamed(const Renamed& item) override { renames.push_back(item); }
    void call_list(const CallList& list) override { called.push_back(list); }
    void tables(const Tables& all) override { of_tables.push_back(all); }
    void set_aside(const SetAside& calls) override { aside.push_back(calls); }
    void door(const Door& now) override { at_the_door.push_back(now); }
    void sheet_changed(BoutId bout) override { sheets_changed.push_back(bout); }
    void recorded(RecordNumber number, const std::string& bytes) override {
        audit.emplace_back(number, bytes);
    }
    void subscribe(SessionId session, const Subscribe& wish) override { wishes[session] = wish; }
    void leave(SessionId) override {}

    // -- the world's doings
    void sync() {
        if (unsynced.empty()) return;
        const RecordNumber last = unsynced.back().number;
        for (Row& row : unsynced)
            disk.push_back(std::move(row));
        unsynced.clear();
        hub->committed(last);
    }
    // The machine loses power: what was not synced is gone, and the hub begins again from the disk.
    void crash() {
        crash_to([this](Hub& again) {
            for (const Row& row : disk) {
                const std::string fault = again.replay(row.bytes);
                if (!fault.empty()) throw std::runtime_error(fault);
            }
        });
    }
    // The same, where `read` takes the records.
    template<class Read> void crash_to(const Read& read) {
        unsynced.clear();
        replies.clear();
        views.clear();
        results.clear();
        opened_again.clear();
        renames.clear();
        called.clear();
        of_tables.clear();
        aside.clear();
        at_the_door.clear();
        sheets_changed.clear();
        audit.clear();
        start();
        std::map<std::string, std::string> beside;  // as it is kept: one value for each key
        for (const Row& row : disk) {
            for (const Beside& b : row.beside)
                beside[b.key] = b.erased ? std::string() : b.value;
        }
        for (const auto& [key, value] : beside)
            hub->replay_beside(key, value);
        read(*hub);
        hub->replayed();
    }
    void begin(const Competition& competition) {
        hub->begin(Epoch{0xe0}, 1, Instant{0});
        hub->load(competition, Instant{1});
        sync();
    }
    SessionId table(DeviceId device, RunId run) { return come(Role::table, device, run, {}); }
    SessionId come(Role role, DeviceId device = {}, RunId run = {}, std::string hand = {}) {
        Hello hello;
        hello.schema = wire_schema;
        hello.role = role;
        hello.device = device;
        hello.run = run;
        hello.fold_version = fold_version;
        hello.hand = std::move(hand);
        return come(hello);
    }
    SessionId come(const Hello& hello) {
        const SessionId session{++sessions};
        hub->command(session, hello, now());
        return session;
    }
    void tell(SessionId session, const Command& command) { hub->command(session, command, now()); }
    Instant now() { return Instant{clock_ms += 10}; }

    template<class Kind> std::vector<Kind> got(SessionId session) const {
        std::vector<Kind> out;
        const auto found = replies.find(session);
        if (found == replies.end()) return out;
        for (const Reply& reply : found->second) {
            if (const auto* kind = std::get_if<Kind>(&reply)) out.push_back(*kind);
        }
        return out;
    }

    const bool anyone;
    std::unique_ptr<Hub> hub;
    std::vector<Row> disk;
    std::vector<Row> unsynced;
    std::map<SessionId, std::vector<Reply>> replies;
    std::map<MatId, std::vector<MatView>> views;
    std::vector<Finished> results;
    std::vector<Reopened> opened_again;
    std::vector<Renamed> renames;
    std::vector<CallList> called;
    std::vector<Tables> of_tables;
    std::vector<SetAside> aside;
    std::vector<Door> at_the_door;
    std::vector<BoutId> sheets_changed;
    std::map<SessionId, Subscribe> wishes;
    std::vector<std::pair<RecordNumber, std::string>> audit;
    std::uint64_t sessions = 0;
    std::uint32_t clock_ms = 1000;

private:
    void start() {
        hub = std::make_unique<Hub>(*this, *this, *this);
        if (anyone) hub->let_anyone_score();
    }
};

// Two mats, three bouts; the last one is between the winners of the first two. All invented.
inline Competition small_cup() {
    Competition c;
    c.loaded.title = "Lantern Cup";
    c.loaded.rules = {rules_named("2018")};
    c.loaded.categories = {{"women -57 kg", 0, seconds(240), {}}};
    const auto person = [](std::uint32_t id) { return Slot{Slot::From::person, id}; };
    c.loaded.bouts = {
        {BoutId{1}, MatId{1}, 0, "semi-final", person(1), person(2)},
        {BoutId{2}, MatId{2}, 0, "semi-final", person(3), person(4)},
        {BoutId{3}, MatId{1}, 0, "final", Slot{Slot::From::winner_of, 1},
         Slot{Slot::From::winner_of, 2}},
    };
    c.people = {{PersonId{1}, "Ada Norlund", "JC Fjord"},
                {PersonId{2}, "Mirela Costin", "Dojo Port"},
                {PersonId{3}, "Yua Tsukada", "JC Fjord"},
                {PersonId{4}, "Inès Valcourt", "Dojo Port"}};
    return c;
}

}  // namespace honbu
