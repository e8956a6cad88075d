// The power fails at any operation on the disk: what was acknowledged is there afterwards, byte for
// byte, nothing is taken for damaged, and the hub goes on.
//
// Each run is a child process over the hub's own journal, copies and mirror, on a machine whose
// power fails (power_cut.h); the reading afterwards is the program's own, on the ordinary file
// system. That the test can see a loss is shown by running it with PRAGMA synchronous=NORMAL, OFF
// and with a disk that lies, of which sqlite.org/pragma.html#pragma_synchronous says what they
// cost: NORMAL loses commits, and the file stays whole; OFF promises nothing.
#include "tests/journal/power_cut.h"

#include <atomic>
#include <chrono>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <map>
#include <new>
#include <random>
#include <sstream>

#include <gtest/gtest.h>
#include <sqlite3.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include "engine/record/canon.h"
#include "hub/journal/copy.h"
#include "hub/journal/journal.h"
#include "hub/journal/mirror.h"
#include "hub/journal/schema.h"

namespace honbu {
namespace {

namespace fs = std::filesystem;

constexpr std::uint64_t begun_wall_ms = 1'700'000'000'000;
constexpr std::uint32_t records_max = 160;

// What the child has been told is kept. Shared with the parent, which outlives it.
struct Told {
    std::atomic<std::uint32_t> journal;
    std::atomic<std::uint32_t> copy;
    std::atomic<std::uint64_t> operations;
};

struct Lots {
    std::mt19937_64 source;
    std::uint32_t below(std::uint32_t n) { return static_cast<std::uint32_t>(source() % n); }
};

std::string name_of(std::uint32_t n) { return "Ilo Saltmarsh " + std::to_string(10'000 + n); }

// The same records in every process: some fill several pages; now and then one erases a name.
const std::vector<Entry>& entries() {
    static const std::vector<Entry> all = [] {
        std::vector<Entry> made;
        Hash previous{};
        for (std::uint32_t n = 1; n <= records_max; ++n) {
            Record record;
            record.number = RecordNumber{n};
            record.previous = previous;
            record.received = Instant{n};
            record.hand = std::string(n % 9 == 0 ? 9'000 : 20 + n, 'a');
            record.fact = MatTaken{MatId{1}, Term{n}};
            Entry entry{RecordNumber{n}, encode(record), {}, {}};
            previous = sha256(entry.bytes);
            if (n == 1) entry.begun_wall_ms = begun_wall_ms;
            if (n % 3 == 0) {
                entry.beside.push_back({"person/" + std::to_string(n), name_of(n)});
                entry.beside.push_back({"person/1", "Mirela " + std::to_string(n)});
            }
            if (n % 24 == 0) entry.beside.push_back({"person/" + std::to_string(n - 12), {}, true});
            made.push_back(std::move(entry));
        }
        return made;
    }();
    return all;
}

struct Held {
    std::vector<std::string> records;
    std::map<std::string, std::string> beside;
    std::string fault;
};

// As a start reads it: structure, names, every record with its links.
Held held(const fs::path& folder) {
    Held out;
    const auto reader = JournalReader::open(folder);
    if (!reader) {
        out.fault = reader.error().words;
        return out;
    }
    if (const auto ok = (*reader)->check_structure(); !ok) out.fault = ok.error().words;
    const auto named = (*reader)->beside([&](std::string_view key, std::string_view value) {
        out.beside[std::string(key)] = value;
    });
    if (!named) out.fault = named.error().words;
    const auto read = (*reader)->records([&](RecordNumber, std::string_view bytes, const Hash&) {
        out.records.emplace_back(bytes);
        return std::string();
    });
    if (!read) out.fault = read.error().words;
    return out;
}

struct PowerCut : testing::Test {
    PowerCut() {
        // In memory where that is possible: the disk is made up here, and real syncs take time.
        const fs::path memory = "/dev/shm";
        const bool in_memory = ::access(memory.c_str(), W_OK) == 0;
        std::string pattern =
            ((in_memory ? memory : fs::temp_directory_path()) / "honbu-power-XXXXXX").string();
        EXPECT_NE(mkdtemp(pattern.data()), nullptr);
        top_ = pattern;
        void* const shared = mmap(nullptr, sizeof(Told), PROT_READ | PROT_WRITE,
                                  MAP_SHARED | MAP_ANONYMOUS, -1, 0);
        EXPECT_NE(shared, MAP_FAILED);
        told_ = new (shared) Told{};
    }
    ~PowerCut() override {
        munmap(told_, sizeof(Told));
        fs::remove_all(top_);
    }
    fs::path data() const { return top_ / "hub"; }
    fs::path copy() const { return top_ / "stick"; }

    using Work = void (PowerCut::*)(Lots);

    // One life in a child; how it ended.
    int live(Work work, std::uint64_t seed, const power::Failing& failing, const char* pragma) {
        fs::remove_all(data());
        fs::remove_all(copy());
        told_ = new (told_) Told{};
        entries();  // made once, here
        const pid_t child = fork();
        if (child == 0) {
            power::install(failing);
            if (pragma != nullptr) instead_of_full(pragma);
            (this->*work)(Lots{std::mt19937_64(seed)});
            told_->operations = power::operations();
            ::_exit(0);
        }
        int status = 0;
        EXPECT_EQ(waitpid(child, &status, 0), child);
        EXPECT_TRUE(WIFEXITED(status));
        return WEXITSTATUS(status);
    }

    // Every connection of this process keeps to `pragma`, whatever it is told later.
    static void instead_of_full(const char* pragma) {
        static const char* kept = nullptr;
        kept = pragma;
        const auto set = +[](sqlite3* database, const char**, const void*) {
            sqlite3_exec(database, kept, nullptr, nullptr, nullptr);
            return sqlite3_set_authorizer(
                database,
                [](void*, int what, const char* name, const char* value, const char*, const char*) {
                    const bool asked = what == SQLITE_PRAGMA && value != nullptr &&
                                       std::strcmp(name, "synchronous") == 0;
                    return asked ? SQLITE_IGNORE : SQLITE_OK;
                },
                nullptr);
        };
        sqlite3_auto_extension(reinterpret_cast<void (*)()>(set));
    }

    // -- what is done

    // The file by itself: commits, checkpoints at any moment, closing, a copy that catches up.
    void write_file(Lots lots) {
        auto file = *JournalFile::open(data());
        while (file->end().number.value < records_max) {
            switch (lots.below(12)) {
            case 0: file->checkpoint(); break;
            case 1:
                file->close();
                file.reset();
                file = *JournalFile::open(data());
                break;
            case 2:
            case 3: follow(lots); break;
            default: {
                const std::uint32_t from = file->end().number.value;
                const std::uint32_t count = std::min(1 + lots.below(12), records_max - from);
                const auto batch = std::span(entries()).subspan(from, count);
                if (file->commit(batch) == JournalFile::Kept::yes) told_->journal = from + count;
            }
            }
        }
        follow(lots);
        file->close();
    }
    void follow(Lots& lots) {
        const auto to = JournalCopy::open(data(), copy());
        if (!to) return;  // nothing to copy yet
        for (bool more = true; more;) {
            const auto followed = (*to)->follow(1 + lots.below(30));
            more = followed && *followed;
            told_->copy = (*to)->end().number.value;
        }
        if (lots.below(2) == 0) (*to)->close();
    }

    // The journal as `honbu serve` has it, with its thread and that of a mirror.
    void serve(Lots lots) {
        for (std::uint32_t next = 1; next <= records_max;) {
            JournalEvents events{[this](RecordNumber n) {
                                     told_->journal = n.value;
                                     told_->journal.notify_all();
                                 },
                                 [](bool) {}, [](const std::string&) {}};
            auto journal = *Journal::open(data(), std::move(events));
            Mirror mirror(data(), copy(), [this](const Mirror::Now& now) {
                if (now.known) told_->copy = now.kept.value;
            });
            if (next == 1) journal->begin(begun_wall_ms);
            const std::uint32_t until = std::min(next + 20 + lots.below(60), records_max + 1);
            while (next < until) {
                for (std::uint32_t i = 1 + lots.below(6); i > 0 && next < until; --i, ++next) {
                    const Entry& entry = entries()[next - 1];
                    journal->append(entry.number, entry.bytes, entry.beside);
                }
                mirror.more();
                while (lots.below(2) == 0 && told_->journal < next - 1)
                    told_->journal.wait(told_->journal);
            }
            mirror.close();
            journal->close();
        }
    }

    // -- what must be there

    struct Found {
        bool whole = true;  // nothing said to be damaged
        std::uint32_t lost = 0;
        std::uint32_t lost_of_copy = 0;
        std::string words;
    };
    Found look() {
        Found found;
        const std::uint32_t acknowledged = told_->journal;
        const Held there = held(data());
        const bool nothing_yet = there.records.empty() &&
                                 (there.fault.find("There is no journal") == 0 ||
                                  there.fault.find("is empty: no hub") != std::string::npos);
        if (!there.fault.empty() && !nothing_yet) {
            return {false, 0, 0, there.fault};
        }
        const auto number = static_cast<std::uint32_t>(there.records.size());
        found.lost = acknowledged > number ? acknowledged - number : 0;
        std::map<std::string, std::string> beside;
        for (std::uint32_t i = 0; i < number; ++i) {
            if (there.records[i] != entries()[i].bytes) return {false, 0, 0, "other bytes"};
            for (const Beside& each : entries()[i].beside)
                beside[each.key] = each.value;  // nothing, where it was erased
        }
        if (there.beside != beside) return {false, 0, 0, "other names"};
        const Held copied = held(copy());
        const auto on_copy = static_cast<std::uint32_t>(copied.records.size());
        found.lost_of_copy = told_->copy > on_copy ? told_->copy - on_copy : 0;
        if (found.lost == 0) go_on(found, number);
        return found;
    }
    // The next start and the next copy.
    void go_on(Found& found, std::uint32_t number) {
        const auto no = [&found](const std::string& words) {
            found.whole = false;
            found.words = words;
        };
        auto opened = JournalFile::open(data());
        if (!opened) return no(opened.error().words);
        JournalFile& file = **opened;
        if (file.end().number.value != number) return no("the end is another one");
        if (number < records_max &&
            file.commit(std::span(entries()).subspan(number, 1)) != JournalFile::Kept::yes) {
            return no("it does not go on: " + file.why());
        }
        const auto to = JournalCopy::open(data(), copy());
        if (!to) return no(to.error().words);
        for (bool more = true; more;) {
            const auto followed = (*to)->follow(50);
            if (!followed) return no(followed.error().words);
            more = *followed;
        }
        (*to)->close();
        file.close();
        const Held both[] = {held(data()), held(copy())};
        if (both[0].fault + both[1].fault != "") return no(both[0].fault + both[1].fault);
        if (both[0].records != both[1].records || both[0].beside != both[1].beside) {
            return no("the copy is another one");
        }
        for (std::uint32_t n = 24; n <= both[0].records.size(); n += 24) {
            if (holds(data(), name_of(n - 12)) || holds(copy(), name_of(n - 12))) {
                return no("what was erased is there still");
            }
        }
    }
    static bool holds(const fs::path& folder, const std::string& text) {
        std::ostringstream all;
        all << std::ifstream(journal_file(folder), std::ios::binary).rdbuf();
        return all.str().find(text) != std::string::npos;
    }

    struct Tally {
        int cuts = 0;
        int with_loss = 0;
        int with_loss_of_copy = 0;
        int damaged = 0;
        int ended = 0;  // before the power failed
    };
    // Cuts at `many` operations spread over each life, or at every third one from `third` on.
    Tally run(Work work, int seeds, std::uint64_t many, const char* pragma = nullptr,
              bool lies = false, std::uint64_t third = 0) {
        Tally tally;
        for (int seed = 1; seed <= seeds; ++seed) {
            const auto life = static_cast<std::uint64_t>(seed);
            EXPECT_EQ(live(work, life, {0, life, lies}, pragma), 0);
            const std::uint64_t all = told_->operations;
            EXPECT_GT(all, 100U);
            const std::uint64_t step = third > 0 ? 3 : std::max<std::uint64_t>(1, all / many);
            const std::uint64_t first = third > 0 ? third : 1 + life % step;
            for (std::uint64_t at = first; at <= all; at += step) {
                const int end = live(work, life, {at, at * 7 + life, lies}, pragma);
                if (end == 0) ++tally.ended;
                if (end != power::exit_power_cut) {
                    EXPECT_EQ(end, 0) << "seed " << seed << ", operation " << at;
                    continue;
                }
                ++tally.cuts;
                const Found found = look();
                tally.damaged += found.whole ? 0 : 1;
                tally.with_loss += found.lost > 0 ? 1 : 0;
                tally.with_loss_of_copy += found.lost_of_copy > 0 ? 1 : 0;
                if (pragma != nullptr || lies) continue;
                EXPECT_TRUE(found.whole)
                    << "seed " << seed << ", operation " << at << ": " << found.words;
                EXPECT_EQ(found.lost, 0U) << "seed " << seed << ", operation " << at;
                EXPECT_EQ(found.lost_of_copy, 0U) << "seed " << seed << ", operation " << at;
            }
        }
        std::printf(
            "%d cuts (%d lives ended before): %d lost something, %d of a copy, %d damaged\n",
            tally.cuts, tally.ended, tally.with_loss, tally.with_loss_of_copy, tally.damaged);
        return tally;
    }

    fs::path top_;
    Told* told_ = nullptr;
};

// At every operation of a life: in three tests, so that each ends in time on a busy machine.
TEST_F(PowerCut, AtTheFirstOfThreeOperationsNothingAcknowledgedIsLost) {
    EXPECT_GT(run(&PowerCut::write_file, 1, 0, nullptr, false, 1).cuts, 200);
}

TEST_F(PowerCut, AtTheSecondOfThreeOperationsNothingAcknowledgedIsLost) {
    EXPECT_GT(run(&PowerCut::write_file, 1, 0, nullptr, false, 2).cuts, 200);
}

TEST_F(PowerCut, AtTheThirdOfThreeOperationsNothingAcknowledgedIsLost) {
    EXPECT_GT(run(&PowerCut::write_file, 1, 0, nullptr, false, 3).cuts, 200);
}

TEST_F(PowerCut, InManyLivesOfTheFileNothingAcknowledgedIsLost) {
    EXPECT_GT(run(&PowerCut::write_file, 20, 12).cuts, 200);
}

TEST_F(PowerCut, UnderAServingJournalAndItsMirrorNothingAcknowledgedIsLost) {
    EXPECT_GT(run(&PowerCut::serve, 8, 25).cuts, 150);
}

// -- and the test would see it

TEST_F(PowerCut, FindsTheLossWithSynchronousOff) {
    const Tally tally = run(&PowerCut::write_file, 3, 25, "PRAGMA synchronous=OFF");
    EXPECT_GT(tally.with_loss + tally.damaged, tally.cuts / 4);
    EXPECT_GT(tally.damaged, 0);
}

TEST_F(PowerCut, FindsTheLossWithSynchronousNormal) {
    const Tally tally = run(&PowerCut::write_file, 3, 25, "PRAGMA synchronous=NORMAL");
    EXPECT_GT(tally.with_loss, tally.cuts / 4);
    EXPECT_EQ(tally.damaged, 0);
}

// The limit of all this, and why a mirror belongs on another disk: docs/journal.md, section 12.
TEST_F(PowerCut, ADiskThatLiesAboutItsSyncsLosesWhatItAcknowledged) {
    const Tally tally = run(&PowerCut::write_file, 3, 25, nullptr, true);
    EXPECT_GT(tally.with_loss + tally.damaged, tally.cuts / 4);
}

}  // namespace
}  // namespace honbu
