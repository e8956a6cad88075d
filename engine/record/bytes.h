// Writing and reading the canonical encoding's primitives. Internal to engine/record.
//
// A Reader remembers its first failure and answers zeros from then on, so decoding reads straight
// down and asks once at the end. Any thread.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace honbu {

class Writer {
public:
    void u8(std::uint8_t v) { *room(1) = static_cast<char>(v); }
    void u16(std::uint16_t v) { little<2>(v); }
    void u32(std::uint32_t v) { little<4>(v); }
    void u64(std::uint64_t v) { little<8>(v); }
    void flag(bool v) { u8(v ? 1 : 0); }
    void text(std::string_view v) {
        u16(static_cast<std::uint16_t>(v.size()));
        raw(v);
    }
    void raw(std::string_view v) {
        char* const to = room(v.size());
        for (std::size_t i = 0; i < v.size(); ++i)
            to[i] = v[i];
    }
    template<class Bytes> void fixed(const Bytes& bytes) {
        raw({reinterpret_cast<const char*>(bytes.data()), bytes.size()});
    }
    std::string take() {
        out_.resize(size_);
        return std::move(out_);
    }

private:
    // Behind what is there; a record or a state seldom needs more than the first piece.
    char* room(std::size_t bytes) {
        constexpr std::size_t piece = 240;
        if (out_.size() - size_ < bytes) out_.resize(2 * out_.size() + bytes + piece);
        char* const to = out_.data() + size_;
        size_ += bytes;
        return to;
    }
    template<std::size_t bytes> void little(std::uint64_t v) {
        char* const to = room(bytes);
        for (std::size_t i = 0; i < bytes; ++i)
            to[i] = static_cast<char>(v >> (8 * i));
    }
    std::string out_;
    std::size_t size_ = 0;
};

class Reader {
public:
    explicit Reader(std::string_view in) : in_(in) {}
    std::uint8_t u8() { return static_cast<std::uint8_t>(little(1)); }
    std::uint16_t u16() { return static_cast<std::uint16_t>(little(2)); }
    std::uint32_t u32() { return static_cast<std::uint32_t>(little(4)); }
    std::uint64_t u64() { return little(8); }
    bool flag() {
        const std::uint8_t v = u8();
        if (v > 1) failed_ = true;
        return v == 1;
    }
    // An enum whose values are `first` to `last` without gaps.
    template<class Enum> Enum choice(Enum first, Enum last) {
        return static_cast<Enum>(
            within(static_cast<std::uint8_t>(first), static_cast<std::uint8_t>(last)));
    }
    std::string text() {
        const std::size_t n = u16();
        if (n > in_.size()) {
            failed_ = true;
            return {};
        }
        std::string v(in_.substr(0, n));
        in_.remove_prefix(n);
        return v;
    }
    template<class Bytes> void fixed(Bytes& bytes) {
        for (auto& b : bytes)
            b = u8();
    }
    // A list's count; refuses one that can't fit into what is left.
    std::uint32_t count(std::size_t smallest_item) {
        const std::uint32_t n = u32();
        if (std::uint64_t{n} * smallest_item > in_.size()) {
            failed_ = true;
            return 0;
        }
        return n;
    }
    std::string_view rest() const { return in_; }
    void fail() { failed_ = true; }
    bool good() const { return !failed_; }
    bool complete() const { return !failed_ && in_.empty(); }

private:
    // Not copied to where it is used: honbu.wasm shall be small.
    [[gnu::noinline]] std::uint8_t within(std::uint8_t first, std::uint8_t last) {
        const std::uint8_t v = u8();
        if (v >= first && v <= last) return v;
        failed_ = true;
        return first;
    }
    std::uint64_t little(std::size_t bytes) {
        if (failed_ || in_.size() < bytes) {
            failed_ = true;
            return 0;
        }
        std::uint64_t v = 0;
        for (std::size_t i = 0; i < bytes; ++i) {
            v |= std::uint64_t{static_cast<unsigned char>(in_[i])} << (8 * i);
        }
        in_.remove_prefix(bytes);
        return v;
    }
    std::string_view in_;
    bool failed_ = false;
};

}  // namespace honbu
