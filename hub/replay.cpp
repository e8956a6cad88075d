#include "hub/replay.h"

#include <algorithm>
#include <cctype>
#include <cerrno>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <map>
#include <set>
#include <sstream>
#include <system_error>
#include <utility>
#include <variant>

#include <unistd.h>

#include "engine/bout/clock_text.h"
#include "engine/bout/ruleset_text.h"
#include "hub/competition/csv.h"
#include "hub/fault.h"
#include "hub/replay_lines.h"
#include "hub/replay_offers.h"
#include "hub/replay_telling.h"
#include "hub/rule_files.h"
#include "hub/wire/call_json.h"
#include "hub/words/call_words.h"

namespace honbu {
namespace {

constexpr int exit_bad_input = 1;
constexpr int exit_usage = 2;
constexpr int exit_not_taken = 3;
constexpr std::uint32_t said_max = 10 * calls_in_bout_max;
constexpr const char* example = R"({"entered": 0, "plain": "PLAIN_HAJIME"})";

// The newest of the eras that ship; their names are years.
const RuleSet& newest(const KnownRules& known) {
    const RuleSet* found = &known.all().front();
    for (const RuleSet& rules : known.all()) {
        const bool year = std::isdigit(static_cast<unsigned char>(rules.name[0])) != 0;
        if (year && rules.name > found->name) found = &rules;
    }
    return *found;
}

class Replay {
public:
    Replay(const ReplayOptions& options, Telling& telling) : options_(options), telling_(telling) {}

    [[nodiscard]] OrFault<void> read(std::istream& in);
    int exit_code(bool good) const {
        if (!good) return usage_ ? exit_usage : exit_bad_input;
        return refused_.empty() ? 0 : exit_not_taken;
    }

private:
    [[nodiscard]] OrFault<void> look_at_options();
    [[nodiscard]] OrFault<void> begin(const BoutTerms& terms);
    [[nodiscard]] OrFault<void> take(const InputLine& line);
    [[nodiscard]] OrFault<void> check_order(const Said& said);
    [[nodiscard]] OrFault<void> finish();
    Fault at(std::uint32_t line, const std::string& words) const;
    Fault usage(const std::string& words) {
        usage_ = true;
        return Fault{words};
    }

    std::string why_not(const Said& said, std::string why) const;
    Conditions under() const { return Conditions{rules_, time_, golden_}; }
    void tell_what_came(Instant until, bool with_time_up);
    Frame now(Instant t) const;

    const ReplayOptions& options_;
    Telling& telling_;
    KnownRules known_;
    RuleSet rules_;
    Duration time_;
    Duration golden_;
    std::optional<Instant> until_;
    bool begun_ = false;
    bool usage_ = false;  // what is wrong is the command line

    std::vector<Call> calls_;  // taken
    std::vector<Said> said_;   // the same
    Said last_;                // whether it was taken or not
    std::uint32_t position_ = 0;
    std::vector<Refused> refused_;
    OffersMade offers_;
    Instant last_at_;  // on the timeline
    std::map<CallId, std::uint32_t> lines_;
    std::map<RunId, Instant> entered_;

    Instant told_until_;
    std::set<Happening> told_there_;  // at that very instant
};

Fault Replay::at(std::uint32_t line, const std::string& words) const {
    const std::string where = options_.file == "-" ? std::string() : options_.file + ", ";
    return Fault{where + "line " + std::to_string(line) + ": " + words};
}

OrFault<void> Replay::read(std::istream& in) {
    if (const auto chosen = look_at_options(); !chosen) return chosen;
    Lines lines(in);
    InputLine line;
    while (std::cout && lines.next(line)) {
        const bool terms_line = looks_like_terms(line.text);
        if (terms_line && begun_) {
            return at(line.number, "rules, timeMs and goldenMs come before the first call.");
        }
        BoutTerms terms;
        if (terms_line) {
            auto read = terms_from_json(line.text);
            if (const auto* wrong = std::get_if<WireFault>(&read)) {
                return at(line.number, wrong->words);
            }
            terms = std::move(std::get<BoutTerms>(read));
            if (terms.rules && known_.find(*terms.rules) == nullptr && !options_.rules) {
                return at(line.number, "There is no rule set of the name in 'rules'; there are " +
                                           known_.names() +
                                           ". One of your own is given with --rules FILE.");
            }
        }
        if (terms_line) {
            if (const auto ready = begin(terms); !ready) return ready;
        } else if (const auto taken = take(line); !taken) {
            return taken;
        }
    }
    if (lines.too_long()) {
        return at(lines.number(), "it is longer than 64 KiB; a call takes one short line.");
    }
    if (in.bad()) return Fault{"Reading broke off: " + std::generic_category().message(errno)};
    return finish();
}

OrFault<void> Replay::look_at_options() {
    if (options_.until) {
        const auto time = clock_time(*options_.until);
        if (!time) {
            return usage("--until: " + *options_.until +
                         " is no time; write minutes and seconds, as in 4:30.");
        }
        until_ = Instant{time->ms};
    }
    if (!options_.rules) {
        rules_ = newest(known_);
        return {};
    }
    const std::string& wish = *options_.rules;
    if (const RuleSet* found = known_.find(wish)) {
        rules_ = *found;
        return {};
    }
    std::error_code failed;
    if (!std::filesystem::exists(wish, failed)) {
        return usage("--rules: there is no rule set named " + wish +
                     ", and no such file. There "
                     "are " +
                     known_.names() + "; or give the name of a rule set file.");
    }
    auto read = read_rule_files({wish});
    if (!read) return read.error();
    rules_ = read->all().back();
    return {};
}

OrFault<void> Replay::begin(const BoutTerms& terms) {
    begun_ = true;
    if (terms.rules && !options_.rules) rules_ = *known_.find(*terms.rules);
    const AgeGroup* group = &rules_.times.front();
    time_ = group->time;
    if (options_.time) {
        group = rules_.group(*options_.time);
        if (group == nullptr) group = rules_.group(in_small_letters(*options_.time));
        const auto time = group != nullptr ? group->time : clock_time(*options_.time);
        if (time && (*time < contest_min || *time > contest_max)) {
            return usage("--time: " + *options_.time + " is not possible; write a time from " +
                         clock_text(contest_min) + " to " + clock_text(contest_max) +
                         ", in minutes and seconds.");
        }
        if (!time) {
            return usage("--time: " + *options_.time +
                         " is no time, and no age group of the "
                         "rules " +
                         rules_.name +
                         ". Write minutes and seconds, as in 4:00, or "
                         "one of these: " +
                         group_names(rules_) + ".");
        }
        time_ = *time;
    } else if (terms.time) {
        time_ = *terms.time;
        group = nullptr;
    }
    golden_ = terms.golden ? *terms.golden : rules_.golden_limit_for(time_, group);
    telling_.begin(under());
    return {};
}

// What a table's numbers and clock guarantee, and everything after relies on.
OrFault<void> Replay::check_order(const Said& said) {
    const Call& call = said.call;
    if (const auto [used, fresh] = lines_.emplace(call.id, said.line); !fresh) {
        return at(said.line, "this run and number are those of the call on line " +
                                 std::to_string(used->second) +
                                 "; give each call its own, or "
                                 "leave id out.");
    }
    Instant& entered = entered_[call.id.run];
    if (call.entered < entered) {
        return at(said.line, "'entered' is " + std::to_string(call.entered.ms) + ", earlier than " +
                                 std::to_string(entered.ms) +
                                 " of the call before it. Calls stand in the order they were "
                                 "entered; one put in afterwards says with 'back' how long ago it "
                                 "took effect.");
    }
    entered = call.entered;
    if (position_ > 1 && (call.bout != last_.call.bout || call.mat != last_.call.mat)) {
        const char* which = call.bout != last_.call.bout ? "'bout'" : "'mat'";
        return at(said.line, std::string(which) + " is not that of the line before; one file is "
                                                  "one bout. Leave it out, or write a file for "
                                                  "each bout.");
    }
    return {};
}

OrFault<void> Replay::take(const InputLine& line) {
    if (position_ == said_max) {
        return at(line.number, "these are more than " + std::to_string(said_max) +
                                   " calls; one file is one bout.");
    }
    ++position_;
    Call usual = last_.call;
    if (position_ == 1) usual = Call{{RunId{1}, {}}, Term{1}, MatId{1}, BoutId{1}, {}, {}, 0, {}};
    usual.id.number = CallNumber{position_};
    auto read = call_from_json(line.text, usual);
    if (const auto* wrong = std::get_if<WireFault>(&read)) return at(line.number, wrong->words);
    Said said{std::move(std::get<Call>(read)), line.number, position_};
    if (const auto order = check_order(said); !order) return order;
    if (!begun_) {
        if (const auto ready = begin(BoutTerms()); !ready) return ready;
    }

    std::vector<Call> with = calls_;
    with.push_back(said.call);
    const Instant t = Timeline(with).place(said.call.id.run, said.call.entered);
    tell_what_came(t, false);
    if (auto* confirm = std::get_if<Confirm>(&said.call.what);
        confirm != nullptr && confirm->result == Result{}) {
        confirm->result = result_of(under(), calls_, t);
    }
    if (const auto no = no_entry(under(), calls_, said.call)) {
        refused_.push_back({said, why_not(said, *no)});
        telling_.refused(said, now(t), refused_.back().why);
    } else {
        calls_.push_back(said.call);
        said_.push_back(said);
        const Frame after = now(t);
        const auto stand = offers(under(), calls_, after.state, after.from);
        telling_.taken(said, after, offers_.fresh(said, after.from, stand));
    }
    last_at_ = std::max(last_at_, t);
    last_ = std::move(said);
    return {};
}

// The engine knows the calls that were taken; the writer sees all lines of the file.
std::string Replay::why_not(const Said& said, std::string why) const {
    const CallId* meant = refers_to(said.call.what);
    const auto is_it = [&](const Call& call) { return call.id == *meant; };
    if (meant == nullptr || std::any_of(calls_.begin(), calls_.end(), is_it)) return why;
    const std::string number = std::to_string(meant->number.value);
    if (*meant == said.call.id) {
        return "A call can't speak of itself; give the number of an earlier one.";
    }
    const auto line = lines_.find(*meant);
    if (line == lines_.end()) {
        return "There is no call " + number +
               " above this line. Calls are numbered 1, 2, 3 ..., whether taken or not; write the "
               "number of one of them.";
    }
    return "Call " + number + " (line " + std::to_string(line->second) +
           ") was not taken, so there is nothing to correct; leave this line out.";
}

// With the end of time exactly at `t` still to come: a call at the same instant is before it.
Frame Replay::now(Instant t) const {
    std::vector<Step> all = steps(under(), calls_, t);
    const auto signal = [t](const Step& step) {
        return !step.call && step.why == Happening::time_up && step.at == t;
    };
    while (!all.empty() && signal(all.back()))
        all.pop_back();
    return Frame{t, Happening::none, all.empty() ? State{} : all.back().state};
}

void Replay::tell_what_came(Instant until, bool with_time_up) {
    for (const Step& step : steps(under(), calls_, until)) {
        if (step.call || step.at < told_until_) continue;
        if (step.at == told_until_ && told_there_.contains(step.why)) continue;
        if (step.why == Happening::time_up && step.at == until && !with_time_up) continue;
        if (step.at > told_until_) told_there_.clear();
        told_until_ = step.at;
        told_there_.insert(step.why);
        telling_.came(Frame{step.at, step.why, step.state});
    }
    if (until > told_until_) {
        told_until_ = until;
        told_there_.clear();
    }
}

OrFault<void> Replay::finish() {
    if (position_ == 0) {
        return Fault{std::string("There is no call in it. Write one a line, like this: ") +
                     example};
    }
    const Instant until = until_.value_or(last_at_);
    if (until < last_at_) {
        return usage("--until " + *options_.until +
                     " is before the last call, which was entered "
                     "at " +
                     instant_text(last_at_) + ". Give a later one, or leave --until out.");
    }
    tell_what_came(until, true);
    telling_.end(Ended{calls_, said_, until, refused_, offers_.passed_by()});
    return {};
}

// Standard output, kept until it is known whether it is wanted.
class HeldBack {
public:
    explicit HeldBack(bool hold) : out_(hold ? std::cout.rdbuf(kept_.rdbuf()) : nullptr) {}
    ~HeldBack() { let_go(false); }
    HeldBack(const HeldBack&) = delete;
    HeldBack& operator=(const HeldBack&) = delete;
    void let_go(bool wanted) {
        if (out_ == nullptr) return;
        std::cout.rdbuf(std::exchange(out_, nullptr));
        if (wanted) std::cout << kept_.str();
    }

private:
    std::ostringstream kept_;
    std::streambuf* out_;
};

}  // namespace

int replay_bout(const ReplayOptions& options) {
    const auto fail = [](const std::string& words, int code) {
        std::cout << std::flush;
        std::cerr << words << "\n";
        return code;
    };
    std::ifstream file;
    if (options.file != "-") {
        std::error_code failed;
        const std::string sorry = "The file " + options.file + " can't be read (";
        if (std::filesystem::is_directory(options.file, failed)) {
            return fail(sorry + "it is a folder).", exit_bad_input);
        }
        file.open(options.file, std::ios::binary);
        if (!file) {
            return fail(sorry + std::generic_category().message(errno) + ").", exit_bad_input);
        }
    }
    if (options.file == "-" && isatty(STDIN_FILENO) == 1) {
        std::cerr << "Waiting for calls, one a line, like " << example
                  << ". Ctrl-D ends them; honbu replay --help says more.\n";
    }
    const auto telling = options.json ? telling_in_json() : telling_in_words();
    Replay replay(options, *telling);
    // Whether --until can be used shows only at the last call, and a table that is already out
    // looks whole.
    HeldBack held(options.until.has_value());
    const auto done = replay.read(options.file == "-" ? std::cin : file);
    const int code = replay.exit_code(done.has_value());
    held.let_go(code != exit_usage);
    if (!done) return fail(done.error().words, code);
    return code;
}

}  // namespace honbu
