#include "hub/journal/mirror.h"

#include <algorithm>
#include <chrono>
#include <utility>

namespace honbu {
namespace {

using namespace std::chrono_literals;

constexpr std::size_t records_at_once = 2'000;
constexpr std::chrono::milliseconds try_again_after = 3s;  // then twice as long, and so on
constexpr unsigned doublings_max = 3;
constexpr auto gather_for = 50ms;  // so that a stick writes a few times a second, not for each call

}  // namespace

Mirror::Mirror(std::filesystem::path from, std::filesystem::path to,
               std::function<void(const Now&)> tell)
    : from_(std::move(from)), to_(std::move(to)), tell_(std::move(tell)),
      thread_([this] { run(); }) {}

Mirror::~Mirror() { close(); }

void Mirror::more() {
    {
        const std::scoped_lock lock(mutex_);
        more_ = true;
    }
    bell_.notify_one();
}

Mirror::Now Mirror::close() {
    if (!thread_.joinable()) return now_;
    {
        const std::scoped_lock lock(mutex_);
        closing_ = true;
    }
    bell_.notify_one();
    thread_.join();
    return now_;
}

bool Mirror::wait() {
    std::unique_lock lock(mutex_);
    if (failures_ > 0) {
        const auto pause = try_again_after * (1U << std::min(failures_ - 1, doublings_max));
        bell_.wait_for(lock, pause, [this] { return closing_; });
    } else {
        const auto called = [this] { return closing_ || more_; };
        // A reader of the copy keeps an erased name in its log: nothing new need come for the next
        // try.
        if (copy_ && copy_->wants_wipe()) {
            bell_.wait_for(lock, try_again_after, called);
        } else {
            bell_.wait(lock, called);
        }
        bell_.wait_for(lock, gather_for, [this] { return closing_; });
    }
    more_ = false;
    return !closing_;
}

void Mirror::run() {
    Now told;
    bool first = true;
    bool going_on = true;
    while (going_on) {
        going_on = wait();  // when it closes, once more
        now_.trouble = catch_up();
        failures_ = now_.trouble.empty() ? 0 : failures_ + 1;
        if (!first && now_ == told) continue;
        first = false;
        told = now_;
        tell_(told);
    }
    if (copy_) copy_->close();
    copy_.reset();  // the journal is read no more
}

// As far as it goes now; why it does not go on, if so. The stick may be another one by then.
std::string Mirror::catch_up() {
    if (!copy_) {
        auto opened = JournalCopy::open(from_, to_);
        if (!opened) return opened.error().words;
        copy_ = std::move(*opened);
    }
    now_.kept = copy_->end().number;
    now_.known = true;
    for (bool more = true; more;) {
        const auto followed = copy_->follow(records_at_once);
        now_.kept = copy_->end().number;
        if (!followed) {
            if (!copy_->usable()) copy_.reset();
            return followed.error().words;
        }
        more = *followed;
    }
    return {};
}

}  // namespace honbu
