#include "hub/journal/mirror.h"

#include <chrono>
#include <utility>

namespace honbu {
namespace {

using namespace std::chrono_literals;

constexpr std::size_t records_at_once = 2'000;
constexpr auto try_again_after = 3s;
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

void Mirror::close() {
    if (!thread_.joinable()) return;
    {
        const std::scoped_lock lock(mutex_);
        closing_ = true;
    }
    bell_.notify_one();
    thread_.join();
}

bool Mirror::wait() {
    std::unique_lock lock(mutex_);
    if (failed_) {
        bell_.wait_for(lock, try_again_after, [this] { return closing_; });
    } else {
        bell_.wait(lock, [this] { return closing_ || more_; });
        bell_.wait_for(lock, gather_for, [this] { return closing_; });
    }
    more_ = false;
    return !closing_;
}

void Mirror::run() {
    Now told{{}, "."};  // nothing yet
    bool going_on = true;
    while (going_on) {
        going_on = wait();  // when it closes, once more
        const Now now = catch_up();
        if (now.kept == told.kept && now.trouble == told.trouble) continue;
        told = now;
        tell_(now);
    }
    if (copy_) copy_->close();
}

// What failed is opened anew: the stick may be another one by now.
Mirror::Now Mirror::catch_up() {
    failed_ = true;
    if (!copy_) {
        auto opened = JournalCopy::open(from_, to_);
        if (!opened) return {kept_, opened.error().words};
        copy_ = std::move(*opened);
    }
    for (bool more = true; more;) {
        const auto followed = copy_->follow(records_at_once);
        if (!followed) {
            copy_.reset();
            return {kept_, followed.error().words};
        }
        more = *followed;
        kept_ = copy_->end().number;
    }
    failed_ = false;
    return {kept_, {}};
}

}  // namespace honbu
