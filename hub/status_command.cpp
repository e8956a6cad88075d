#include "hub/status_command.h"

#include <iostream>
#include <system_error>

#include "engine/record/canon.h"
#include "hub/ask_http.h"
#include "hub/clock.h"
#include "hub/journal/reader.h"
#include "hub/journal/schema.h"
#include "hub/running.h"
#include "hub/status_words.h"
#include "hub/words/how_many.h"

namespace honbu {
namespace {

namespace fs = std::filesystem;
constexpr const char* status_target = "/v1/status";

Told as_told(const std::string& lines) {
    const bool looks = lines.starts_with(look) ||
                       lines.find(std::string("\n") + look) != std::string::npos;
    return {lines, looks ? exit_look : 0};
}

// What there is to go on from.
std::string holding(const fs::path& data) {
    std::error_code none;
    if (!fs::exists(journal_file(data), none)) {
        return "The folder " + data.string() + " holds no journal.\n";
    }
    const auto reader = JournalReader::open(data);
    if (!reader) return look + reader.error().words + "\n";
    std::string title;
    const auto end = (*reader)->records(
        [&title](RecordNumber, std::string_view bytes, const Hash&) {
            const auto record = title.empty() ? decode_record(bytes) : std::nullopt;
            const auto* loaded = record ? std::get_if<CompetitionLoaded>(&record->fact) : nullptr;
            if (loaded != nullptr) title = loaded->title;
            return std::string();
        });
    if (!end) return look + end.error().words + "\n";
    const auto mark = (*reader)->mark();
    const bool own = mark && *mark == 0;
    const auto begun = (*reader)->begun_wall_ms();
    std::string lines = std::string("The folder ") + data.string() + " holds " +
                        (own ? "a journal" : "a copy of a journal") + " with " +
                        how_many(end->number.value, "record", "records");
    if (!title.empty()) lines += ", of " + title;
    if (begun && begun->has_value()) lines += ", begun on " + wall_text(**begun);
    lines += ".\n";
    const fs::space_info room = fs::space(data, none);
    if (!none) lines += "Its disk has " + how_big(room.available) + " left.\n";
    lines += own ? "To go on: honbu serve --data " + data.string() + "\n"
                 : "To go on from it: honbu serve --data A-NEW-FOLDER --from-copy " +
                       data.string() + "\n";
    return lines;
}

// Its answer is shown and nothing secret is sent, so a hub on this machine has to prove nothing.
Told of_folder(const fs::path& data) {
    std::error_code none;
    if (!fs::is_directory(data, none)) {
        return {"No hub runs, and there is no folder " + data.string() + ".\n", exit_not_running};
    }
    const auto running = running_in(data);
    if (!running) return {"No hub runs on it. " + holding(data), exit_not_running};
    if (!still_there(*running)) {
        return {"No hub runs on it. The last one (process " + std::to_string(running->process) +
                    ", started on " + running->since +
                    ") ended without stopping: it was killed, or the power was cut. What was "
                    "acknowledged is kept.\n" +
                    holding(data),
                exit_not_running};
    }
    HttpQuestion question;
    question.url = running->url;
    question.target = status_target;
    question.checked = false;
    const auto answer = ask_http(question);
    if (answer) return as_told(*answer);
    return {look + std::string("a hub runs there (process ") + std::to_string(running->process) +
                ", started on " + running->since + "), but does not answer. " +
                answer.error().words +
                "\nIf it stays so, end that process and start the hub again: everything "
                "acknowledged is kept.\n",
            exit_look};
}

}  // namespace

Told status_of(const StatusOptions& options) {
    if (options.at.empty()) return of_folder(options.data);
    HttpQuestion question;
    question.url = options.at;
    question.target = status_target;
    question.authority = options.authority;
    const auto answer = ask_http(question);
    if (answer) return as_told(*answer);
    return {answer.error().words + "\n", exit_not_running};
}

int status(const StatusOptions& options) {
    const Told told = status_of(options);
    std::cout << told.text;
    return told.code;
}

}  // namespace honbu
