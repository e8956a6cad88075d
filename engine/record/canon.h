// The canonical encoding: the one byte form of a call, a state, a rule set and a record.
//
// Fixed-width little-endian integers in declared order; a text is a u16 length and its UTF-8 bytes;
// a list is a u32 count and its items; a variant is a u8 kind and its fields. "Same content" and
// "identical bytes" mean this encoding, natively and in wasm. Layout: docs/journal.md.
// Decoding never trusts its input: anything off gives nothing. Pure functions, any thread.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "engine/bout/state.h"
#include "engine/record/record.h"

namespace honbu {

std::string encode(const Call& call);
std::string encode(const RuleSet& rules);
std::string encode(const State& state);
std::string encode(const Record& record);

std::optional<Call> decode_call(std::string_view bytes);
std::optional<RuleSet> decode_rules(std::string_view bytes);
std::optional<Record> decode_record(std::string_view bytes);

Hash sha256(std::string_view bytes);           // FIPS 180-4
std::uint32_t short_hash(const State& state);  // first 4 bytes of its SHA-256, big-endian
std::string hex(std::string_view bytes);
std::string hex(const Hash& hash);

}  // namespace honbu
