#include "hub/checkpointing.h"

#include <utility>
#include <variant>

#include <pthread.h>
#include <sched.h>

#include "hub/core/nobody.h"
#include "hub/insist.h"
#include "hub/journal/checkpoint_file.h"
#include "hub/journal/reader.h"
#include "hub/replay_kept.h"

namespace honbu {
namespace {

constexpr std::uint32_t records_between = 20'000;  // about a day
const std::string stopped = "stopped";

}  // namespace

Checkpointing::Checkpointing(std::filesystem::path folder, RecordNumber from, RecordNumber end,
                             Parts parts)
    : folder_(std::move(folder)), parts_(std::move(parts)), passed_over_(from != RecordNumber{}),
      made_(from), due_{from.value + records_between}, last_(end), thread_([this] { run(); }) {}

Checkpointing::~Checkpointing() { close(); }

void Checkpointing::committed(RecordNumber number) {
    {
        const std::scoped_lock lock(mutex_);
        last_ = number;
        if (last_ < due_) return;
    }
    bell_.notify_one();
}

void Checkpointing::close() {
    if (!thread_.joinable()) return;
    {
        const std::scoped_lock lock(mutex_);
        closing_ = true;
    }
    bell_.notify_one();
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

bool Checkpointing::stopping() {
    const std::scoped_lock lock(mutex_);
    return closing_;
}

void Checkpointing::run() {
    const sched_param none{};
    pthread_setschedparam(pthread_self(), SCHED_IDLE, &none);
    if (passed_over_) {
        if (const auto wrong = look_at_all()) {
            is_damaged_ = true;
            remove_checkpoint_file(folder_);
            parts_.damaged(*wrong);
            return;
        }
    }
    for (;;) {
        {
            std::unique_lock lock(mutex_);
            bell_.wait(lock, [this] { return closing_ || last_ >= due_; });
            if (closing_) return;
            due_.value = last_.value + records_between;
        }
        if (const auto made = make(); !made && made.error().words != stopped) {
            parts_.log(made.error().words);
        }
    }
}

std::optional<std::string> Checkpointing::look_at_all() {
    const auto reader = JournalReader::open(folder_);
    if (!reader) return reader.error().words;
    if (const auto structure = (*reader)->check_structure(); !structure) {
        return structure.error().words;
    }
    const auto end = (*reader)->records([this](RecordNumber, std::string_view, const Hash&) {
        return stopping() ? stopped : std::string();
    });
    if (end || end.error().words == stopped) return std::nullopt;
    return end.error().words;
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
            return stopping() ? stopped : hub.replay(bytes, hash);
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
