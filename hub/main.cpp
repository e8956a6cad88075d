// The honbu program: its commands and what each takes. What they do: serve.h and commands.h.
#include <algorithm>
#include <csignal>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <iostream>
#include <string>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>
#include <sys/stat.h>

#include "hub/commands.h"
#include "hub/replay.h"
#include "hub/serve.h"
#include "hub/version.h"
#include "hub/wire/nearest.h"

namespace {

constexpr int exit_usage = 2;

// The commands, each with the work it stands for; the first one named on the line runs.
struct Commands {
    CLI::App app{"Honbu, the head table of a judo competition: live scoring for several mats.",
                 "honbu"};
    std::function<int()> chosen;

    honbu::ServeOptions serving;
    honbu::ReplayOptions replaying;
    std::filesystem::path data;
    std::filesystem::path target;
    std::filesystem::path file;
    std::vector<std::string> rules;
    std::string name;
    std::uint32_t from = 1;

    Commands();
    CLI::App* command(CLI::App* parent, const std::string& name, const std::string& what,
                      std::function<int()> work);
    void takes_data(CLI::App* to, std::filesystem::path& where) {
        to->add_option("--data", where, "The folder in which the hub keeps everything.")
            ->required()
            ->type_name("DIR");
    }
    void takes_rules(CLI::App* to, std::vector<std::string>& files) {
        to->add_option("--rules", files,
                       "A rule set of your own that the competition file names; again for more.")
            ->type_name("FILE.rules")
            ->allow_extra_args(false);
    }
    void takes_file(CLI::App* to, const std::string& what) {
        to->add_option("FILE", file, what)->required()->type_name("");
    }
};

CLI::App* Commands::command(CLI::App* parent, const std::string& word, const std::string& what,
                            std::function<int()> work) {
    CLI::App* made = parent->add_subcommand(word, what);
    if (work) made->callback([this, work = std::move(work)] { chosen = work; });
    return made;
}

Commands::Commands() {
    using namespace honbu;
    app.set_version_flag("--version", std::string("honbu ") + version,
                         "Print the version and end.");
    app.set_help_flag("-h,--help", "Print this text and end.");
    app.require_subcommand(1);

    CLI::App* run = command(&app, "serve", "Start the hub and keep it running.",
                            [this] { return serve(serving); });
    takes_data(run, serving.data);
    run->add_option("--listen", serving.listen,
                    "Where to listen; 0.0.0.0 is every network this machine is in.")
        ->default_val("0.0.0.0:8080")
        ->type_name("ADDRESS:PORT");
    run->add_option("--competition", serving.competition,
                    "The competition file to load, if none is loaded yet.")
        ->type_name("FILE.csv");
    takes_rules(run, serving.rules);
    run->add_option("--title", serving.title,
                    "What the competition is called; without it, as the file is.")
        ->type_name("TEXT");
    run->add_option("--mirror", serving.mirror,
                    "Keep a second copy in this folder, best on another disk or a stick.")
        ->type_name("DIR");
    run->add_option("--from-copy", serving.from_copy,
                    "Go on from this mirror or copy, in a new --data folder. First stop the hub "
                    "that wrote it.")
        ->type_name("DIR");
    run->add_option("--rehearsal-rate", serving.rehearsal_rate,
                    "For a rehearsal: how many times as fast all clocks run.")
        ->default_val("1")
        ->check(CLI::Range(1, 100))
        ->type_name("N");

    CLI::App* check = command(&app, "check", "Check a competition file without loading it.",
                              [this] { return check_competition(file, rules); });
    takes_file(check, "The competition file.");
    takes_rules(check, rules);

    CLI::App* replay = command(&app, "replay",
                               "Replay the calls of one bout under any rules, call by call.",
                               [this] { return replay_bout(replaying); });
    replay
        ->add_option("--rules", replaying.rules,
                     "A rule set's name, or a file; without it what the input says, or the "
                     "newest.")
        ->type_name("NAME|FILE");
    replay
        ->add_option("--time", replaying.time,
                     "The contest time, or whose time of the rules; without it what the input "
                     "says, or the first of the rules.")
        ->type_name("M:SS|GROUP");
    replay
        ->add_option("--until", replaying.until,
                     "Let the clocks run on to here after the last call, counted from where "
                     "the calls count from.")
        ->type_name("M:SS");
    replay->add_flag("--json", replaying.json, "One JSON object a line, for programs.");
    replay
        ->add_option("FILE", replaying.file,
                     "The calls, one a line; - or nothing is standard input.")
        ->type_name("");

    CLI::App* journal = command(&app, "journal", "Look into a journal, also while a hub runs.", {});
    journal->require_subcommand(1);
    CLI::App* verify = command(journal, "verify", "Check that nothing is missing or changed.",
                               [this] { return verify_journal(data); });
    takes_data(verify, data);
    CLI::App* again = command(journal, "replay",
                              "Work out every bout anew, and print where it ends.",
                              [this] { return replay_journal(data); });
    takes_data(again, data);
    CLI::App* show = command(journal, "show", "Print one line for each record.",
                             [this] { return show_journal(data, from); });
    takes_data(show, data);
    show->add_option("--from", from, "The first record to print.")
        ->default_val("1")
        ->type_name("N");
    CLI::App* copied = command(journal, "copy",
                               "Copy it to another folder, or bring a copy there up to date.",
                               [this] { return copy_journal(data, target); });
    takes_data(copied, data);
    copied->add_option("--to", target, "The folder of the copy, best on another disk.")
        ->required()
        ->type_name("DIR");
    CLI::App* follow = command(journal, "mirror",
                               "Keep a copy in another folder up to date, until Ctrl-C.",
                               [this] { return mirror_journal(data, target); });
    takes_data(follow, data);
    follow->add_option("--to", target, "The folder of the copy, best on another disk.")
        ->required()
        ->type_name("DIR");
    CLI::App* exported = command(journal, "export",
                                 "Print each record as one line of JSON, for programs.",
                                 [this] { return export_journal(data, from); });
    takes_data(exported, data);
    exported->add_option("--from", from, "The first record to print.")
        ->default_val("1")
        ->type_name("N");

    CLI::App* sets = command(&app, "rules", "Look at rule sets.", {});
    sets->require_subcommand(1);
    command(sets, "list", "Name the rule sets that come with the program.", list_rules);
    CLI::App* shown = command(sets, "show", "Print a rule set, to read or to start your own from.",
                              [this] { return show_rules(name); });
    shown->add_option("NAME", name, "The rule set's name.")->required()->type_name("");
    CLI::App* checked = command(sets, "check", "Check a rule set file of your own.",
                                [this] { return check_rules(file); });
    takes_file(checked, "The rule set file.");
}

// The innermost command that was named: its --help is the one that helps.
struct Innermost {
    const CLI::App* app;
    std::string words;
};
Innermost innermost(const CLI::App& app) {
    Innermost found{&app, app.get_name()};
    while (!found.app->get_subcommands().empty()) {
        found.app = found.app->get_subcommands().front();
        found.words += " " + found.app->get_name();
    }
    return found;
}

// "Did you mean --data? ", if something known here looks much like it.
std::string suggestion(const CLI::App& app, const std::string& given) {
    std::vector<std::string> known;
    for (const CLI::Option* option : app.get_options()) {
        for (const std::string& name : option->get_lnames())
            known.push_back("--" + name);
    }
    for (const CLI::App* sub : app.get_subcommands({}))
        known.push_back(sub->get_name());
    const auto nearer = [&given](const std::string& a, const std::string& b) {
        return honbu::letters_apart(given, a) < honbu::letters_apart(given, b);
    };
    const auto best = std::min_element(known.begin(), known.end(), nearer);
    constexpr std::size_t slips = 3;
    if (best == known.end() || honbu::letters_apart(given, *best) > slips) return {};
    return "Did you mean " + *best + "? ";
}

// Then it was only given too early: what an option belongs to comes before it.
bool known_here(const CLI::App& app, const std::string& given) {
    return given.starts_with("--") &&
           app.get_option_no_throw(given.substr(0, given.find('='))) != nullptr;
}

// What was not understood comes first: what is missing is often only its consequence.
int explain(const CLI::App& app, const CLI::ParseError& wrong) {
    const Innermost at = innermost(app);
    const std::vector<std::string> unknown = app.remaining(true);
    if (!unknown.empty() && known_here(*at.app, unknown.front())) {
        std::cerr << "'" << unknown.front() << "' comes after the command: " << at.words << " "
                  << unknown.front() << " ... ";
    } else if (!unknown.empty()) {
        std::cerr << "'" << unknown.front() << "' is not known here. "
                  << suggestion(*at.app, unknown.front());
    } else {
        std::cerr << wrong.what() << ". ";
    }
    std::cerr << at.words << " --help says what can be given.\n";
    return exit_usage;
}

// A list cut short by a full disk must not look like a whole one.
int said_in_full(int code) {
    if (std::cout.flush()) return code;
    std::cerr << "Not all of this could be written: what it was sent to is full, or gone.\n";
    return code == 0 ? 1 : code;
}

void log_to_standard_error() {
    auto logger = spdlog::stderr_logger_mt("honbu");
    logger->set_pattern("%H:%M:%S %v");
    spdlog::set_default_logger(std::move(logger));
}

}  // namespace

int main(int argc, char** argv) {
    umask(027);  // what is kept names people, also children: nobody else on this machine reads it
    std::signal(SIGPIPE, SIG_IGN);  // a screen that goes away is an error code, not the end
    std::signal(SIGXFSZ, SIG_IGN);  // and so is a file that may not grow
    log_to_standard_error();
    try {
        Commands commands;
        try {
            commands.app.parse(argc, argv);
        } catch (const CLI::Success& asked) {
            return said_in_full(commands.app.exit(asked));
        } catch (const CLI::ParseError& wrong) {
            return explain(commands.app, wrong);
        }
        const int code = commands.chosen();
        // A hub does its work whether or not anybody could read what it said at the start.
        return commands.app.got_subcommand("serve") ? code : said_in_full(code);
    } catch (const std::exception& thrown) {
        std::cerr << "The hub ends here, because of something it was not made for: "
                  << thrown.what() << "\nStart it again; everything acknowledged is kept.\n";
        return 70;
    }
}
