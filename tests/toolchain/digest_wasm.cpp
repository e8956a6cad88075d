// The digest over generated bouts as a small wasm beside honbu.wasm, from the same objects of the
// engine. Not shipped; state_digest.mjs drives it. Asks its host for nothing.
#include "tests/generate/digest.h"

namespace {

honbu::Hash so_far{};

}  // namespace

extern "C" [[clang::export_name("digest_more")]] void digest_more(std::uint32_t first,
                                                                  std::uint32_t count) {
    so_far = honbu::generate::digest(first, count, so_far);
}
extern "C" [[clang::export_name("digest_byte")]] std::uint32_t digest_byte(std::uint32_t which) {
    return so_far.at(which);
}
