// A whole answer for everybody, as bytes with their name and version. Made once, then shared by all
// who ask. Constant, any thread.
#pragma once

#include <memory>
#include <string>
#include <string_view>

namespace honbu {

struct Document {
    std::string content_type;
    std::string body;
    std::string etag;                     // with its quotes; empty: never the same twice
    std::string_view cache = "no-store";  // the Cache-Control field
    std::string file_name;                // to be kept under; empty: to be shown
};
using SharedDocument = std::shared_ptr<const Document>;

inline constexpr std::string_view json_type = "application/json";
inline constexpr std::string_view csv_type = "text/csv; charset=utf-8; header=present";
// A second old at most; whoever asks more often gets it from a cache on the way.
inline constexpr std::string_view for_a_second = "public, max-age=1";

}  // namespace honbu
