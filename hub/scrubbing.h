// Takes out of a text what is nobody else's business, before it goes into a support bundle: names
// of people, clubs and the competition, addresses, ids, codes, and whose home a folder is in.
//
// Names are those that the journal knows, as a whole and word by word; the rest goes by its form.
// Rather a word too many than one too few. Any thread.
#pragma once

#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace honbu {

class Scrubbing {
public:
    // A name, a title, or several with control characters between: each goes as a whole, and so do
    // its words that begin with a capital, as names do.
    void never(std::string_view names);
    void never_whole(std::string_view phrase);
    std::string scrubbed(std::string_view text) const;

private:
    std::set<std::string, std::less<>> words_;
    std::vector<std::string> phrases_;  // the longest first
};

}  // namespace honbu
