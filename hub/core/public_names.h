// What the public is shown of a name: all of it, its initials, or none.
//
// The public is whoever has no right here: phones, overlays, a results page. Tables, desk and the
// hall's own displays see names whatever is set. Where names are cut, clubs go as well: initials,
// club and weight class together would name a child to anybody who looks at the club's page. What
// is erased stays what stands in its place. Pure functions, any thread.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "hub/core/message.h"
#include "hub/core/sheet.h"

namespace honbu {

// "Aiko Brandt" and "Brandt, Aiko": "A. B."; "Jean-Luc van der Meer": "J.-L. v. d. M.". Of each
// part the first letter with its marks (UAX #29: a base, what extends it), as it is written.
std::string initials(std::string_view name);

// What stands where an erased name stood: it tells two apart, and nothing more.
std::string name_of_erased(PersonId person);

BoutHead publicly(BoutHead head, PublicNames names);
MatView publicly(MatView view, PublicNames names);
CallList publicly(CallList list, PublicNames names);
Finished publicly(Finished item, PublicNames names);
BoutSheet publicly(BoutSheet sheet, PublicNames names);

}  // namespace honbu
