// What each entrance is for: whether a page, a document or a command may pass it.
//
// The hall's entrance lets everything through, and the hub behind it asks who may. The crowd's is
// only looked through: no page that scores is there, and what such a page would say is turned away
// before the hub hears of it. Pure, any thread.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "hub/core/message.h"
#include "hub/net/target.h"

namespace honbu {

// A file of the site, by its path: "/table.html".
bool leads_to(Entrance entrance, std::string_view page);
bool leads_to(Entrance entrance, const Wish& document);
// Nothing: it may pass. Else what is said about it, and a hello's connection ends with that.
std::optional<std::string> turned_away(Entrance entrance, const Command& command);

}  // namespace honbu
