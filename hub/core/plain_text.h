// Text that people write and read, character by character, and the one rule for what may be in it.
//
// A name, a club, a title, a reason or a question is one line that shows all it holds. Control
// characters are refused where text comes in. What can't be seen and changes what is seen (it turns
// the direction of writing, or makes two names look alike) is a fault in a file, where a person can
// mend it, and taken out of what a client sends, where it would only hold up a call. Pure, any
// thread.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace honbu {

// The next character of UTF-8 text, which is taken from its front; what is none counts as U+FFFD.
char32_t take_character(std::string_view& text);

// Line breaks, tabs and the like, also those beyond ASCII.
bool has_control(std::string_view text);

// The first character that can't be seen and has no business in a name. Joiners between two
// letters beyond ASCII are needed to write some languages, and stay.
std::optional<char32_t> hidden_in(std::string_view text);
std::string without_hidden(std::string_view text);

// What is wrong with a text in a file, after "it"; empty: nothing.
std::string text_problem(std::string_view text);

std::string code_point_text(char32_t character);  // "U+202E"

}  // namespace honbu
