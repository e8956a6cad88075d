#include "hub/checkpointing.h"

#include <cerrno>
#include <chrono>
#include <ctime>
#include <utility>
#include <variant>

#include <pthread.h>
#include <sched.h>

#include "hub/clock.h"
#include "hub/core/nobody.h"
#include "hub/insist.h"
#include "hub/journal/checkpoint_file.h"
#include "hub/journal/reader.h"
#include "hub/replay_kept.h"

namespace honbu {
namespace {

constexpr std::uint32_t records_between = 20'000;  // about a day
constexpr std::chrono::minutes look_again_after{5};
const std::string stopped = "stopped";

}  // namespace

Checkpointing::Checkpointing(std::filesystem::path folder, RecordNumber from, RecordNumber end,
                             Parts parts)
    : folder_(std::move(folder)), parts_(std::move(parts)), passed_over_(from != RecordNumber{}),
      made_(from), due_{from.value + records_between}, last_(end.value),
      thread_([this] { run(); }) {}

Checkpointing::~Checkpointing() { close(); }

void Checkpointing::committed(RecordNumber number) {
    last_ = number.value;
    if (due()) sem_post(&bell_.rung);
}

void Checkpointing::close() {
    if (!thread_.joinable()) return;
    closing_ = true;
    sem_post(&bell_.rung);
    thread_.join();
}

void Checkpointing::keep(const Hub& hub) {
    const RecordNumber end = hub.last_committed();
    if (is_damaged_ || end == made_ || end.value < records_worth_a_checkpoint) return;
    const auto bytes = hub.checkpoint(this_program());
    if (!bytes) return;
    if (const auto written = write_checkpoint_file(folder_, *bytes); !written) {
        parts_.log(written.error().words);
    }
}

void Checkpointing::run() {
    const sched_param none{};
    pthread_setschedparam(pthread_self(), SCHED_IDLE, &none);
    bool to_look = passed_over_;
    std::string told;
    for (;;) {
        if (to_look) {
            std::string words;
            const Looked looked = look_at_all(words);
            if (looked == Looked::broken_off) return;
            if (looked == Looked::damaged) {
                is_damaged_ = true;
                remove_checkpoint_file(folder_);
                parts_.damaged(words);
                return;
            }
            to_look = looked == Looked::could_not;
            if (to_look && std::exchange(told, words) != words) {
                parts_.log("The records before the checkpoint could not be looked at yet; this "
                           "hub tries again every few minutes. " +
                           words);
            }
        }
        if (!closing_ && !due()) wait_for_bell(to_look);
        if (closing_) return;
        if (!due()) continue;
        due_ = last_ + records_between;
        if (const auto made = make(); !made && made.error().words != stopped) {
            parts_.log(made.error().words);
        }
    }
}

// It may have been rung for each of many records meanwhile: once is enough.
void Checkpointing::wait_for_bell(bool at_most_a_while) {
    if (at_most_a_while) {
        timespec until{};
        until.tv_sec = static_cast<std::time_t>(wall_ms() / 1'000) +
                       std::chrono::seconds(look_again_after).count();
        while (sem_timedwait(&bell_.rung, &until) != 0 && errno == EINTR) {
        }
    } else {
        while (sem_wait(&bell_.rung) != 0 && errno == EINTR) {
        }
    }
    while (sem_trywait(&bell_.rung) == 0) {
    }
}

Checkpointing::Looked Checkpointing::look_at_all(std::string& words) {
    const auto reader = JournalReader::open(folder_);
    if (!reader) {
        words = reader.error().words;
        return closing_ ? Looked::broken_off : Looked::could_not;
    }
    OrFault<void> looked = (*reader)->check_structure([this] { return closing_.load(); });
    if (looked) {
        const auto end = (*reader)->records([this](RecordNumber, std::string_view, const Hash&) {
            return closing_ ? stopped : std::string();
        });
        if (end) return Looked::whole;
        looked = end.error();
    }
    words = looked.error().words;
    if (words == stopped) return Looked::broken_off;
    if ((*reader)->found_damage()) return Looked::damaged;
    return closing_ ? Looked::broken_off : Looked::could_not;
}

// As a start does it, from the last one on.
OrFault<void> Checkpointing::make() {
    Nobody nobody;
    Hub hub(nobody, nobody, nobody);
    const auto reader = JournalReader::open(folder_);
    if (!reader) return reader.error();
    ChainEnd from;
    if (const auto bytes = read_checkpoint_file(folder_)) {
        const auto read = read_checkpoint(*bytes, this_program());
        if (const auto* last = std::get_if<Checkpoint>(&read)) {
            const ChainEnd end{last->number, last->hash};
            const auto there = (*reader)->has(end);
            if (there && *there && hub.from_checkpoint(*bytes, this_program()).empty()) from = end;
        }
    }
    const auto end = (*reader)->records(
        [&](RecordNumber, std::string_view bytes, const Hash& hash) {
            return closing_ ? stopped : hub.replay(bytes, hash);
        },
        from);
    if (!end) return end.error();
    const auto bytes = hub.checkpoint(this_program());
    INSIST(bytes);
    if (const auto written = write_checkpoint_file(folder_, *bytes); !written) return written;
    made_ = end->number;
    return {};
}

}  // namespace honbu
