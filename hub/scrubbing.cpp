#include "hub/scrubbing.h"

#include <algorithm>
#include <regex>

namespace honbu {
namespace {

constexpr std::size_t short_word = 2;  // such words are no names by themselves

// Of a word: letters and digits, and whatever is not ASCII.
bool in_word(char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte >= 0x80 || (byte >= '0' && byte <= '9') || (byte >= 'A' && byte <= 'Z') ||
           (byte >= 'a' && byte <= 'z');
}

// Gives each word, and what stands between, in order.
template<class Each> void pieces(std::string_view text, const Each& each) {
    while (!text.empty()) {
        const bool word = in_word(text.front());
        std::size_t end = 1;
        while (end < text.size() && in_word(text[end]) == word)
            ++end;
        each(text.substr(0, end), word);
        text.remove_prefix(end);
    }
}

std::string by_form(const std::string& line) {
    struct Form {
        std::regex form;
        const char* instead;
    };
    static const Form forms[] = {
        {std::regex(R"(\b[0-9]{1,3}(\.[0-9]{1,3}){3}\b)"), "(address)"},
        {std::regex(R"(\b([0-9a-fA-F]{0,4}:){2,7}[0-9a-fA-F]{0,4}\b(?![0-9]*[ .,]))"), "(address)"},
        {std::regex(R"(\b[0-9a-fA-F]{12,}\b)"), "(id)"},
        {std::regex(R"([A-Za-z0-9_-]{32,})"), "(secret)"},
        {std::regex(R"(/(home|media|mnt|root|run/media)/[^ ,;:'")]*)"), "(folder)"},
        {std::regex(R"(\?[^ ]*)"), "(query)"},
    };
    std::string out = line;
    for (const Form& one : forms)
        out = std::regex_replace(out, one.form, one.instead);
    return out;
}

}  // namespace

void Scrubbing::never_whole(std::string_view phrase) {
    if (phrase.size() <= short_word) return;
    const auto shorter = [&phrase](const std::string& one) { return one.size() < phrase.size(); };
    if (std::find(phrases_.begin(), phrases_.end(), phrase) != phrases_.end()) return;
    phrases_.emplace(std::find_if(phrases_.begin(), phrases_.end(), shorter), phrase);
}

void Scrubbing::never(std::string_view names) {
    while (!names.empty()) {
        const auto control = [](char c) { return static_cast<unsigned char>(c) < 0x20; };
        const auto end = std::find_if(names.begin(), names.end(), control);
        const auto size = static_cast<std::size_t>(end - names.begin());
        const std::string_view name = names.substr(0, size);
        names.remove_prefix(std::min(size + 1, names.size()));
        never_whole(name);
        pieces(name, [this](std::string_view piece, bool word) {
            const bool lower = piece.front() >= 'a' && piece.front() <= 'z';
            if (word && !lower && piece.size() > short_word) words_.emplace(piece);
        });
    }
}

std::string Scrubbing::scrubbed(std::string_view text) const {
    constexpr std::size_t line_max = 2'000;  // what is longer was written by nobody of ours
    std::string out;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        std::string whole(text.substr(0, std::min(end, line_max)));
        for (const std::string& phrase : phrases_) {
            for (std::size_t at = 0; (at = whole.find(phrase, at)) != std::string::npos;)
                whole.replace(at, phrase.size(), "(name)");
        }
        std::string line;
        pieces(whole, [&](std::string_view piece, bool word) {
            line += word && words_.contains(piece) ? std::string_view("(name)") : piece;
        });
        out += by_form(line);
        if (end < text.size()) out += '\n';
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return out;
}

}  // namespace honbu
