// What the hub answers over plain HTTP, worked out without a socket: pages, health, refusals.
//
// A pure function from a request to an answer, so all of it is tested without a connection. Every
// answer carries the same security headers; every refusal says what to do. Any thread.
#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "hub/certificates/names.h"
#include "hub/core/message.h"
#include "hub/feed/document.h"
#include "hub/net/pages.h"
#include "hub/net/target.h"
#include "hub/wire/flavour.h"

namespace honbu {

// The parts of a request that matter here. Views into whatever read it.
struct Request {
    std::string_view method;
    std::string_view target;
    std::string_view host;
    std::string_view if_none_match;
    std::string_view last_event_id;
    Entrance entrance = Entrance::hall;
    // of a WebSocket handshake (RFC 6455, 4.2.1)
    bool upgrade = false;
    std::string_view origin;
    std::string_view version;
    std::string_view key;
    std::string_view protocols;
};

struct Readiness {
    Epoch epoch;
    RecordNumber number;
    bool room = true;  // the disk is not full
};

struct Answer {
    unsigned status = 200;
    std::string_view content_type = "text/plain; charset=utf-8";
    std::string text;        // made for this answer, or
    std::string_view bytes;  // of a page: lives as long as the program; or
    SharedDocument document;
    std::string_view etag;   // views into the page or the document
    std::string_view cache;  // the Cache-Control field; empty: by the ETag
    std::string more;        // one more header line, with its line end
    bool head_only = false;  // HEAD, or nothing has changed
    bool endless = false;    // the content goes on until the connection ends

    std::string_view body() const {
        if (document) return document->body;
        return text.empty() ? bytes : std::string_view(text);
    }
};

inline constexpr std::string_view websocket_target = "/ws";

using DocumentOf = std::function<SharedDocument(const Wish&)>;
Answer answer(const Request& request, std::span<const Page> site, const Readiness& ready,
              const DocumentOf& document_of);
// May this handshake go on? Status 101 if so.
Answer answer_upgrade(const Request& request);
// WebSocket subprotocols (RFC 6455, 1.9): the first of those offered that the hub speaks.
std::string_view protocol_name(Flavour flavour);
std::optional<Flavour> flavour_of(std::string_view protocols);
Answer bad_request(std::string_view sentence);
Answer refused_for_now(std::string_view sentence);  // come back in some seconds
// The head of a stream of server-sent events, which follow it.
Answer events_answer();

// Is the request meant for this hub (RFC 9110, 7.4)? By any address, or by one of its names.
bool knows_host(const HubNames& names, std::string_view host);
Answer misdirected();

// The head of the message, up to and with the empty line. `host`: as the request names it.
std::string head(const Answer& answer, bool keep_alive, std::string_view date,
                 std::string_view host = {});

}  // namespace honbu
