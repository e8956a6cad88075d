// What a request's target asks for, beside pages: documents and the stream of events.
//
// Reads addresses that come from anywhere; what is not one of ours is nothing, or a sentence that
// says what is wrong with it. docs/http.md lists them all. Pure, any thread.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include "hub/core/message.h"

namespace honbu {

// One document. Numbers that no mat or bout can have are no wish.
struct Wish {
    enum class Kind : std::uint8_t {
        hub,
        mats,
        mat,
        call_list,
        results,
        results_csv,
        sheet,
        sheet_csv,
        metrics,
        status,
        openapi,
    };
    Kind kind = Kind::hub;
    MatId mat;
    BoutId bout;
};
std::optional<Wish> wish_of(std::string_view target);
std::string no_such(const Wish& wish);  // "This competition has no mat 7."

// GET /v1/events?mats=1,2&results_after=0
struct EventsWish {
    Subscribe what;
    std::optional<Epoch> of;  // the journal in which results_after is a position
};
bool asks_for_events(std::string_view target);
std::variant<EventsWish, std::string> events_wish(std::string_view target,
                                                  std::string_view last_event_id);

inline constexpr std::string_view open_target = "/v1";

}  // namespace honbu
