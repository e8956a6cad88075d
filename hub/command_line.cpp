#include "hub/command_line.h"

#include <filesystem>
#include <functional>
#include <iostream>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>

#include "hub/certificate_command.h"
#include "hub/command_slips.h"
#include "hub/commands.h"
#include "hub/desk_code.h"
#include "hub/people_commands.h"
#include "hub/replay.h"
#include "hub/serve_command.h"
#include "hub/settings.h"
#include "hub/status_command.h"
#include "hub/support_command.h"
#include "hub/version.h"

namespace honbu {
namespace {

constexpr int exit_usage = 2;

}  // namespace

// The commands, each with the work it stands for; the first one named on the line runs.
struct CommandLine::Commands {
    CLI::App app{"Honbu, the head table of a judo competition: live scoring for several mats.",
                 "honbu"};
    std::function<int()> chosen;
    CLI::App* run = nullptr;  // honbu serve

    ServeOptions serving;
    ReplayOptions replaying;
    CertificateOptions proving;
    StatusOptions looking;
    SupportOptions helping;
    std::filesystem::path data;
    std::filesystem::path target;
    std::filesystem::path file;
    std::vector<std::string> rules;
    std::string name;
    std::uint32_t from = 1;
    std::uint32_t person = 0;
    PersonErased erased;
    bool print_config = false;

    Commands();
    std::optional<int> settle();
    CLI::App* command(CLI::App* parent, const std::string& name, const std::string& what,
                      std::function<int()> work);
    void takes_people(CLI::App& journal);
    void takes_file(CLI::App* to, const std::string& what) {
        to->add_option("FILE", file, what)->required()->type_name("");
    }
};

CLI::App* CommandLine::Commands::command(CLI::App* parent, const std::string& word,
                                         const std::string& what, std::function<int()> work) {
    CLI::App* made = parent->add_subcommand(word, what);
    if (work) made->callback([this, work = std::move(work)] { chosen = work; });
    return made;
}

CommandLine::Commands::Commands() {
    app.set_version_flag("--version", std::string("honbu ") + version,
                         "Print the version and end.");
    app.set_help_flag("-h,--help", "Print this text and end.");
    app.require_subcommand(1);

    run = command(&app, "serve", "Start the hub and keep it running.",
                  [this] { return serve(serving); });
    takes_serve_options(*run, serving);
    run->add_flag("--print-config", print_config,
                  "Print the settings that hold, and where each comes from, and end.")
        ->configurable(false);

    CLI::App* certificates = command(&app, "certificates",
                                     "Make what the hub proves itself with, for some days.",
                                     [this] { return make_certificates_in(proving); });
    takes_certificate_options(*certificates, proving);

    CLI::App* standing = command(&app, "status",
                                 "Say how a hub stands, or what a folder holds if none runs.",
                                 [this] { return status(looking); });
    takes_data(*standing, looking.data);
    takes_config(*standing);
    CLI::Option* at = standing
                          ->add_option("--at", looking.at,
                                       "Or the hub's address, from anywhere in the hall.")
                          ->type_name("URL");
    standing
        ->add_option("--authority", looking.authority,
                     "For an https address: the authority.pem that vouches for the hub.")
        ->needs(at)
        ->type_name("FILE");

    CLI::App* helped = command(&app, "support",
                               "Put what somebody needs who helps from afar into one file.",
                               [this] { return support(helping); });
    takes_data(*helped, helping.data);
    takes_config(*helped);
    helped->add_option("--to", helping.to, "The file to make.")->required()->type_name("FILE.tar");

    CLI::App* check = command(&app, "check", "Check a competition file without loading it.",
                              [this] { return check_competition(file, rules); });
    takes_file(check, "The competition file.");
    takes_rules(*check, rules);

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
    takes_data(*verify, data);
    CLI::App* again = command(journal, "replay",
                              "Work out every bout anew, and print where it ends.",
                              [this] { return replay_journal(data); });
    takes_data(*again, data);
    CLI::App* show = command(journal, "show", "Print one line for each record.",
                             [this] { return show_journal(data, from); });
    takes_data(*show, data);
    show->add_option("--from", from, "The first record to print.")
        ->default_val("1")
        ->type_name("N");
    CLI::App* copied = command(journal, "copy",
                               "Copy it to another folder, or bring a copy there up to date.",
                               [this] { return copy_journal(data, target); });
    takes_data(*copied, data);
    copied->add_option("--to", target, "The folder of the copy, best on another disk.")
        ->required()
        ->type_name("DIR");
    CLI::App* upgrade = command(journal, "upgrade",
                                "Bring a journal of an older honbu to what this one writes; a copy "
                                "is made first.",
                                [this] { return upgrade_journal(data); });
    takes_data(*upgrade, data);
    CLI::App* follow = command(journal, "mirror",
                               "Keep a copy in another folder up to date, until Ctrl-C.",
                               [this] { return mirror_journal(data, target); });
    takes_data(*follow, data);
    follow->add_option("--to", target, "The folder of the copy, best on another disk.")
        ->required()
        ->type_name("DIR");
    CLI::App* exported = command(journal, "export",
                                 "Print each record as one line of JSON, for programs.",
                                 [this] { return export_journal(data, from); });
    takes_data(*exported, data);
    exported->add_option("--from", from, "The first record to print.")
        ->default_val("1")
        ->type_name("N");

    takes_people(*journal);

    CLI::App* code = command(&app, "code", "Show a one-time code that makes a desk of a device.",
                             [this] { return show_desk_code(data); });
    takes_data(*code, data);

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

void CommandLine::Commands::takes_people(CLI::App& journal) {
    CLI::App* people = command(&journal, "people", "List whose names are kept, with their numbers.",
                               [this] { return people_of_journal(data, name); });
    takes_data(*people, data);
    people->add_option("FIND", name, "A part of the name or the club, or the number.")
        ->type_name("");
    CLI::App* one = command(&journal, "person",
                            "Print all that is kept about one person, for who asks for it.",
                            [this] { return person_of_journal(data, PersonId{person}); });
    takes_data(*one, data);
    one->add_option("--person", person, "The number, as honbu journal people says.")
        ->required()
        ->type_name("N");
    CLI::App* erase = command(&journal, "erase",
                              "Erase a person's name for good, with no hub running on it.",
                              [this] { return erase_from_journal(data, erased); });
    takes_data(*erase, data);
    erase->add_option("--person", erased.person.value, "The number, as honbu journal people says.")
        ->type_name("N");
    erase->add_option("--bout", erased.bout.value, "The names that were typed for this bout.")
        ->type_name("N");
    erase->add_option("--reason", erased.reason, "Why, in words that don't name the person.")
        ->required()
        ->type_name("TEXT");
}

// Nothing: the command can begin.
std::optional<int> CommandLine::Commands::settle() {
    CLI::App& named = *innermost(app).app;
    CLI::Option* const folder = named.get_option_no_throw("--data");
    if (folder == nullptr) return std::nullopt;
    Settings settings;
    if (const auto settled = settings.settle(named, *run); !settled) {
        std::cerr << settled.error().words << "\n";
        return exit_usage;
    }
    if (print_config) {
        std::cout << settings.text(named);
        return 0;
    }
    const CLI::Option* const instead = named.get_option_no_throw("--at");
    if (folder->empty() && (instead == nullptr || instead->empty())) {
        std::cerr << "--data is required. " << innermost(app).words
                  << " --help says what can be given.\n";
        return exit_usage;
    }
    serving.settings = settings.text(named);
    if (&named == run) serving.warnings = settings.warnings(*run);
    return std::nullopt;
}

CommandLine::CommandLine() : commands_(std::make_unique<Commands>()) {}
CommandLine::~CommandLine() = default;

std::optional<int> CommandLine::read(int argc, char** argv) {
    try {
        commands_->app.parse(argc, argv);
    } catch (const CLI::Success& asked) {
        return commands_->app.exit(asked);
    } catch (const CLI::ParseError& wrong) {
        std::cerr << slip_words(commands_->app, wrong) << "\n";
        return exit_usage;
    }
    return commands_->settle();
}

int CommandLine::run() { return commands_->chosen(); }

bool CommandLine::serves() const { return commands_->app.got_subcommand("serve"); }

}  // namespace honbu
