#include "hub/log.h"

#include <chrono>
#include <memory>
#include <mutex>
#include <string_view>
#include <utility>
#include <vector>

#include <spdlog/sinks/base_sink.h>
#include <spdlog/sinks/dist_sink.h>
#include <spdlog/sinks/rotating_file_sink.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include "engine/view/json.h"
#include "hub/clock.h"

namespace honbu {
namespace {

using spdlog::details::log_msg;

constexpr const char* people_at_once = "%H:%M:%S %v";
constexpr const char* people_later = "%Y-%m-%d %H:%M:%S.%e %l %n: %v";
constexpr std::uint64_t try_again_us = 60'000'000;
constexpr std::size_t mib = 1024U * 1024U;

spdlog::level::level_enum level_of(LogLevel level) {
    switch (level) {
    case LogLevel::debug: return spdlog::level::debug;
    case LogLevel::info: return spdlog::level::info;
    case LogLevel::warning: return spdlog::level::warn;
    case LogLevel::error: return spdlog::level::err;
    }
    return spdlog::level::info;
}

std::string_view view(spdlog::string_view_t text) { return {text.data(), text.size()}; }

std::uint64_t unix_ms(spdlog::log_clock::time_point when) {
    using Ms = std::chrono::milliseconds;
    return static_cast<std::uint64_t>(
        std::chrono::duration_cast<Ms>(when.time_since_epoch()).count());
}

// One JSON object a line (RFC 8259).
class JsonLines final : public spdlog::formatter {
public:
    void format(const log_msg& line, spdlog::memory_buf_t& to) override {
        JsonWriter json;
        json.begin_object();
        json.text("time", utc_text(unix_ms(line.time)));
        json.text("level", view(spdlog::level::to_string_view(line.level)));
        json.text("part", view(line.logger_name));
        json.text("words", view(line.payload));
        json.end_object();
        const std::string text = json.take() + "\n";
        to.append(text.data(), text.data() + text.size());
    }
    std::unique_ptr<spdlog::formatter> clone() const override {
        return std::make_unique<JsonLines>();
    }
};

// The rotating file, which may fail at any line: full, or its folder gone. Then lines are counted
// and not kept, and a minute later it is tried anew. After an exception the old one is never used
// again: a rotation that failed half-way leaves it without a file.
class CarefulFile final : public spdlog::sinks::base_sink<std::mutex> {
public:
    CarefulFile(const std::filesystem::path& file, const LogOptions& options)
        : file_(file), bytes_(options.file_mib * mib), files_(options.files) {}

private:
    void sink_it_(const log_msg& line) override {
        if (!inner_ && steady_us() < again_us_) {
            ++lost_;
            return;
        }
        try {
            if (!inner_) open();
            inner_->log(line);
            inner_->flush();
        } catch (const std::exception& failed) {
            inner_.reset();
            again_us_ = steady_us() + try_again_us;
            ++lost_;
            if (!std::exchange(told_, true)) {
                std::fprintf(stderr,
                             "The log file %s can't be written (%s). The hub goes on; its "
                             "lines are here only.\n",
                             file_.c_str(), failed.what());
            }
        }
    }
    void flush_() override {}
    void set_pattern_(const std::string&) override {}
    void set_formatter_(std::unique_ptr<spdlog::formatter> given) override {
        formatter_ = std::move(given);
    }

    void open() {
        std::filesystem::create_directories(file_.parent_path());
        // It counts those before the newest.
        inner_ = std::make_unique<spdlog::sinks::rotating_file_sink_st>(file_.string(), bytes_,
                                                                        files_ - 1);
        inner_->set_formatter(formatter_->clone());
        if (lost_ == 0) return;
        const std::string words = std::to_string(std::exchange(lost_, 0)) +
                                  " lines before this one could not be written here.";
        inner_->log(log_msg("log", spdlog::level::warn, words));
        told_ = false;
    }

    const std::filesystem::path file_;
    const std::size_t bytes_;
    const std::size_t files_;
    std::unique_ptr<spdlog::sinks::rotating_file_sink_st> inner_;
    std::uint64_t again_us_ = 0;
    std::size_t lost_ = 0;
    bool told_ = false;
};

std::unique_ptr<spdlog::formatter> formatter(bool json, const char* pattern) {
    if (json) return std::make_unique<JsonLines>();
    return std::make_unique<spdlog::pattern_formatter>(pattern);
}

using AllSinks = spdlog::sinks::dist_sink_mt;

// Every logger writes to this one, so that those made early follow what is told later.
std::shared_ptr<AllSinks>& all_sinks() {
    static auto sinks = std::make_shared<AllSinks>();
    return sinks;
}

}  // namespace

void log_to_standard_error() {
    auto screen = std::make_shared<spdlog::sinks::stderr_sink_mt>();
    screen->set_formatter(formatter(false, people_at_once));
    all_sinks()->set_sinks({std::move(screen)});
    all_sinks()->set_level(spdlog::level::info);
    auto logger = std::make_shared<spdlog::logger>("hub", all_sinks());
    logger->set_level(spdlog::level::trace);
    logger->set_error_handler([](const std::string&) {});  // of standard error: nobody to tell
    spdlog::set_default_logger(std::move(logger));
}

std::filesystem::path log_file_of(const LogOptions& options, const std::filesystem::path& data) {
    return options.file.empty() ? data / "log" / "honbu.log" : options.file;
}

void log_as_told(const LogOptions& options, const std::filesystem::path& data) {
    auto screen = std::make_shared<spdlog::sinks::stderr_sink_mt>();
    screen->set_formatter(formatter(options.json, people_at_once));
    auto kept = std::make_shared<CarefulFile>(log_file_of(options, data), options);
    kept->set_formatter(formatter(options.json, people_later));
    all_sinks()->set_sinks({std::move(screen), std::move(kept)});
    all_sinks()->set_level(spdlog::level::from_str(options.level));
}

std::function<void(const std::string&)> log_lines(const char* part, LogLevel level) {
    std::shared_ptr<spdlog::logger> logger = spdlog::default_logger()->clone(part);
    return [logger, level = level_of(level)](const std::string& line) {
        logger->log(level, "{}", line);
    };
}

}  // namespace honbu
