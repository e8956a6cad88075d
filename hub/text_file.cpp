#include "hub/text_file.h"

#include <cerrno>
#include <fstream>
#include <iterator>
#include <system_error>
#include <utility>

namespace honbu {
namespace {

constexpr std::uintmax_t size_max = 4 * 1024 * 1024;

}  // namespace

OrFault<std::string> read_text(const std::filesystem::path& file) {
    const auto fault = [&file](const std::string& reason) {
        return Fault{"The file " + file.string() + " can't be read (" + reason + ")."};
    };
    std::error_code failed;
    if (!std::filesystem::exists(file, failed)) return fault("there is no such file");
    if (!std::filesystem::is_regular_file(file, failed)) return fault("it is not a file");
    if (std::filesystem::file_size(file, failed) > size_max) return fault("it is too big");
    std::ifstream in(file, std::ios::binary);
    if (!in) return fault(std::generic_category().message(errno));
    std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    if (in.bad()) return fault("reading broke off");
    // Said in full, since a text could also be the words of a Fault.
    return OrFault<std::string>(boost::system::in_place_value, std::move(text));
}

}  // namespace honbu
