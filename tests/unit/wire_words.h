// What the reader of the wire says of a message, and what comes back of a command.
#pragma once

#include <gtest/gtest.h>

#include <string>
#include <string_view>
#include <variant>

#include "honbu/v1/hub.pb.h"
#include "hub/wire/wire.h"

namespace honbu {

// Written and read again.
template<class T> T read_back(const Command& command) {
    auto read = from_wire(to_wire(command));
    if (const auto* fault = std::get_if<WireFault>(&read)) {
        ADD_FAILURE() << fault->words;
        return T{};
    }
    const Command& back = std::get<Command>(read);
    EXPECT_TRUE(std::holds_alternative<T>(back)) << "came back as another kind of command";
    const T* found = std::get_if<T>(&back);
    return found ? *found : T{};
}

inline std::string fault_words(std::string_view bytes) {
    const auto read = from_wire(bytes);
    const auto* fault = std::get_if<WireFault>(&read);
    return fault ? fault->words : "";
}
inline std::string fault_words(const v1::ToHub& message) {
    return fault_words(message.SerializeAsString());
}

// One sentence, and it names the place.
inline void expect_fault(const v1::ToHub& message, std::string_view place) {
    const std::string words = fault_words(message);
    EXPECT_FALSE(words.empty()) << "taken: " << message.ShortDebugString();
    EXPECT_NE(words.find(place), std::string::npos) << words;
    ASSERT_FALSE(words.empty());
    EXPECT_EQ(words.back(), '.');
    EXPECT_EQ(words.find('\n'), std::string::npos);
}

}  // namespace honbu
