#include "tests/generate/script.h"

#include <algorithm>
#include <array>

namespace honbu::generate {
namespace {

constexpr std::array drive = {"hajime",       "hajime",        "mate",           "osaekomi_white",
                              "toketa",       "osaekomi_blue", "waza_ari_white", "shido_blue",
                              "ippon_blue",   "start",         "sore_made",      "kachi",
                              "yuko_white",   "shido_white",   "confirm",        "sono_mama",
                              "waza_ari_blue"};
constexpr std::array corrections_made = {"strike",         "strike",
                                         "give",           "move:-500",
                                         "move:+1000",     "replace:waza_ari_white",
                                         "replace:mate",   "replace:shido_blue",
                                         "reason:leg_grab"};

std::string with_argument(const Key& key, Lots& lots) {
    if (key.arguments.empty() || lots.in_hundred(50)) return key.id;
    const auto lot = lots.below(static_cast<std::uint32_t>(key.arguments.size()));
    return key.id + ":" + key.arguments[lot].id;
}

std::string key_of(const std::vector<Key>& keys, const What& what, Lots& lots) {
    const std::string_view id = id_for(what);
    for (const Key& key : keys) {
        if (key.id == id) return with_argument(key, lots);
    }
    return std::string(id);
}

std::string shift(std::int64_t ms) {
    return (ms < 0 ? "-" : "+") + std::to_string(ms < 0 ? -ms : ms);
}

}  // namespace

std::vector<KeyPress> contest_script(const Conditions& under, Lots& lots) {
    const auto field = lots.below(2) == 0 ? Field::men : Field::women;
    const auto calls = contest(under, field, lots.any());
    const std::vector<Key> all = keys(under, {}, State{});
    std::vector<KeyPress> out;
    Instant last = calls.front().entered;
    for (const Call& call : calls) {
        KeyPress press;
        press.wait_ms = (call.entered - last).ms;
        press.as = call.id;
        last = call.entered;
        if (const CallId* on = refers_to(call.what)) press.on = *on;
        if (std::holds_alternative<Strike>(call.what)) {
            press.key = "strike";
        } else if (const auto* replace = std::get_if<Replace>(&call.what)) {
            press.key = "replace:" + key_of(all, what(replace->by), lots);
        } else if (const auto* move = std::get_if<Move>(&call.what)) {
            const auto moved = std::find_if(calls.begin(), calls.end(),
                                            [move](const Call& c) { return c.id == move->call; });
            if (moved == calls.end()) continue;
            const Instant at = moved->entered - moved->back;
            press.key = "move:" + shift(std::int64_t{move->to.ms} - std::int64_t{at.ms});
        } else {
            press.key = key_of(all, call.what, lots);
            if (call.back.ms > 0) {
                press.key = "back:" + std::to_string(call.back.ms) + ":" + press.key;
            }
        }
        if (press.key.empty()) continue;  // the table itself enters it, when the bout is called
        out.push_back(std::move(press));
    }
    return out;
}

std::vector<KeyPress> random_script(const Conditions& under, Lots& lots, std::uint32_t count) {
    const std::vector<Key> all = keys(under, {}, State{});
    std::vector<KeyPress> out(count);
    for (KeyPress& press : out) {
        press.wait_ms = lots.in_hundred(20) ? lots.below(25'000) : lots.below(1'500);
        const std::uint32_t lot = lots.below(100);
        if (lot < 55) {
            press.key = drive[lots.below(drive.size())];
        } else if (lot < 70) {
            press.key = corrections_made[lots.below(corrections_made.size())];
            press.on_any = true;
        } else if (lot < 74) {
            press.key = "offer";
        } else if (lot < 77) {
            press.key = "set_clock:1:30";
        } else if (lot < 79) {
            press.key = "set_hold_blue:12";
        } else {
            press.key = with_argument(all[lots.below(static_cast<std::uint32_t>(all.size()))],
                                      lots);
        }
        if (lot > 95 && !press.on_any) press.key = "back:3000:" + press.key;
    }
    return out;
}

std::vector<KeyPress> ending_script() {
    std::vector<KeyPress> out;
    for (const char* key : {"yoshi", "mate", "toketa", "review_over", "sore_made",
                            "kiken_gachi_white", "sore_made", "kachi", "confirm"}) {
        out.push_back({400, key, {}, {}, false});
    }
    return out;
}

// An ended bout is opened again, something in it is put right, and it ends once more.
std::vector<KeyPress> correcting_script(Lots& lots) {
    std::vector<KeyPress> out{{500, "reopen:referee", {}, {}, false}};
    out.push_back({500, corrections_made[lots.below(corrections_made.size())], {}, {}, true});
    if (lots.in_hundred(20)) out.push_back({500, "exchange_names", {}, {}, false});
    for (const char* key : {"kachi", "sore_made", "kachi", "confirm"})
        out.push_back({500, key, {}, {}, false});
    return out;
}

}  // namespace honbu::generate
