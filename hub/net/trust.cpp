#include "hub/net/trust.h"

#include <algorithm>
#include <string_view>
#include <utility>

#include "hub/clock.h"

namespace honbu {
namespace {

constexpr std::string_view nothing_to_trust =
    "<main>\n<p class=\"lead\">There is nothing to do here: this hub has no authority of its own. "
    "It is not encrypted, or its certificate is from somebody whom your device knows already. "
    "Whoever runs the hub can say which.</p>\n</main>\n</body>\n</html>\n";

std::string day(std::int64_t unix_s) {
    return wall_text(static_cast<std::uint64_t>(unix_s) * 1'000);
}

std::string escaped(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c == '<') {
            out += "&lt;";
        } else if (c == '>') {
            out += "&gt;";
        } else if (c == '&') {
            out += "&amp;";
        } else if (c == '"') {
            out += "&quot;";
        } else {
            out += c;
        }
    }
    return out;
}

void fill(std::string& page, std::string_view place, const std::string& with) {
    const std::string text = escaped(with);
    for (std::size_t at = page.find(place); at != std::string::npos;
         at = page.find(place, at + text.size())) {
        page.replace(at, place.size(), text);
    }
}

}  // namespace

Trust trust_of(const Identity& identity, std::span<const Page> site) {
    Trust trust;
    const auto found = std::find_if(site.begin(), site.end(),
                                    [](const Page& page) { return page.path == "/trust.html"; });
    if (found != site.end()) trust.page = found->bytes;
    if (identity.given()) trust.until_unix_s = identity.until_unix_s;
    if (identity.fingerprint.empty()) {
        const std::size_t main = trust.page.find("<main>");
        if (main != std::string::npos)
            trust.page.replace(main, std::string::npos, nothing_to_trust);
        return trust;
    }
    trust.pem = identity.authority;
    trust.der = der_of(identity.authority);
    const std::size_t half = identity.fingerprint.size() / 2;
    fill(trust.page, "{{names}}", identity.names.in_words());
    fill(trust.page, "{{until}}", day(identity.until_unix_s));
    fill(trust.page, "{{fingerprint_1}}", identity.fingerprint.substr(0, half));
    fill(trust.page, "{{fingerprint_2}}", identity.fingerprint.substr(half + 1));
    return trust;
}

std::optional<Answer> trust_answer(const Trust& trust, const Request& request) {
    if (request.method != "GET" && request.method != "HEAD") return std::nullopt;
    const std::string_view path = request.target.substr(0, request.target.find_first_of("?#"));
    Answer found;
    if ((path == "/trust" || path == "/trust.html") && !trust.page.empty()) {
        found.content_type = "text/html; charset=utf-8";
        found.bytes = trust.page;
    } else if (path == "/authority.crt" && !trust.der.empty()) {
        found.content_type = "application/x-x509-ca-cert";
        found.bytes = trust.der;
    } else if (path == "/authority.pem" && !trust.pem.empty()) {
        found.content_type = "application/x-pem-file";
        found.bytes = trust.pem;
    } else if (path == "/certificate.json" && trust.until_unix_s != 0) {
        const auto now = static_cast<std::int64_t>(wall_ms() / 1'000);
        found.content_type = "application/json";
        found.text = "{\"ends\":\"" + day(trust.until_unix_s) +
                     "\",\"hoursLeft\":" + std::to_string((trust.until_unix_s - now) / 3'600) +
                     "}\n";
    } else {
        return std::nullopt;
    }
    found.head_only = request.method == "HEAD";
    return found;
}

}  // namespace honbu
