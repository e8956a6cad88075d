#include "engine/record/canon.h"

#include "engine/record/parts.h"

namespace honbu {

std::string encode(const Call& call) {
    Writer w;
    put(w, call);
    return w.take();
}

std::string encode(const RuleSet& rules) {
    Writer w;
    put(w, rules);
    return w.take();
}

std::optional<Call> decode_call(std::string_view bytes) {
    Reader r(bytes);
    Call call = call_of(r);
    if (!r.complete()) return std::nullopt;
    return call;
}

std::optional<RuleSet> decode_rules(std::string_view bytes) {
    Reader r(bytes);
    RuleSet rules = rules_of(r);
    if (!r.complete()) return std::nullopt;
    return rules;
}

std::uint32_t short_hash(const State& state) {
    const Hash h = sha256(encode(state));
    return std::uint32_t{h[0]} << 24 | std::uint32_t{h[1]} << 16 | std::uint32_t{h[2]} << 8 |
           std::uint32_t{h[3]};
}

}  // namespace honbu
