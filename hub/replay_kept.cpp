#include "hub/replay_kept.h"

#include <optional>
#include <thread>
#include <variant>

#include "hub/journal/checkpoint_file.h"
#include "hub/journal/reader.h"
#include "hub/journal/schema.h"
#include "hub/version.h"

namespace honbu {
namespace {

// SQLite's own check, on a connection and a thread of its own beside the replay.
class StructureCheck {
public:
    explicit StructureCheck(const std::filesystem::path& folder)
        : thread_([this, folder] {
              const auto reader = JournalReader::open(folder);
              if (!reader) {
                  fault_ = reader.error();
              } else if (const auto ok = (*reader)->check_structure(); !ok) {
                  fault_ = ok.error();
              }
          }) {}
    ~StructureCheck() {
        if (thread_.joinable()) thread_.join();
    }
    std::optional<Fault> done() {
        thread_.join();
        return fault_;
    }

private:
    std::optional<Fault> fault_;
    std::thread thread_;  // last: starts when everything above is there
};

OrFault<ChainEnd> fold(Hub& hub, JournalReader& reader, const std::filesystem::path& folder,
                       const ChainEnd& after) {
    return reader.records(
        [&](RecordNumber, std::string_view bytes, const Hash& hash) {
            std::string wrong = hub.replay(bytes, hash);
            if (wrong.empty()) return wrong;
            return "The journal in " + folder.string() + " can't be replayed: " + wrong + ".";
        },
        after);
}

// Where the hub stands then; nothing: it is as empty as it was, and why if that is worth a word.
std::optional<ChainEnd> use_checkpoint(Hub& hub, JournalReader& reader,
                                       const std::filesystem::path& folder, std::string& why) {
    const auto bytes = read_checkpoint_file(folder);
    if (!bytes) return std::nullopt;
    const auto read = read_checkpoint(*bytes, this_program());
    if (const auto* no = std::get_if<std::string>(&read)) {
        why = *no;
        return std::nullopt;
    }
    const auto& checkpoint = std::get<Checkpoint>(read);
    const ChainEnd end{checkpoint.number, checkpoint.hash};
    if (end.number.value < records_worth_a_checkpoint) return std::nullopt;
    const auto there = reader.has(end);
    if (!there || !*there) {
        why = "this journal has not the record that it ends with";
        return std::nullopt;
    }
    why = hub.from_checkpoint(*bytes, this_program());
    if (!why.empty()) return std::nullopt;
    return end;
}

}  // namespace

CheckpointFor this_program() { return {version, static_cast<std::uint32_t>(journal_schema)}; }

OrFault<RecordNumber> replay_kept(Hub& hub, const std::filesystem::path& folder,
                                  const std::function<void(const std::string&)>& log) {
    const auto reader = JournalReader::open(folder);
    if (!reader) return reader.error();
    // Names first: results are told as they are replayed.
    const auto beside = (*reader)->beside(
        [&hub](std::string_view key, std::string_view value) { hub.replay_beside(key, value); });
    if (!beside) return beside.error();
    std::string why;
    const auto from = use_checkpoint(hub, **reader, folder, why);
    if (!why.empty()) {
        log("The checkpoint is not used, and all records are read instead: " + why + ".");
    }
    if (from) {
        const auto end = fold(hub, **reader, folder, *from);
        if (!end) return end.error();
        hub.replayed();
        return from->number;
    }
    StructureCheck structure(folder);
    const auto end = fold(hub, **reader, folder, {});
    if (const auto damaged = structure.done()) return *damaged;
    if (!end) return end.error();
    hub.replayed();
    return RecordNumber{};
}

}  // namespace honbu
