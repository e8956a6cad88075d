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

enum class FactKind : std::uint8_t {
    epoch = 1,
    competition = 2,
    mat_taken = 3,
    call = 4,
    mat_freed = 5,
    set_aside_decided = 6,
    result_entered = 7,
    record_moved = 8,
    bout_given_back = 9,
    device_let_in = 10,
    device_shut_out = 11,
    person_erased = 12,
    calls_handed_in = 13,
};

struct PutFact {
    Writer& w;
    void kind(FactKind k) const { w.u8(static_cast<std::uint8_t>(k)); }
    void operator()(const EpochBegan& f) const {
        kind(FactKind::epoch);
        w.u64(f.epoch.value);
        w.u32(f.fold_version);
        w.u32(f.rehearsal_rate);
        w.u64(f.parent.value);
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
    void operator()(const MatFreed& f) const {
        kind(FactKind::mat_freed);
        w.u16(f.mat.value);
        w.u32(f.term.value);
        w.flag(f.by_desk);
    }
    void operator()(const SetAsideDecided& f) const {
        kind(FactKind::set_aside_decided);
        put_choice(w, f.how);
        w.u32(f.into.value);
        w.u32(static_cast<std::uint32_t>(f.calls.size()));
        for (const CallId call : f.calls)
            put(w, call);
        w.u32(static_cast<std::uint32_t>(f.joined.size()));
        for (const auto& [run, joint] : f.joined) {
            w.u64(run.value);
            put(w, joint);
        }
        w.text(f.reason);
    }
    void operator()(const ResultEntered& f) const {
        kind(FactKind::result_entered);
        w.u32(f.bout.value);
        put_choice(w, f.from);
        w.u32(f.replaces.value);
        put(w, f.result);
        w.text(f.reason);
    }
    void operator()(const RecordMoved& f) const {
        kind(FactKind::record_moved);
        w.u32(f.from.value);
        w.u32(f.to.value);
        w.text(f.reason);
    }
    void operator()(const BoutGivenBack& f) const {
        kind(FactKind::bout_given_back);
        w.u32(f.bout.value);
    }
    void operator()(const DeviceLetIn& f) const {
        kind(FactKind::device_let_in);
        w.u64(f.device.value);
        put_choice(w, f.right);
        w.u16(f.mat.value);
        w.u32(f.until.ms);
    }
    void operator()(const DeviceShutOut& f) const {
        kind(FactKind::device_shut_out);
        w.u64(f.device.value);
        w.text(f.reason);
    }
    void operator()(const PersonErased& f) const {
        kind(FactKind::person_erased);
        w.u32(f.person.value);
        w.u32(f.bout.value);
        w.text(f.reason);
    }
    void operator()(const CallsHandedIn& f) const {
        kind(FactKind::calls_handed_in);
        w.u64(f.device.value);
        w.text(f.hand);
        w.u32(static_cast<std::uint32_t>(f.calls.size()));
        for (const Call& call : f.calls)
            put(w, call);
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

SetAsideDecided set_aside_decided_of(Reader& r) {
    SetAsideDecided f;
    f.how = r.choice(SetAsideDecided::How::dismissed, SetAsideDecided::How::taken);
    f.into = BoutId{r.u32()};
    const std::uint32_t calls = r.count(12);
    for (std::uint32_t i = 0; i < calls && r.good(); ++i)
        f.calls.push_back(call_id_of(r));
    const std::uint32_t joined = r.count(25);
    for (std::uint32_t i = 0; i < joined && r.good(); ++i) {
        const RunId run{r.u64()};
        f.joined.push_back({run, joint_of(r)});
    }
    f.reason = r.text();
    return f;
}

ResultEntered result_entered_of(Reader& r) {
    ResultEntered f;
    f.bout = BoutId{r.u32()};
    f.from = r.choice(ResultEntered::From::paper, ResultEntered::From::desk);
    f.replaces = RecordNumber{r.u32()};
    f.result = result_of(r);
    f.reason = r.text();
    return f;
}

Fact fact_of(Reader& r) {
    switch (r.choice(FactKind::epoch, FactKind::calls_handed_in)) {
    case FactKind::epoch: {
        EpochBegan f;
        f.epoch = Epoch{r.u64()};
        f.fold_version = r.u32();
        f.rehearsal_rate = r.u32();
        f.parent = Epoch{r.u64()};
        return f;
    }
    case FactKind::competition: return competition_of(r);
    case FactKind::mat_taken: {
        const MatId mat{r.u16()};
        return MatTaken{mat, Term{r.u32()}};
    }
    case FactKind::call: return call_of(r);
    case FactKind::mat_freed: {
        const MatId mat{r.u16()};
        const Term term{r.u32()};
        return MatFreed{mat, term, r.flag()};
    }
    case FactKind::set_aside_decided: return set_aside_decided_of(r);
    case FactKind::result_entered: return result_entered_of(r);
    case FactKind::record_moved: {
        RecordMoved f;
        f.from = BoutId{r.u32()};
        f.to = BoutId{r.u32()};
        f.reason = r.text();
        return f;
    }
    case FactKind::bout_given_back: return BoutGivenBack{BoutId{r.u32()}};
    case FactKind::device_let_in: {
        DeviceLetIn f;
        f.device = DeviceId{r.u64()};
        f.right = r.choice(Right::table, Right::display);
        f.mat = MatId{r.u16()};
        f.until = Instant{r.u32()};
        return f;
    }
    case FactKind::device_shut_out: {
        const DeviceId device{r.u64()};
        return DeviceShutOut{device, r.text()};
    }
    case FactKind::person_erased: {
        const PersonId person{r.u32()};
        const BoutId bout{r.u32()};
        return PersonErased{person, bout, r.text()};
    }
    case FactKind::calls_handed_in: {
        CallsHandedIn f;
        f.device = DeviceId{r.u64()};
        f.hand = r.text();
        const std::uint32_t calls = r.count(30);
        for (std::uint32_t i = 0; i < calls && r.good(); ++i)
            f.calls.push_back(call_of(r));
        return f;
    }
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
