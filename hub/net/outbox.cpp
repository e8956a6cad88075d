#include "hub/net/outbox.h"

#include <algorithm>
#include <utility>

namespace honbu {
namespace {

// A verdict is a few dozen bytes.
constexpr std::size_t messages_max = 4'096;
// Pongs to somebody who pings and does not read.
constexpr std::size_t raw_bytes_max = 4 * 1024;

constexpr char final_text = '\x81';
constexpr char final_binary = '\x82';
constexpr char final_close = '\x88';
constexpr std::uint16_t protocol_error = 1002;
constexpr std::uint16_t bad_payload = 1007;
constexpr std::uint16_t too_big = 1009;
constexpr std::size_t close_words_max = 123;  // a control frame carries 125 bytes, two are the code

char byte_of(std::uint64_t value, int place) { return static_cast<char>(value >> (8 * place)); }

}  // namespace

Piece framed(Shared message, Flavour flavour) {
    Piece piece;
    const std::uint64_t size = message->size();
    std::size_t at = 0;
    piece.head[at++] = flavour == Flavour::json ? final_text : final_binary;
    int length_bytes = 0;
    if (size < 126) {
        piece.head[at++] = static_cast<char>(size);
    } else if (size <= 0xFFFF) {
        piece.head[at++] = 126;
        length_bytes = 2;
    } else {
        piece.head[at++] = 127;
        length_bytes = 8;
    }
    for (int place = length_bytes - 1; place >= 0; --place)
        piece.head[at++] = byte_of(size, place);
    piece.head_size = at;
    piece.body = std::move(message);
    return piece;
}

std::string close_frame(std::uint16_t code, std::string_view words) {
    std::size_t size = std::min(words.size(), close_words_max);
    // Not in the middle of a letter: UTF-8 goes on with 10xxxxxx.
    while (size > 0 && size < words.size() && (words[size] & '\xC0') == '\x80')
        --size;
    std::string frame{final_close, static_cast<char>(size + 2), byte_of(code, 1), byte_of(code, 0)};
    frame += words.substr(0, size);
    return frame;
}

std::uint16_t failed_with(std::string_view frame) {
    constexpr std::size_t code_at = 2;
    if (frame.size() < code_at + 2 || frame[0] != final_close) return 0;
    const auto byte = [&frame](std::size_t at) { return static_cast<unsigned char>(frame[at]); };
    const auto code = static_cast<std::uint16_t>(byte(code_at) << 8 | byte(code_at + 1));
    return code == protocol_error || code == bad_payload || code == too_big ? code : 0;
}

std::uint16_t close_code(Cause reason) {
    switch (reason) {
    case Cause::none: return 1000;
    case Cause::stopping: return 1001;
    case Cause::unreadable: return 1007;
    case Cause::too_big: return 1009;
    case Cause::hello_first:
    case Cause::other_schema:
    case Cause::not_a_table:
    case Cause::no_such_mat:
    case Cause::mat_held:
    case Cause::number_gap:
    case Cause::other_content:
    case Cause::too_slow:
    case Cause::no_room:
    case Cause::silent:
    case Cause::other_fold:
    case Cause::not_the_desk:
    case Cause::not_yours:
    case Cause::at_the_table:
    case Cause::changed:
    case Cause::impossible:
    case Cause::no_such_bout:
    case Cause::too_many:
    case Cause::other_entrance:
    case Cause::full:
    case Cause::too_fast:
    case Cause::not_let_in:
    case Cause::shut_out:
    case Cause::wrong_code:
    case Cause::no_such_person: return 1008;
    }
    return 1008;
}

bool Outbox::push(Shared message, std::size_t bytes_max) {
    if (finished_) return true;
    // One message may always wait, however big.
    const bool full = bytes_ + message->size() > bytes_max || waiting_.size() >= messages_max;
    if (full && !waiting_.empty()) return false;
    bytes_ += message->size();
    waiting_.push_back(framed(std::move(message), flavour_));
    return true;
}

bool Outbox::push_raw(std::string_view bytes) {
    if (finished_) return true;  // after our close nothing may follow
    if (raw_bytes_ + bytes.size() > raw_bytes_max) return false;
    raw_bytes_ += bytes.size();
    Piece piece;
    piece.body = std::make_shared<const std::string>(bytes);
    waiting_.push_back(std::move(piece));
    return true;
}

void Outbox::finish(Shared goodbye, std::string close, bool at_once) {
    if (finished_) return;
    finished_ = true;
    if (at_once) waiting_.clear();
    waiting_.push_back(framed(std::move(goodbye), flavour_));
    Piece last;
    last.body = std::make_shared<const std::string>(std::move(close));
    waiting_.push_back(std::move(last));
}

void Outbox::take(std::vector<Piece>& pieces, std::size_t limit) {
    std::size_t taken = 0;
    for (; taken < waiting_.size() && pieces.size() < limit; ++taken) {
        Piece& next = waiting_[taken];
        std::size_t& counted = next.head_size == 0 ? raw_bytes_ : bytes_;
        counted -= std::min(counted, next.body->size());
        pieces.push_back(std::move(next));
    }
    waiting_.erase(waiting_.begin(), waiting_.begin() + static_cast<std::ptrdiff_t>(taken));
    if (waiting_.empty()) waiting_ = {};
}

}  // namespace honbu
