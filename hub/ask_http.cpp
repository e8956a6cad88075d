#include "hub/ask_http.h"

#include <array>
#include <cerrno>
#include <memory>
#include <optional>
#include <system_error>

#include <netdb.h>
#include <openssl/err.h>
#include <openssl/ssl.h>
#include <openssl/x509v3.h>
#include <sys/socket.h>
#include <unistd.h>

namespace honbu {
namespace {

constexpr std::size_t answer_max = 4U * 1024U * 1024U;

struct Place {
    bool encrypted = false;
    std::string host;
    std::string port;
};

std::optional<Place> place_of(std::string url) {
    Place place;
    if (url.starts_with("https://")) {
        place.encrypted = true;
        url.erase(0, 8);
    } else if (url.starts_with("http://")) {
        url.erase(0, 7);
    } else {
        return std::nullopt;
    }
    url = url.substr(0, url.find('/'));
    const std::size_t colon = url.rfind(':');
    const bool has_port = colon != std::string::npos && url.find(']', colon) == std::string::npos;
    place.port = has_port ? url.substr(colon + 1) : place.encrypted ? "443" : "80";
    place.host = url.substr(0, has_port ? colon : std::string::npos);
    if (place.host.starts_with('[') && place.host.ends_with(']')) {
        place.host = place.host.substr(1, place.host.size() - 2);
    }
    if (place.host.empty() || place.port.empty()) return std::nullopt;
    return place;
}

// A connected socket, closed with its owner; -1: none.
struct Socket {
    int file = -1;
    Socket() = default;
    Socket(const Socket&) = delete;
    Socket& operator=(const Socket&) = delete;
    ~Socket() {
        if (file >= 0) close(file);
    }
};

// Why not; empty: connected.
std::string connect(const Place& place, std::chrono::seconds patience, Socket& socket) {
    addrinfo hints{};
    hints.ai_socktype = SOCK_STREAM;
    addrinfo* found = nullptr;
    const int failed = getaddrinfo(place.host.c_str(), place.port.c_str(), &hints, &found);
    if (failed != 0) return gai_strerror(failed);
    const std::unique_ptr<addrinfo, void (*)(addrinfo*)> all(found, freeaddrinfo);
    timeval wait{};
    wait.tv_sec = patience.count();
    std::string why = "no address";
    for (const addrinfo* one = found; one != nullptr; one = one->ai_next) {
        const int file = ::socket(one->ai_family, one->ai_socktype | SOCK_CLOEXEC,
                                  one->ai_protocol);
        if (file < 0) continue;
        setsockopt(file, SOL_SOCKET, SO_RCVTIMEO, &wait, sizeof wait);
        setsockopt(file, SOL_SOCKET, SO_SNDTIMEO, &wait, sizeof wait);
        if (::connect(file, one->ai_addr, one->ai_addrlen) == 0) {
            socket.file = file;
            return {};
        }
        why = std::generic_category().message(errno);
        close(file);
    }
    return why;
}

using Ssl = std::unique_ptr<SSL, void (*)(SSL*)>;
using SslContext = std::unique_ptr<SSL_CTX, void (*)(SSL_CTX*)>;

bool is_address(const std::string& host) {
    addrinfo hints{};
    hints.ai_flags = AI_NUMERICHOST;
    addrinfo* found = nullptr;
    if (getaddrinfo(host.c_str(), nullptr, &hints, &found) != 0) return false;
    freeaddrinfo(found);
    return true;
}

// Why not; empty: the line is encrypted, and checked as far as was asked for.
std::string encrypt(const HttpQuestion& question, const Place& place, SSL_CTX* context, SSL* line,
                    int file) {
    if (question.checked) {
        SSL_set_verify(line, SSL_VERIFY_PEER, nullptr);
        const bool known = question.authority.empty()
                               ? SSL_CTX_set_default_verify_paths(context) == 1
                               : SSL_CTX_load_verify_locations(context, question.authority.c_str(),
                                                               nullptr) == 1;
        if (!known) return "the authorities can't be read";
        if (is_address(place.host)) {
            X509_VERIFY_PARAM_set1_ip_asc(SSL_get0_param(line), place.host.c_str());
        } else {
            SSL_set1_host(line, place.host.c_str());
        }
    }
    if (!is_address(place.host)) SSL_set_tlsext_host_name(line, place.host.c_str());
    SSL_set_fd(line, file);
    if (SSL_connect(line) == 1) return {};
    const long verdict = SSL_get_verify_result(line);
    if (verdict != X509_V_OK) return X509_verify_cert_error_string(verdict);
    return "no encrypted line could be agreed on";
}

// All that comes, until the other end closes or says nothing for too long.
template<class Read> std::string read_all(const Read& read, bool& broke_off) {
    std::string all;
    std::array<char, 16'384> part{};
    for (;;) {
        const long size = read(part.data(), part.size());
        if (size == 0) return all;
        if (size < 0 || all.size() > answer_max) {
            broke_off = true;
            return all;
        }
        all.append(part.data(), static_cast<std::size_t>(size));
    }
}

}  // namespace

OrFault<std::string> ask_http(const HttpQuestion& question) {
    const auto place = place_of(question.url);
    if (!place) {
        return Fault{"'" + question.url +
                     "' is no address of a hub. Write it like https://192.0.2.7:8443."};
    }
    const auto fault = [&question](const std::string& why) {
        return Fault{"No hub answers at " + question.url + " (" + why + ")."};
    };
    Socket socket;
    if (const std::string why = connect(*place, question.patience, socket); !why.empty()) {
        return fault(why);
    }
    const std::string request = "GET " + question.target + " HTTP/1.1\r\nHost: " + place->host +
                                ":" + place->port + "\r\nConnection: close\r\n\r\n";
    bool broke_off = false;
    std::string answer;
    if (place->encrypted) {
        const SslContext context(SSL_CTX_new(TLS_client_method()), SSL_CTX_free);
        const Ssl line(context ? SSL_new(context.get()) : nullptr, SSL_free);
        if (!line) return fault("no encrypted line can be made here");
        const std::string why = encrypt(question, *place, context.get(), line.get(), socket.file);
        if (!why.empty()) return fault(why);
        if (SSL_write(line.get(), request.data(), static_cast<int>(request.size())) <= 0) {
            return fault("the line broke");
        }
        answer = read_all(
            [&line](char* into, std::size_t size) -> long {
                const int got = SSL_read(line.get(), into, static_cast<int>(size));
                if (got > 0) return got;
                return SSL_get_error(line.get(), got) == SSL_ERROR_ZERO_RETURN ? 0 : -1;
            },
            broke_off);
    } else {
        if (send(socket.file, request.data(), request.size(), MSG_NOSIGNAL) < 0) {
            return fault("the line broke");
        }
        answer = read_all(
            [&socket](char* into, std::size_t size) -> long {
                return recv(socket.file, into, size, 0);
            },
            broke_off);
    }
    const std::size_t body = answer.find("\r\n\r\n");
    if (body == std::string::npos) {
        return fault(broke_off ? "nothing was said in time" : "it is no hub");
    }
    if (!answer.starts_with("HTTP/1.1 200 ")) {
        return fault("it says: " + answer.substr(0, answer.find("\r\n")));
    }
    return OrFault<std::string>(boost::system::in_place_value, answer.substr(body + 4));
}

}  // namespace honbu
