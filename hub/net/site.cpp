#include "hub/net/site.h"

#include <algorithm>
#include <array>

#include "engine/record/canon.h"
#include "hub/net/entrance.h"

namespace honbu {
namespace {

// Only what comes from this hub runs, and only wasm may be compiled (W3C CSP 3). Nothing else is
// asked for, sent to, framed or framing: what slipped into a page could neither run nor tell. A
// page speaks to the hub it came from: its own WebSocket is named, since older Safari does not
// count it to 'self'. No Strict-Transport-Security: it would hold for the whole name and every port
// of it, long after the event, and other services may live there in plain (RFC 6797, 8.3, 11.4).
constexpr std::string_view policy_begin =
    "Content-Security-Policy: default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; "
    "style-src 'self'; img-src 'self' data:; font-src 'self'; media-src 'self'; "
    "manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'; connect-src 'self'";
constexpr std::string_view security_headers =
    "X-Content-Type-Options: nosniff\r\n"
    "Referrer-Policy: no-referrer\r\n"
    "Permissions-Policy: camera=(self), geolocation=(), microphone=(), payment=(), usb=()\r\n"
    "Cross-Origin-Opener-Policy: same-origin\r\n"
    "Cross-Origin-Resource-Policy: same-origin\r\n";

// Letters, digits, dots, hyphens, and a port or the brackets of an address: nothing that could end
// a header's field or a policy's part.
bool is_plain_host(std::string_view host) {
    return !host.empty() && std::all_of(host.begin(), host.end(), [](char c) {
        return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
               c == '.' || c == '-' || c == ':' || c == '[' || c == ']';
    });
}

std::string policy(std::string_view host) {
    std::string out(policy_begin);
    if (is_plain_host(host)) {
        for (const char* const scheme : {" ws://", " wss://"}) {
            out += scheme;
            out += host;
        }
    }
    return out + "\r\n";
}

std::string_view reason_phrase(unsigned status) {
    switch (status) {
    case 200: return "OK";
    case 304: return "Not Modified";
    case 400: return "Bad Request";
    case 403: return "Forbidden";
    case 404: return "Not Found";
    case 405: return "Method Not Allowed";
    case 421: return "Misdirected Request";
    case 426: return "Upgrade Required";
    case 503: return "Service Unavailable";
    }
    return "Unknown";
}

Answer sentence(unsigned status, std::string_view words) {
    Answer answer;
    answer.status = status;
    answer.text = std::string(words) + "\n";
    return answer;
}

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

bool same_ignoring_case(std::string_view a, std::string_view b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                      [](char x, char y) { return lower(x) == lower(y); });
}

std::string_view trimmed(std::string_view text) {
    const auto is_space = [](char c) { return c == ' ' || c == '\t'; };
    while (!text.empty() && is_space(text.front()))
        text.remove_prefix(1);
    while (!text.empty() && is_space(text.back()))
        text.remove_suffix(1);
    return text;
}

// Is this one of the items of a comma-separated list?
template<class Same> bool lists(std::string_view list, const Same& same) {
    for (;;) {
        const std::size_t comma = list.find(',');
        if (same(trimmed(list.substr(0, comma)))) return true;
        if (comma == std::string_view::npos) return false;
        list.remove_prefix(comma + 1);
    }
}

// If-None-Match compares weakly (RFC 9110, 13.1.2): W/ does not count.
bool matches(std::string_view if_none_match, std::string_view etag) {
    if (if_none_match.empty() || etag.empty()) return false;
    return lists(if_none_match, [etag](std::string_view item) {
        if (item.starts_with("W/")) item.remove_prefix(2);
        return item == etag || item == "*";
    });
}

const Page* find(std::span<const Page> site, std::string_view path) {
    const auto found = std::find_if(site.begin(), site.end(),
                                    [path](const Page& page) { return page.path == path; });
    return found == site.end() ? nullptr : &*found;
}

// "/table" is short for "/table.html", and "/" for "/index.html", or for what the crowd sees first.
const Page* page_for(std::span<const Page> site, std::string_view target, Entrance entrance) {
    const std::string_view path = target.substr(0, target.find_first_of("?#"));
    const std::string_view first = entrance == Entrance::hall ? "/index.html" : "/watch.html";
    const Page* page = find(site, path == "/" ? first : path);
    if (page == nullptr) page = find(site, std::string(path) + ".html");
    return page != nullptr && leads_to(entrance, page->path) ? page : nullptr;
}

Answer readiness(const Readiness& ready) {
    Answer answer;
    answer.status = ready.room ? 200 : 503;
    answer.content_type = "application/json";
    std::string epoch;
    for (int shift = 56; shift >= 0; shift -= 8) {
        const char byte = static_cast<char>(ready.epoch.value >> shift & 0xFFU);
        epoch += hex(std::string_view(&byte, 1));
    }
    answer.text = "{\"epoch\":\"" + epoch + "\",\"number\":" + std::to_string(ready.number.value) +
                  ",\"room\":" + (ready.room ? "true" : "false") + "}\n";
    return answer;
}

Answer documented(const Request& request, const SharedDocument& document) {
    Answer answer;
    answer.content_type = document->content_type;
    answer.document = document;
    answer.etag = document->etag;
    answer.cache = document->cache;
    if (!document->file_name.empty()) {
        answer.more = "Content-Disposition: attachment; filename=\"" + document->file_name +
                      "\"\r\n";
    }
    if (matches(request.if_none_match, document->etag)) {
        answer.status = 304;
        answer.head_only = true;
    }
    return answer;
}

// The host of a page's origin, as the Host header would write it: without the scheme's usual port.
std::string_view host_of(std::string_view origin) {
    constexpr std::array<std::array<std::string_view, 2>, 2> usual{
        {{"http://", ":80"}, {"https://", ":443"}}};
    for (const auto& [scheme, port] : usual) {
        if (!same_ignoring_case(origin.substr(0, scheme.size()), scheme)) continue;
        origin.remove_prefix(scheme.size());
        if (origin.ends_with(port)) origin.remove_suffix(port.size());
        return origin;
    }
    return {};
}

bool is_own_page(std::string_view origin, std::string_view host) {
    const std::string_view from = host_of(origin);
    if (from.empty()) return false;
    if (same_ignoring_case(from, host)) return true;
    // A Host that spells out the usual port names the same place.
    for (const std::string_view port : {std::string_view(":80"), std::string_view(":443")}) {
        if (host.ends_with(port) &&
            same_ignoring_case(from, host.substr(0, host.size() - port.size())))
            return true;
    }
    return false;
}

}  // namespace

Answer bad_request(std::string_view words) { return sentence(400, words); }

Answer refused_for_now(std::string_view words) {
    Answer refusal = sentence(503, words);
    refusal.more = "Retry-After: 5\r\n";
    return refusal;
}

Answer events_answer() {
    Answer answer;
    answer.content_type = "text/event-stream";
    answer.cache = "no-store";
    answer.endless = true;
    return answer;
}

Answer answer(const Request& request, std::span<const Page> site, const Readiness& ready,
              const DocumentOf& document_of) {
    if (request.method != "GET" && request.method != "HEAD") {
        Answer refusal = sentence(405, "Pages can only be read here, with GET or HEAD.");
        refusal.more = "Allow: GET, HEAD\r\n";
        return refusal;
    }
    Answer found;
    if (request.target == "/healthz") {
        found.text = "ok\n";
    } else if (request.target == "/readyz") {
        found = readiness(ready);
    } else if (request.target == websocket_target) {
        found = sentence(426, "This address is for pages of the hub, which speak WebSocket here.");
        found.more = "Upgrade: websocket\r\n";
    } else if (const auto wish = wish_of(request.target);
               wish && leads_to(request.entrance, *wish)) {
        const SharedDocument document = document_of(*wish);
        found = document ? documented(request, document) : sentence(404, no_such(*wish));
    } else if (request.target.starts_with(open_target)) {
        found = sentence(404, "There is no such address; /openapi.json lists those of this hub.");
    } else if (const Page* page = page_for(site, request.target, request.entrance);
               page != nullptr) {
        found.content_type = page->content_type;
        found.bytes = page->bytes;
        found.etag = page->etag;
        if (matches(request.if_none_match, page->etag)) {
            found.status = 304;
            found.head_only = true;
        }
    } else {
        found = sentence(404, "There is no such page on this hub. Its start page is /");
    }
    if (request.method == "HEAD") found.head_only = true;
    return found;
}

Answer answer_upgrade(const Request& request) {
    const std::string_view path = request.target.substr(0, request.target.find('?'));
    if (path != websocket_target) {
        return sentence(404, "The hub speaks WebSocket at /ws only.");
    }
    // A browser always says whose page is asking. A page of another place could otherwise score
    // through the browser of whoever looks at it.
    if (!request.origin.empty() && !is_own_page(request.origin, request.host)) {
        return sentence(403, "Only pages that come from this hub may connect to it.");
    }
    if (request.version != "13") {
        Answer refusal = sentence(426, "The hub speaks WebSocket version 13 (RFC 6455).");
        refusal.more = "Upgrade: websocket\r\nSec-WebSocket-Version: 13\r\n";
        return refusal;
    }
    constexpr std::size_t key_size = 24;  // 16 bytes in base64
    if (request.key.size() != key_size) {
        return bad_request("The WebSocket handshake carries no proper Sec-WebSocket-Key.");
    }
    if (!flavour_of(request.protocols)) {
        return bad_request("The hub speaks the WebSocket subprotocols honbu.v1.proto and "
                           "honbu.v1.json; offer one of them.");
    }
    Answer yes;
    yes.status = 101;
    return yes;
}

std::string_view protocol_name(Flavour flavour) {
    return flavour == Flavour::json ? "honbu.v1.json" : "honbu.v1.proto";
}

std::optional<Flavour> flavour_of(std::string_view protocols) {
    std::optional<Flavour> first;
    lists(protocols, [&first](std::string_view offered) {
        for (const Flavour flavour : {Flavour::binary, Flavour::json}) {
            if (offered == protocol_name(flavour)) first = flavour;
        }
        return first.has_value();
    });
    return first;
}

// A name that a stranger's server leads here would make his page one of this hub's (DNS rebinding);
// an address can't be led elsewhere.
bool knows_host(const HubNames& names, std::string_view host) {
    std::string_view name = host;
    if (name.starts_with('[')) {
        const std::size_t end = name.find(']');
        if (end == std::string_view::npos) return false;
        return !address_bytes(std::string(name.substr(1, end - 1))).empty();
    }
    name = name.substr(0, name.rfind(':'));
    return !address_bytes(std::string(name)).empty() || names.cover(name);
}

Answer misdirected() {
    return sentence(421, "This hub does not know itself by that name. Open it by its address, or "
                         "have it started with --name and this name.");
}

std::string head(const Answer& answer, bool keep_alive, std::string_view date,
                 std::string_view host) {
    std::string out = "HTTP/1.1 " + std::to_string(answer.status) + " ";
    out += reason_phrase(answer.status);
    out += "\r\nDate: ";
    out += date;
    out += "\r\n";
    if (answer.status != 304) {
        out += "Content-Type: ";
        out += answer.content_type;
        out += "\r\n";
        if (!answer.endless) {
            out += "Content-Length: " + std::to_string(answer.body().size()) + "\r\n";
        }
    }
    // Pages change with the program only; asking again costs one short 304.
    const std::string_view by_etag = answer.etag.empty() ? "no-store" : "no-cache";
    out += "Cache-Control: ";
    out += answer.cache.empty() ? by_etag : answer.cache;
    out += "\r\n";
    if (!answer.etag.empty()) {
        out += "ETag: ";
        out += answer.etag;
        out += "\r\n";
    }
    out += answer.more;
    out += policy(host);
    out += security_headers;
    out += keep_alive ? "\r\n" : "Connection: close\r\n\r\n";
    return out;
}

}  // namespace honbu
