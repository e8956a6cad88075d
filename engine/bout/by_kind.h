// What a call holds, given to a visitor: std::visit by a switch.
//
// std::visit goes through a table of one function per kind, which no compiler looks into: with 37
// kinds, of which a visitor often treats most alike, that was a sixth of honbu.wasm. Pure, any
// thread.
#pragma once

#include <cstddef>
#include <type_traits>
#include <utility>
#include <variant>

namespace honbu {

template<std::size_t Kind = 0, class Visitor, class Variant>
[[gnu::always_inline]] constexpr decltype(auto) by_kind(Visitor&& visitor, Variant&& of) {
    constexpr std::size_t kinds = std::variant_size_v<std::remove_cvref_t<Variant>>;
    if constexpr (Kind + 1 < kinds) {
        if (of.index() != Kind) return by_kind<Kind + 1>(visitor, of);
    }
    return visitor(*std::get_if<Kind>(&of));
}

}  // namespace honbu
