// What a person may have meant by a word that is not known. Pure, any thread.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace honbu {

// How many letters differ (Levenshtein).
std::size_t letters_apart(std::string_view a, std::string_view b);

// At most `count` of them, the most similar first. What they all begin with may be left out in what
// was given, capitals and blanks do not matter: "head dive" is near to "PENALTY_REASON_HEAD_DIVE".
std::vector<std::string> nearest(std::vector<std::string> known, std::string_view given,
                                 std::size_t count);

}  // namespace honbu
