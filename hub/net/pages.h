// The pages, scripts, styles and honbu.wasm as the program carries them: every file of the web
// build, sorted by path.
//
// Generated and linked in by clients/web/CMakeLists.txt, so the hub needs no folder of files beside
// it. Constant for the life of the program, so views into it never dangle. Any thread.
#pragma once

#include <span>
#include <string_view>

namespace honbu {

struct Page {
    std::string_view path;  // "/table.html"
    std::string_view content_type;
    std::string_view bytes;
    std::string_view etag;  // with its quotes, as it goes into the header line
};
std::span<const Page> pages();

}  // namespace honbu
