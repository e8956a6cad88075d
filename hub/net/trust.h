// How a device learns to trust the hub: the page /trust, and the authority's certificate to take
// along, at both entrances.
//
// The page comes with the program and has places for what is this hub's own. Made once at the
// start; then constant. Any thread.
#pragma once

#include <optional>
#include <span>
#include <string>

#include "hub/certificates/identity.h"
#include "hub/net/pages.h"
#include "hub/net/site.h"

namespace honbu {

struct Trust {
    std::string page;  // empty: there is none in the site
    std::string pem;   // empty: there is no authority of ours
    std::string der;
    std::int64_t until_unix_s = 0;  // of the hub's certificate, whoever it is from; 0: none
};
Trust trust_of(const Identity& identity, std::span<const Page> site);
// Nothing: the request is for something else.
std::optional<Answer> trust_answer(const Trust& trust, const Request& request);

}  // namespace honbu
