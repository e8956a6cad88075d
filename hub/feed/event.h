// One server-sent event as text (HTML Living Standard, 9.2.5 and 9.2.6).
//
// Results and what is opened again carry an id, "epoch-number", which a browser gives back when it
// comes again; of several events of one item only the last does. Views carry none, since only the
// newest counts. Pure, any thread.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "hub/core/message.h"

namespace honbu {

// "9c41d7e20b6f5a18-42": where in which journal.
struct Position {
    Epoch epoch;
    RecordNumber number;
};

std::string mat_event(const Position& position, std::string_view mat_json);
std::string result_event(const Position& position, std::string_view result_json, bool with_id);
std::string reopened_event(const Position& position, std::string_view item_json, bool with_id);
std::string renamed_event(const Position& position, std::string_view item_json);
// What the hub is and where it stands: the first event of every stream.
std::string hub_event(std::string_view hub_json);
std::string goodbye_event(const Goodbye& goodbye);

std::string position_text(const Position& position);
std::optional<Position> position_of(std::string_view text);

}  // namespace honbu
