#include "hub/rule_files.h"

#include <utility>

#include "hub/text_file.h"

namespace honbu {

OrFault<KnownRules> read_rule_files(const std::vector<std::string>& files) {
    KnownRules known;
    for (const std::string& file : files) {
        const auto text = read_text(file);
        if (!text && known.find(file) != nullptr) {
            return Fault{"--rules takes a file, and " + file +
                         " is a rule set that comes with the program: leave --rules " + file +
                         " out, it is known already."};
        }
        if (!text) return text.error();
        if (const auto fault = known.add(*text)) {
            return Fault{"The rule set file can't be used. " + words(file, *fault)};
        }
    }
    return known;
}

}  // namespace honbu
