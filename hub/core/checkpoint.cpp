#include "hub/core/checkpoint.h"

#include <algorithm>
#include <utility>

#include "hub/core/checkpoint_parts.h"
#include "hub/core/inside.h"
#include "hub/insist.h"

namespace honbu {
namespace {

using checkpoint::In;
using checkpoint::Out;
using checkpoint::pass;

constexpr std::string_view magic = "honbu checkpoint";

// The competition as a record holds it.
std::string bytes_of(const CompetitionLoaded& competition) {
    Record record;
    record.fact = competition;
    return encode(record);
}

void put_long(Writer& w, std::string_view bytes) {
    w.u32(static_cast<std::uint32_t>(bytes.size()));
    w.raw(bytes);
}
std::string long_of(Reader& r) {
    std::string bytes(r.count(1), '\0');
    for (char& c : bytes)
        c = static_cast<char>(r.u8());
    return bytes;
}

// Who stands where may outlast the result that brought it, so it is kept beside the results.
template<class Io> void pass(Io& io, std::map<BoutId, Progress::Known>& known) {
    std::uint32_t count = io.count(known.size(), 6);
    if constexpr (Io::reads) {
        for (; count > 0 && io.good(); --count) {
            BoutId bout;
            pass(io, bout);
            auto& [winner, exchanged] = known[bout];
            pass_choice(io, winner, Winner::undecided, Winner::draw);
            pass(io, exchanged);
        }
    } else {
        for (auto& [bout, of_bout] : known) {
            BoutId same = bout;
            pass(io, same);
            auto& [winner, exchanged] = of_bout;
            pass_choice(io, winner, Winner::undecided, Winner::draw);
            pass(io, exchanged);
        }
    }
}

// All but the competition and what is laid out from it.
template<class Io> void pass_rest(Io& io, Kept& kept, std::map<BoutId, Progress::Known>& known) {
    auto& [epoch, epochs, decided, committed, last_hash, hashes, last_received, has_competition,
           competition, progress, bouts, awaited, mats, runs, aside, rights, table_mats, erased,
           typed_erased, aside_changed, told_items] = kept;
    pass(io, epoch);
    pass(io, epochs);
    pass(io, committed);
    pass(io, last_hash);
    pass(io, hashes);
    pass(io, last_received);
    pass(io, has_competition);
    pass(io, known);
    pass(io, bouts);
    pass(io, mats);
    pass(io, runs);
    pass(io, aside);
    pass(io, rights);
    pass(io, table_mats);
    pass(io, erased);
    pass(io, typed_erased);
    pass(io, aside_changed);
    pass(io, told_items);
    if constexpr (Io::reads) decided = committed;
}

// Nothing in it speaks of a bout or mat that is not there.
bool fits(const Kept& kept) {
    const auto there = [&kept](BoutId bout) { return kept.bouts.contains(bout); };
    const auto has_place = [](const auto& item) { return item.second.entry.bout == item.first; };
    const auto has_bouts = [&](const auto& item) {
        const Mat& mat = item.second;
        return !mat.order.empty() && (!mat.current || there(*mat.current));
    };
    const auto was_told = [&](const ToldItem& item) {
        return std::all_of(item.results.begin(), item.results.end(),
                           [&](const ToldResult& result) { return there(result.bout); });
    };
    return kept.committed.value == kept.hashes.size() && !kept.epochs.empty() &&
           std::all_of(kept.bouts.begin(), kept.bouts.end(), has_place) &&
           std::all_of(kept.mats.begin(), kept.mats.end(), has_bouts) &&
           std::all_of(kept.told_items.begin(), kept.told_items.end(), was_told);
}

}  // namespace

void lay_out(Kept& kept, const CompetitionLoaded& competition) {
    kept.has_competition = true;
    kept.competition = competition;
    for (const BoutEntry& entry : competition.bouts) {
        kept.bouts[entry.bout].entry = entry;
        for (const Slot& slot : {entry.white, entry.blue}) {
            if (slot.from == Slot::From::person) continue;
            kept.awaited[BoutId{slot.value}].push_back(entry.bout);
        }
        kept.mats[entry.mat].order.push_back(entry.bout);
        kept.progress.add(entry);
    }
}

std::optional<std::string> Hub::checkpoint(const CheckpointFor& by) const {
    Inside& in = *in_;
    if (!in.waiting.empty() || in.epochs.empty()) return std::nullopt;
    const std::string competition = in.has_competition ? bytes_of(in.competition) : std::string();
    Out out;
    Writer& w = out.writer;
    w.raw(magic);
    w.u32(checkpoint::checkpoint_form);
    w.text(by.program);
    w.u32(fold_version);
    w.u32(by.schema);
    w.u64(in.epoch.epoch.value);
    w.u32(in.committed.value);
    w.fixed(in.last_hash);
    w.u32(static_cast<std::uint32_t>(in.competition.rules.size()));
    for (const RuleSet& rules : in.competition.rules)
        w.fixed(sha256(encode(rules)));
    put_long(w, competition);
    auto known = in.progress.known();
    pass_rest(out, in, known);
    std::string bytes = w.take();
    const Hash own = sha256(bytes);
    bytes.append(reinterpret_cast<const char*>(own.data()), own.size());
    return bytes;
}

namespace {

struct Read {
    Checkpoint head;
    std::vector<Hash> rules;
};

std::variant<Read, std::string> read_all(std::string_view bytes, const CheckpointFor& by) {
    Hash own{};
    if (bytes.size() < magic.size() + own.size() || !bytes.starts_with(magic)) {
        return "it is none, or cut short";
    }
    const std::string_view content = bytes.substr(0, bytes.size() - own.size());
    Reader(bytes.substr(content.size())).fixed(own);
    Reader r(content.substr(magic.size()));
    const std::uint32_t form = r.u32();
    const std::string program = r.text();
    const std::uint32_t fold = r.u32();
    const std::uint32_t schema = r.u32();
    Read out;
    out.head.epoch.value = r.u64();
    out.head.number.value = r.u32();
    r.fixed(out.head.hash);
    out.rules.resize(r.count(sizeof(Hash)));
    for (Hash& hash : out.rules)
        r.fixed(hash);
    // First of all, so that a flipped bit is not taken for another version.
    if (!r.good() || sha256(content) != own) return "it is damaged or cut short";
    if (form != checkpoint::checkpoint_form || program != by.program || fold != fold_version) {
        return "another version of honbu made it (" + program + ")";
    }
    if (schema != by.schema) return "it is of another schema of the journal";
    out.head.state = r.rest();
    return out;
}

}  // namespace

std::variant<Checkpoint, std::string> read_checkpoint(std::string_view bytes,
                                                      const CheckpointFor& by) {
    auto read = read_all(bytes, by);
    if (auto* why = std::get_if<std::string>(&read)) return std::move(*why);
    return std::get<Read>(read).head;
}

std::string Hub::from_checkpoint(std::string_view bytes, const CheckpointFor& by) {
    INSIST(in_->epochs.empty());
    auto read = read_all(bytes, by);
    if (auto* why = std::get_if<std::string>(&read)) return std::move(*why);
    const auto& [head, rules] = std::get<Read>(read);
    In in(head.state);
    const std::string competition = long_of(in.reader);
    Kept kept;
    std::map<BoutId, Progress::Known> known;
    pass_rest(in, kept, known);
    if (!in.reader.complete()) return "it can't be read";
    if (kept.has_competition) {
        const auto record = decode_record(competition);
        const auto* loaded = record ? std::get_if<CompetitionLoaded>(&record->fact) : nullptr;
        if (loaded == nullptr) return "its competition can't be read";
        lay_out(kept, *loaded);
    }
    for (auto& [bout, of_bout] : known)
        kept.progress.set(bout, of_bout);
    const auto same_rules = [](const RuleSet& set, const Hash& hash) {
        return sha256(encode(set)) == hash;
    };
    if (!std::equal(kept.competition.rules.begin(), kept.competition.rules.end(), rules.begin(),
                    rules.end(), same_rules)) {
        return "it was made under other rule sets";
    }
    if (kept.committed != head.number || kept.last_hash != head.hash || !fits(kept)) {
        return "it does not fit together";
    }
    static_cast<Kept&>(*in_) = std::move(kept);
    in_->replaying = true;
    in_->tell_again();
    return {};
}

}  // namespace honbu
