// The usual slips of people who write JSON by hand, in words that help to mend them.
//
// Stricter than protobuf's parser, which lets single quotes and a comma too many pass: what is
// taken here is JSON (RFC 8259) for any other program as well. It looks at the marks only; whether
// names and values are right is protobuf's and the schema's to say. Pure, any thread.
#pragma once

#include <string>
#include <string_view>

namespace honbu::wire {

// Where the object stands: the advice differs.
enum class Slips { on_a_line, of_a_message };

// What is wrong with an object, as a sentence; empty: nothing that is known here.
std::string json_slip(std::string_view text, Slips where = Slips::on_a_line);

// What protobuf's parser says, in plain words where they are known.
std::string plainer(std::string_view parser_words);

}  // namespace honbu::wire
