// Each part of Kept, taken apart: one function writes it and reads it back.
//
// Structured bindings name every field, so that one added in kept.h does not compile until it
// stands here. Fields that are passed over say why. Whoever changes what is written, or what a
// field means, raises checkpoint_form. Private to hub/core.
#pragma once

#include <concepts>
#include <map>
#include <optional>
#include <set>
#include <vector>

#include "engine/record/parts.h"
#include "hub/core/kept.h"

namespace honbu::checkpoint {

inline constexpr std::uint32_t checkpoint_form = 3;

class Out {
public:
    static constexpr bool reads = false;
    template<std::unsigned_integral N> void number(N& n) {
        if constexpr (sizeof(N) == 1) writer.u8(n);
        if constexpr (sizeof(N) == 2) writer.u16(n);
        if constexpr (sizeof(N) == 4) writer.u32(n);
        if constexpr (sizeof(N) == 8) writer.u64(n);
    }
    void flag(bool& v) { writer.flag(v); }
    void text(std::string& v) { writer.text(v); }
    void hash(Hash& v) { writer.fixed(v); }
    std::uint32_t count(std::size_t now, std::size_t) {
        writer.u32(static_cast<std::uint32_t>(now));
        return static_cast<std::uint32_t>(now);
    }
    bool good() const { return true; }
    Writer writer;
};

class In {
public:
    static constexpr bool reads = true;
    explicit In(std::string_view bytes) : reader(bytes) {}
    template<std::unsigned_integral N> void number(N& n) {
        if constexpr (sizeof(N) == 1) n = reader.u8();
        if constexpr (sizeof(N) == 2) n = reader.u16();
        if constexpr (sizeof(N) == 4) n = reader.u32();
        if constexpr (sizeof(N) == 8) n = reader.u64();
    }
    void flag(bool& v) { v = reader.flag(); }
    void text(std::string& v) { v = reader.text(); }
    void hash(Hash& v) { reader.fixed(v); }
    std::uint32_t count(std::size_t, std::size_t smallest) { return reader.count(smallest); }
    bool good() const { return reader.good(); }
    Reader reader;
};

// -- numbers, ids, lists

template<class Io, std::unsigned_integral N> void pass(Io& io, N& n) { io.number(n); }
template<class Io> void pass(Io& io, bool& v) { io.flag(v); }
template<class Io> void pass(Io& io, std::string& v) { io.text(v); }
template<class Io> void pass(Io& io, Hash& v) { io.hash(v); }
template<class Io> void pass(Io& io, std::int64_t& v) {
    auto bits = static_cast<std::uint64_t>(v);
    io.number(bits);
    if constexpr (Io::reads) v = static_cast<std::int64_t>(bits);
}
template<class Io, class Id>
requires requires(Id id) { id.value; } && std::is_aggregate_v<Id>
void pass(Io& io, Id& id) {
    auto& [value] = id;
    pass(io, value);
}
template<class Io> void pass(Io& io, Instant& at) { io.number(at.ms); }
template<class Io, class Enum>
requires std::is_enum_v<Enum>
void pass_choice(Io& io, Enum& value, Enum first, Enum last) {
    if constexpr (Io::reads) {
        value = io.reader.choice(first, last);
    } else {
        put_choice(io.writer, value);
    }
}

template<class Io, class Item> void pass(Io& io, std::vector<Item>& list) {
    const std::uint32_t count = io.count(list.size(), 1);
    if constexpr (Io::reads) list.resize(count);
    for (Item& item : list) {
        if (!io.good()) return;
        pass(io, item);
    }
}
template<class Io, class Item> void pass(Io& io, std::optional<Item>& maybe) {
    bool there = maybe.has_value();
    io.flag(there);
    if constexpr (Io::reads) {
        maybe.reset();
        if (there) maybe.emplace();
    }
    if (maybe) pass(io, *maybe);
}
template<class Io, class Key, class Item> void pass(Io& io, std::map<Key, Item>& map) {
    std::uint32_t count = io.count(map.size(), 1);
    if constexpr (Io::reads) {
        for (; count > 0 && io.good(); --count) {
            Key key;
            pass(io, key);
            pass(io, map.try_emplace(map.end(), key)->second);
        }
    } else {
        for (auto& [key, item] : map) {
            Key same = key;
            pass(io, same);
            pass(io, item);
        }
    }
}

template<class Io, class Item> void pass(Io& io, std::set<Item>& set) {
    std::vector<Item> items(set.begin(), set.end());
    pass(io, items);
    if constexpr (Io::reads) set = std::set<Item>(items.begin(), items.end());
}

// -- what the canonical encoding has already

template<class Io> void pass(Io& io, CallId& id) {
    auto& [run, number] = id;
    pass(io, run);
    pass(io, number);
}
template<class Io> void pass(Io& io, Call& call) {
    if constexpr (Io::reads) {
        call = call_of(io.reader);
    } else {
        put(io.writer, call);
    }
}
template<class Io> void pass(Io& io, Result& result) {
    if constexpr (Io::reads) {
        result = result_of(io.reader);
    } else {
        put(io.writer, result);
    }
}

// -- the parts of Kept

template<class Io> void pass(Io& io, EpochBegan& epoch) {
    auto& [name, fold, rate, parent] = epoch;
    pass(io, name);
    pass(io, fold);
    pass(io, rate);
    pass(io, parent);
}
template<class Io> void pass(Io& io, EpochSpan& span) {
    auto& [epoch, first] = span;
    pass(io, epoch);
    pass(io, first);
}
template<class Io> void pass(Io& io, BoutLog& log) {
    auto& [entry, calls, committed, all_folded, folded, waiting, at_desk, known_at_desk, moving,
           gone, confirmed, by_calls, standing, standing_since, told, changed] = log;
    // `entry` is laid out anew from the competition; what is folded is made when it is asked for;
    // nothing waits or moves, so committed is all of them and both flags of the desk are one.
    pass(io, calls);
    pass(io, known_at_desk);
    pass(io, gone);
    pass(io, confirmed);
    pass(io, by_calls);
    pass(io, standing);
    pass(io, standing_since);
    pass(io, told);
    pass(io, changed);
    if constexpr (Io::reads) {
        committed = calls.size();
        at_desk = known_at_desk;
        waiting = 0;
        moving = false;
    }
}
template<class Io> void pass(Io& io, Mat& mat) {
    auto& [order, passed, term, before_epoch, holder, known_term, known_holder, hand, taken,
           differs, current, number, allotment_stale] = mat;
    // `order` is laid out anew; `passed` is found again; nothing waits, so what is decided about
    // term and holder is known.
    pass(io, known_term);
    pass(io, before_epoch);
    pass(io, known_holder);
    pass(io, hand);
    pass(io, taken);
    pass(io, differs);
    pass(io, current);
    pass(io, number);
    if constexpr (Io::reads) {
        term = known_term;
        holder = known_holder;
        passed = 0;
        allotment_stale = false;
    }
}
template<class Io> void pass(Io& io, GivenNumber& given) {
    auto& [content, verdict, record, state_differs] = given;
    pass(io, content);
    pass_choice(io, verdict, Verdict::none, Verdict::set_aside);
    pass(io, record);
    pass(io, state_differs);
}
template<class Io> void pass(Io& io, KnownRun& run) {
    auto& [device, given, committed, to_hub_ms, by_its_file_ms, least_delay_ms, came_itself] = run;
    // `to_hub_ms` is measured by whoever is connected, and in no record; so is the file's.
    pass(io, device);
    pass(io, given);
    pass(io, least_delay_ms);
    pass(io, came_itself);
    if constexpr (Io::reads) committed = given.size();
}
template<class Io> void pass(Io& io, Aside& item) {
    auto& [call, record, verdict, device, hand, decided] = item;
    // `decided` is on its way to the disk, and nothing is.
    pass(io, call);
    pass(io, record);
    pass_choice(io, verdict, Verdict::none, Verdict::set_aside);
    pass(io, device);
    pass(io, hand);
}
template<class Io> void pass(Io& io, Granted& granted) {
    auto& [until, mat] = granted;
    pass(io, until);
    pass(io, mat);
}
template<class Io> void pass(Io& io, Rights& rights) {
    for (Granted& granted : rights)
        pass(io, granted);
}
template<class Io> void pass(Io& io, ToldResult& told) {
    auto& [bout, white, blue, result, from, replaces, unlike_calls] = told;
    pass(io, bout);
    pass(io, white);
    pass(io, blue);
    pass(io, result);
    pass_choice(io, from, ResultFrom::table, ResultFrom::other_record);
    pass(io, replaces);
    pass(io, unlike_calls);
}
template<class Io> void pass(Io& io, Reopened& item) {
    auto& [number, mat, bout, replaces] = item;
    pass(io, number);
    pass(io, mat);
    pass(io, bout);
    pass(io, replaces);
}
template<class Io> void pass(Io& io, ToldItem& item) {
    auto& [number, confirmed, results, reopened, renamed] = item;
    pass(io, number);
    pass(io, confirmed);
    pass(io, results);
    pass(io, reopened);
    pass(io, renamed);
}

}  // namespace honbu::checkpoint
