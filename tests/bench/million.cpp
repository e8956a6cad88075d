// A long journal, and how little it takes to read one.
//
//     bench_million write FOLDER RECORDS    through the hub's own core and journal
//     bench_million floor FOLDER            all rows read, and as many messages parsed
//     bench_million size FOLDER             the mean size of a record
//
// What is written are contests on twenty mats, call by call as tables enter them; the hub can be
// started on it, although so long a journal is weeks of competitions in one. The floor reads every
// row through SQLite and parses, for each call in them, the protobuf message in which a table sends
// it. Prints JSON. Figures, no test.
#include <array>
#include <chrono>
#include <condition_variable>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <mutex>
#include <string>
#include <variant>
#include <vector>

#include <sqlite3.h>

#include "engine/record/canon.h"
#include "honbu/v1/hub.pb.h"
#include "hub/core/hub.h"
#include "hub/journal/journal.h"
#include "hub/wire/wire.h"
#include "tests/generate/contest.h"
#include "tests/generate/shipped.h"

namespace {

using namespace honbu;

constexpr std::uint32_t mats = 20;
constexpr std::size_t calls_of_a_bout = 37;  // a little fewer than on average
constexpr std::size_t in_one_commit = 2'000;
constexpr std::uint64_t began_wall_ms = 1'700'000'000'000;

[[noreturn]] void give_up(const std::string& why) {
    std::fprintf(stderr, "%s\n", why.c_str());
    std::exit(1);
}

struct Nobody final : OutletPort, FeedPort {
    void reply(SessionId, const Reply& reply) override {
        if (const auto* no = std::get_if<Refusal>(&reply)) give_up(no->words);
    }
    void close(SessionId, const Goodbye& goodbye) override { give_up(goodbye.words); }
    void mat(const MatView&) override {}
    void finished(const Finished&) override {}
    void reopened(const Reopened&) override {}
    void renamed(const Renamed&) override {}
    void call_list(const CallList&) override {}
    void tables(const Tables&) override {}
    void set_aside(const SetAside&) override {}
    void door(const Door&) override {}
    void sheet_changed(BoutId) override {}
    void recorded(RecordNumber, const std::string&) override {}
    void subscribe(SessionId, const Subscribe&) override {}
    void leave(SessionId) override {}
};

// The journal, and how far it has got.
class Kept {
public:
    explicit Kept(const char* folder) {
        JournalEvents events;
        events.committed = [this](RecordNumber number) {
            const std::scoped_lock lock(mutex_);
            number_ = number;
            bell_.notify_one();
        };
        events.room = [](bool) {};
        events.log = [](const std::string& line) { std::fprintf(stderr, "%s\n", line.c_str()); };
        auto opened = Journal::open(folder, std::move(events));
        if (!opened) give_up(opened.error().words);
        journal_ = std::move(*opened);
    }
    Journal& journal() { return *journal_; }
    void wait_for(RecordNumber number) {
        std::unique_lock lock(mutex_);
        bell_.wait(lock, [this, number] { return number_ >= number; });
    }

private:
    std::mutex mutex_;
    std::condition_variable bell_;
    RecordNumber number_;
    std::unique_ptr<Journal> journal_;
};

// More bouts than a competition file may have. Bouts go to the mats in turn, as in day().
Competition long_cup(std::uint32_t bouts) {
    Competition cup;
    cup.loaded.title = "Long Cup";
    cup.loaded.rules = {generate::all_rules().back()};
    cup.loaded.categories = {{"men -73 kg", 0, seconds(240), {}}};
    for (std::uint32_t bout = 1; bout <= bouts; ++bout) {
        const MatId mat{static_cast<std::uint16_t>((bout - 1) % mats + 1)};
        std::array<Slot, 2> sides;
        for (std::uint32_t i = 0; i < sides.size(); ++i) {
            const PersonId id{bout * 2 + i};
            sides[i] = Slot{Slot::From::person, id.value};
            cup.people.push_back({id, "Ilo Saltmarsh " + std::to_string(id.value), "Judo Kestrel"});
        }
        cup.loaded.bouts.push_back({BoutId{bout}, mat, 0, "round 1", sides[0], sides[1]});
    }
    return cup;
}

int write(const char* folder, std::size_t records) {
    const auto bouts_a_mat = static_cast<std::uint32_t>(records / calls_of_a_bout / mats + 2);
    const Competition competition = long_cup(mats * bouts_a_mat);

    Kept kept(folder);
    Nobody nobody;
    Hub hub(kept.journal(), nobody, nobody);
    hub.let_anyone_score();
    std::uint32_t last = 0;
    const auto sync = [&] {
        kept.wait_for(RecordNumber{last});
        hub.committed(RecordNumber{last});
    };
    kept.journal().begin(began_wall_ms);
    hub.begin(Epoch{0xbe}, 1, Instant{});
    hub.load(competition, Instant{});
    last = 2;
    sync();

    const Conditions under{competition.loaded.rules.front(), seconds(240), Duration{}};
    const auto bouts = generate::day(under, 7, mats, mats * bouts_a_mat);
    for (std::size_t i = 0; i < mats; ++i) {
        const SessionId session{i + 1};
        Hello hello;
        hello.schema = wire_schema;
        hello.role = Role::table;
        hello.fold_version = fold_version;
        hello.device = DeviceId{i + 1};
        hello.run = bouts[i].calls.front().id.run;
        hub.command(session, hello, Instant{});
        hub.command(session, TakeMat{bouts[i].mat, false, "Mirela"}, Instant{});
        ++last;
    }
    sync();
    for (const auto& bout : bouts) {
        std::vector<Call> so_far;
        for (Call call : bout.calls) {
            if (last == records) break;
            call.seen = short_hash(before(under, so_far, call));
            so_far.push_back(call);
            hub.command(SessionId{bout.mat.value}, Submit{std::move(call)}, so_far.back().entered);
            if (++last % in_one_commit == 0) sync();
        }
    }
    sync();
    std::printf("{\"records\":%u}\n", last);
    return last == records ? 0 : 1;
}

class Rows {
public:
    explicit Rows(const std::string& folder) {
        const std::string file = folder + "/journal.sqlite";
        check(sqlite3_open_v2(file.c_str(), &database_, SQLITE_OPEN_READONLY, nullptr));
        check(sqlite3_prepare_v2(database_,
                                 "SELECT number, hash, bytes FROM record ORDER BY number", -1,
                                 &rows_, nullptr));
    }
    bool next() { return sqlite3_step(rows_) == SQLITE_ROW; }
    std::string_view bytes() {
        const auto* begin = static_cast<const char*>(sqlite3_column_blob(rows_, 2));
        return {begin, static_cast<std::size_t>(sqlite3_column_bytes(rows_, 2))};
    }

private:
    void check(int rc) {
        if (rc != SQLITE_OK) give_up(sqlite3_errmsg(database_));
    }
    sqlite3* database_ = nullptr;
    sqlite3_stmt* rows_ = nullptr;
};

double since(std::chrono::steady_clock::time_point begun) {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();
}

int floor_of(const char* folder) {
    std::vector<std::string> messages;
    for (Rows rows(folder); rows.next();) {
        const auto record = decode_record(rows.bytes());
        if (!record) give_up("a record can't be read");
        const auto* call = std::get_if<Call>(&record->fact);
        if (call != nullptr) messages.push_back(to_wire(Command(Submit{*call})));
    }

    auto begun = std::chrono::steady_clock::now();
    std::size_t bytes = 0;
    std::size_t count = 0;
    for (Rows rows(folder); rows.next(); ++count)
        bytes += rows.bytes().size();
    const double read_s = since(begun);

    begun = std::chrono::steady_clock::now();
    std::size_t message_bytes = 0;
    for (const std::string& message : messages) {
        v1::ToHub out;
        if (!out.ParseFromString(message)) give_up("a message can't be read");
        message_bytes += message.size();
    }
    std::printf("{\"records\":%zu,\"read_s\":%.3f,\"parse_s\":%.3f,\"record_bytes\":%.1f,"
                "\"message_bytes\":%.1f}\n",
                count, read_s, since(begun),
                static_cast<double>(bytes) / static_cast<double>(count),
                static_cast<double>(message_bytes) / static_cast<double>(messages.size()));
    return 0;
}

int size_of(const char* folder) {
    std::size_t bytes = 0;
    std::size_t count = 0;
    for (Rows rows(folder); rows.next(); ++count) {
        if (count > 1) bytes += rows.bytes().size();  // the first two are the start itself
    }
    const std::size_t calls = count > 2 ? count - 2 : 1;
    std::printf("{\"records\":%zu,\"record_bytes\":%zu}\n", count, bytes / calls);
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    const std::string_view what = argc > 2 ? argv[1] : "";
    if (what == "write" && argc == 4) return write(argv[2], std::strtoul(argv[3], nullptr, 10));
    if (what == "floor") return floor_of(argv[2]);
    if (what == "size") return size_of(argv[2]);
    std::fputs("bench_million write FOLDER RECORDS | floor FOLDER | size FOLDER\n", stderr);
    return 2;
}
