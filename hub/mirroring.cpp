#include "hub/mirroring.h"

#include <utility>

#include "hub/words/how_many.h"

namespace honbu {
namespace {

constexpr std::uint64_t patience_us = 5'000'000;
constexpr std::uint64_t shown_every_us = 2'000'000;  // while only the number changes

}  // namespace

Mirroring::Mirroring(const std::filesystem::path& journal, const std::filesystem::path& folder,
                     Parts parts)
    : parts_(std::move(parts)), folder_(folder.string()), marked_us_(parts_.now_us()),
      mirror_(journal, folder, [this](const Mirror::Now& state) { on_mirror(state); }) {}

void Mirroring::on_mirror(Mirror::Now state) {
    const bool begins = state.trouble.empty() && !follows_;
    follows_ = state.trouble.empty();
    if (begins && parts_.beside) {
        if (const auto kept = parts_.beside(); !kept) {
            state.trouble = kept.error().words;
            follows_ = false;
        }
    }
    parts_.post([this, state = std::move(state)] { told(state); });
}

void Mirroring::committed(RecordNumber number) {
    last_ = number;
    mirror_.more();
    judge();
}

void Mirroring::told(const Mirror::Now& state) {
    state_ = state;
    heard_ = true;
    judge();
}

void Mirroring::close() {
    const Mirror::Now end = mirror_.close();
    if (end.kept >= last_) return;
    parts_.log("The mirror in " + folder_ + " lacks the end: it has " +
               std::to_string(end.kept.value) + " of " + std::to_string(last_.value) +
               " records. " + end.trouble);
}

void Mirroring::judge() {
    const std::uint64_t now = parts_.now_us();
    if (state_.kept >= mark_) {
        mark_ = last_;
        marked_us_ = now;
    }
    Mirrored next;
    const bool late = now - marked_us_ > patience_us;
    if (!heard_ && !late) return;
    next.how = !state_.trouble.empty() ? Mirrored::How::stopped
               : late                  ? Mirrored::How::behind
                                       : Mirrored::How::follows;
    if (next.how != Mirrored::How::follows) {
        const bool lacks = state_.known && last_ > state_.kept;
        next.behind = lacks ? last_.value - state_.kept.value : 0;
        next.words = state_.trouble;
    }
    const bool another = next.how != shown_.how || next.words != shown_.words;
    if (next == shown_ || (!another && now - shown_us_ < shown_every_us)) return;
    shown_us_ = now;
    if (another) {
        switch (next.how) {
        case Mirrored::How::none: break;
        case Mirrored::How::follows:
            parts_.log("The mirror in " + folder_ + " has everything up to record " +
                       std::to_string(state_.kept.value) + ", and follows.");
            break;
        case Mirrored::How::behind:
            parts_.log("The mirror in " + folder_ + " is " +
                       how_many(next.behind, "record", "records") +
                       " behind: its disk is slow. Nothing waits for it.");
            break;
        case Mirrored::How::stopped:
            parts_.log(
                "The mirror has stopped" +
                (state_.known ? " at record " + std::to_string(state_.kept.value) : std::string()) +
                ". " + next.words + " It is tried again from time to time.");
            break;
        }
    }
    shown_ = next;
    parts_.show(next);
}

}  // namespace honbu
