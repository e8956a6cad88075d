#include "engine/bout/call.h"
#include "engine/bout/clock_text.h"

namespace honbu {

std::string_view word(Level level) {
    switch (level) {
    case Level::koka: return "koka";
    case Level::yuko: return "yuko";
    case Level::waza_ari: return "waza-ari";
    case Level::ippon: return "ippon";
    }
    return "";
}

std::string_view word(Side side) { return side == Side::white ? "white" : "blue"; }

std::string_view word(Way way) {
    switch (way) {
    case Way::none: return "";
    case Way::ippon: return "ippon";
    case Way::waza_ari_awasete_ippon: return "waza-ari-awasete-ippon";
    case Way::sogo_gachi: return "sogo-gachi";
    case Way::waza_ari: return "waza-ari";
    case Way::yuko: return "yuko";
    case Way::koka: return "koka";
    case Way::fewer_shido: return "fewer shido";
    case Way::hantei: return "hantei";
    case Way::hansoku_make_by_shido: return "hansoku-make (shido)";
    case Way::hansoku_make_direct: return "hansoku-make (direct)";
    case Way::kiken_gachi: return "kiken-gachi";
    case Way::fusen_gachi: return "fusen-gachi";
    case Way::both_lose: return "both lose";
    case Way::hiki_wake: return "hiki-wake";
    }
    return "";
}

std::string_view word(const What& what) {
    struct Word {
        std::string_view operator()(const Called&) const { return "called to the mat"; }
        std::string_view operator()(const Hajime&) const { return "hajime"; }
        std::string_view operator()(const Mate&) const { return "mate"; }
        std::string_view operator()(const SonoMama&) const { return "sono-mama"; }
        std::string_view operator()(const Yoshi&) const { return "yoshi"; }
        std::string_view operator()(const Osaekomi&) const { return "osaekomi"; }
        std::string_view operator()(const Toketa&) const { return "toketa"; }
        std::string_view operator()(const Score& c) const { return word(c.level); }
        std::string_view operator()(const Shido&) const { return "shido"; }
        std::string_view operator()(const HansokuMake&) const { return "hansoku-make"; }
        std::string_view operator()(const Submission&) const { return "ippon by submission"; }
        std::string_view operator()(const Award& c) const { return word(c.way); }
        std::string_view operator()(const SoreMade&) const { return "sore-made"; }
        std::string_view operator()(const Kachi&) const { return "kachi"; }
        std::string_view operator()(const Confirm&) const { return "confirmed"; }
        std::string_view operator()(const Strike&) const { return "strike"; }
        std::string_view operator()(const Joint&) const { return "clocks joined"; }
    };
    return std::visit(Word{}, what);
}

std::string clock_text(Duration d) {
    const std::uint32_t whole = d.ms / 1000;
    const std::uint32_t rest = whole % 60;
    return std::to_string(whole / 60) + (rest < 10 ? ":0" : ":") + std::to_string(rest);
}

std::optional<Duration> clock_time(std::string_view text) {
    const std::size_t colon = text.find(':');
    if (colon == std::string_view::npos || colon < 1 || colon > 2 || text.size() != colon + 3) {
        return std::nullopt;
    }
    std::uint32_t parts[2] = {0, 0};
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (i == colon) continue;
        if (text[i] < '0' || text[i] > '9') return std::nullopt;
        std::uint32_t& part = parts[i < colon ? 0 : 1];
        part = part * 10 + static_cast<std::uint32_t>(text[i] - '0');
    }
    if (parts[1] > 59) return std::nullopt;
    return seconds(parts[0] * 60 + parts[1]);
}

}  // namespace honbu
