#include "engine/record/parts.h"

namespace honbu {
namespace {

void put(Writer& w, const Slot& slot) {
    w.u8(static_cast<std::uint8_t>(slot.from));
    w.u32(slot.value);
}
Slot slot_of(Reader& r) {
    Slot slot;
    slot.from = r.choice(Slot::From::person, Slot::From::loser_of);
    slot.value = r.u32();
    return slot;
}

enum class FactKind : std::uint8_t { epoch = 1, competition = 2, mat_taken = 3, call = 4 };

struct PutFact {
    Writer& w;
    void kind(FactKind k) const { w.u8(static_cast<std::uint8_t>(k)); }
    void operator()(const EpochBegan& f) const {
        kind(FactKind::epoch);
        w.u64(f.epoch.value);
        w.u32(f.fold_version);
        w.u32(f.rehearsal_rate);
    }
    void operator()(const CompetitionLoaded& f) const {
        kind(FactKind::competition);
        w.text(f.title);
        w.u32(static_cast<std::uint32_t>(f.rules.size()));
        for (const RuleSet& rules : f.rules)
            put(w, rules);
        w.u32(static_cast<std::uint32_t>(f.categories.size()));
        for (const CategoryEntry& c : f.categories) {
            w.text(c.name);
            w.u16(c.rules);
            w.u32(c.time.ms);
            w.u32(c.golden.ms);
        }
        w.u32(static_cast<std::uint32_t>(f.bouts.size()));
        for (const BoutEntry& b : f.bouts) {
            w.u32(b.bout.value);
            w.u16(b.mat.value);
            w.u16(b.category);
            w.text(b.round);
            put(w, b.white);
            put(w, b.blue);
        }
    }
    void operator()(const MatTaken& f) const {
        kind(FactKind::mat_taken);
        w.u16(f.mat.value);
        w.u32(f.term.value);
    }
    void operator()(const Call& f) const {
        kind(FactKind::call);
        put(w, f);
    }
};

CompetitionLoaded competition_of(Reader& r) {
    CompetitionLoaded f;
    f.title = r.text();
    const std::uint32_t rule_sets = r.count(40);
    for (std::uint32_t i = 0; i < rule_sets && r.good(); ++i)
        f.rules.push_back(rules_of(r));
    const std::uint32_t categories = r.count(12);
    for (std::uint32_t i = 0; i < categories && r.good(); ++i) {
        CategoryEntry c;
        c.name = r.text();
        c.rules = r.u16();
        c.time = Duration{r.u32()};
        c.golden = Duration{r.u32()};
        if (c.rules >= f.rules.size()) r.fail();
        f.categories.push_back(std::move(c));
    }
    const std::uint32_t bouts = r.count(20);
    for (std::uint32_t i = 0; i < bouts && r.good(); ++i) {
        BoutEntry b;
        b.bout = BoutId{r.u32()};
        b.mat = MatId{r.u16()};
        b.category = r.u16();
        b.round = r.text();
        b.white = slot_of(r);
        b.blue = slot_of(r);
        if (b.category >= f.categories.size()) r.fail();
        f.bouts.push_back(std::move(b));
    }
    return f;
}

Fact fact_of(Reader& r) {
    switch (r.choice(FactKind::epoch, FactKind::call)) {
    case FactKind::epoch: {
        EpochBegan f;
        f.epoch = Epoch{r.u64()};
        f.fold_version = r.u32();
        f.rehearsal_rate = r.u32();
        return f;
    }
    case FactKind::competition: return competition_of(r);
    case FactKind::mat_taken: {
        const MatId mat{r.u16()};
        return MatTaken{mat, Term{r.u32()}};
    }
    case FactKind::call: return call_of(r);
    }
    r.fail();
    return EpochBegan{};
}

}  // namespace

std::string encode(const Record& record) {
    Writer w;
    w.u32(record.number.value);
    w.fixed(record.previous);
    w.u32(record.received.ms);
    w.u64(record.device.value);
    w.text(record.hand);
    w.u8(static_cast<std::uint8_t>(record.verdict));
    std::visit(PutFact{w}, record.fact);
    return w.take();
}

std::optional<Record> decode_record(std::string_view bytes) {
    Reader r(bytes);
    Record record;
    record.number = RecordNumber{r.u32()};
    r.fixed(record.previous);
    record.received = Instant{r.u32()};
    record.device = DeviceId{r.u64()};
    record.hand = r.text();
    record.verdict = r.choice(Verdict::none, Verdict::set_aside);
    record.fact = fact_of(r);
    if (!r.complete()) return std::nullopt;
    return record;
}

}  // namespace honbu
