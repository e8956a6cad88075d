#include "hub/serve_command.h"

namespace honbu {

void takes_data(CLI::App& to, std::filesystem::path& where) {
    to.add_option("--data", where, "The folder in which the hub keeps everything.")
        ->required()
        ->type_name("DIR");
}

void takes_rules(CLI::App& to, std::vector<std::string>& files) {
    to.add_option("--rules", files,
                  "A rule set of your own that the competition file names; again for more.")
        ->type_name("FILE.rules")
        ->allow_extra_args(false);
}

void takes_serve_options(CLI::App& run, ServeOptions& into) {
    takes_data(run, into.data);
    run.add_option("--listen", into.listen,
                   "Where to listen; 0.0.0.0 is every network this machine is in.")
        ->default_val("0.0.0.0:8080")
        ->type_name("ADDRESS:PORT");
    run.add_option("--competition", into.competition,
                   "The competition file to load, if none is loaded yet.")
        ->type_name("FILE.csv");
    takes_rules(run, into.rules);
    run.add_option("--title", into.title,
                   "What the competition is called; without it, as the file is.")
        ->type_name("TEXT");
    run.add_option("--mirror", into.mirror,
                   "Keep a second copy in this folder, best on another disk or a stick.")
        ->type_name("DIR");
    run.add_option("--from-copy", into.from_copy,
                   "Go on from this mirror or copy, in a new --data folder. First stop the hub "
                   "that wrote it.")
        ->type_name("DIR");
    const std::map<std::string, PublicNames> kinds{{"full", PublicNames::full},
                                                   {"initials", PublicNames::initials},
                                                   {"hidden", PublicNames::hidden}};
    run.add_option("--public-names", into.public_names,
                   "What phones and other public pages are shown of names: full, initials (and no "
                   "club), or hidden.")
        ->default_str("full")
        ->transform(CLI::CheckedTransformer(kinds).description(""))
        ->type_name("KIND");
    run.add_option("--rehearsal-rate", into.rehearsal_rate,
                   "For a rehearsal: how many times as fast all clocks run.")
        ->default_val("1")
        ->check(CLI::Range(1, 100))
        ->type_name("N");
}

}  // namespace honbu
