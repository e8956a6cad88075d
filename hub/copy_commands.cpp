// honbu journal copy, mirror and export: a journal's records elsewhere, or for other programs.
#include <csignal>
#include <ctime>
#include <iostream>
#include <string>

#include "engine/record/canon.h"
#include "hub/certificates/folder.h"
#include "hub/commands.h"
#include "hub/journal/copy.h"
#include "hub/journal/mirror.h"
#include "hub/journal/upgrade.h"
#include "hub/wire/flavour.h"
#include "hub/wire/wire.h"
#include "hub/words/how_many.h"
#include "hub/words/record_line.h"

namespace honbu {
namespace {

int fail(const Fault& fault) {
    std::cerr << fault.words << "\n";
    return 1;
}

}  // namespace

int copy_journal(const std::filesystem::path& data, const std::filesystem::path& to) {
    constexpr std::size_t at_once = 10'000;
    const auto copy = JournalCopy::open(data, to);
    if (!copy) return fail(copy.error());
    const RecordNumber before = (*copy)->end().number;
    for (;;) {
        const auto more = (*copy)->follow(at_once);
        if (!more) return fail(more.error());
        if (!*more) break;
    }
    if (const auto kept = copy_certificates(data, to); !kept) return fail(kept.error());
    const ChainEnd end = (*copy)->end();
    std::cout << "The copy in " << to.string() << " has "
              << how_many(end.number.value, "record", "records") << ", "
              << end.number.value - before.value << " of them new.\n";
    const int code = verify_journal(to);
    (*copy)->close();  // last, so that one file stays
    return code;
}

int upgrade_journal(const std::filesystem::path& data) {
    const auto done = upgrade_journal_file(data);
    if (!done) return fail(done.error());
    if (done->from == done->to) {
        std::cout << "The journal in " << data.string() << " is what this honbu writes (schema "
                  << done->to << "): there is nothing to do.\n";
        return 0;
    }
    std::cout << "Upgraded from schema " << done->from << " to " << done->to << ": "
              << how_many(done->end.number.value, "record", "records") << ", hash "
              << hex(done->end.hash) << ", all as before.\nThe copy of before is in "
              << done->copy.string()
              << ". Keep it until this honbu has proved itself, then delete it: it holds the names "
                 "too, and what is erased here stays there.\n";
    return 0;
}

int mirror_journal(const std::filesystem::path& data, const std::filesystem::path& to) {
    // What can't be used at all is said at once, and not tried for ever.
    if (const auto copy = JournalCopy::open(data, to); !copy) return fail(copy.error());
    sigset_t stops;
    sigemptyset(&stops);
    sigaddset(&stops, SIGINT);
    sigaddset(&stops, SIGTERM);
    pthread_sigmask(SIG_BLOCK, &stops, nullptr);  // the mirror's thread leaves them to this one
    std::cout << "Following the journal in " << data.string() << ". Ctrl-C ends it.\n"
              << std::flush;
    if (const auto kept = copy_certificates(data, to); !kept) return fail(kept.error());
    Mirror mirror(data, to, [](const Mirror::Now& now) {
        std::cout << "record " << now.kept.value;
        if (!now.trouble.empty()) std::cout << ": " << now.trouble;
        std::cout << "\n" << std::flush;
    });
    const timespec pause{0, 500'000'000};
    while (sigtimedwait(&stops, nullptr, &pause) < 0)
        mirror.more();
    mirror.close();
    return 0;
}

int export_journal(const std::filesystem::path& data, std::uint32_t from) {
    const auto reader = JournalReader::open(data);
    if (!reader) return fail(reader.error());
    const auto end = (*reader)->records(
        [from](RecordNumber number, std::string_view bytes, const Hash&) {
            if (number.value < from) return std::string();
            const auto record = decode_record(bytes);
            if (!record) {
                return "Record " + std::to_string(number.value) +
                       " is intact, but not in a form this version reads. Use the version of honbu "
                       "that wrote it.";
            }
            std::cout << client_json(record_to_wire(*record, bytes, line(*record))) << "\n";
            return std::string();
        });
    std::cout << std::flush;
    return end ? 0 : fail(end.error());
}

}  // namespace honbu
