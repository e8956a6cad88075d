#include "hub/serve_command.h"

namespace honbu {
namespace {

void takes_log_options(CLI::App& run, LogOptions& into) {
    run.add_option("--log-level", into.level,
                   "The least that is logged: debug, info, warning or error.")
        ->default_val("info")
        ->check(CLI::IsMember({"debug", "info", "warning", "error"}))
        ->type_name("LEVEL");
    run.add_flag("--log-json", into.json, "Log one JSON object a line, for programs.");
    run.add_option("--log-file", into.file,
                   "Where the log is kept; without it, log/honbu.log in the --data folder.")
        ->type_name("FILE");
    run.add_option("--log-size", into.file_mib, "MiB after which the next log file begins.")
        ->default_val("4")
        ->check(CLI::Range(1, 1000))
        ->type_name("N");
    run.add_option("--log-files", into.files, "So many log files are kept, the newest among them.")
        ->default_val("5")
        ->check(CLI::Range(1, 100))
        ->type_name("N");
}

}  // namespace

void takes_data(CLI::App& to, std::filesystem::path& where) {
    to.add_option("--data", where, "The folder in which the hub keeps everything. Always needed.")
        ->type_name("DIR");
}

void takes_rules(CLI::App& to, std::vector<std::string>& files) {
    to.add_option("--rules", files,
                  "A rule set of your own that the competition file names; again for more.")
        ->type_name("FILE.rules")
        ->allow_extra_args(false);
}

void takes_config(CLI::App& to) {
    to.add_option("--config", "A file of settings; what is given here or in the environment goes "
                              "before it.")
        ->configurable(false)
        ->type_name("FILE");
}

void takes_serve_options(CLI::App& run, ServeOptions& into) {
    takes_data(run, into.data);
    run.add_option("--listen", into.listen,
                   "Where tables, desk and screens come in; 0.0.0.0 is every network this "
                   "machine is in. Without it 0.0.0.0:8443, encrypted; or 127.0.0.1:8080 as long "
                   "as there are no certificates.")
        ->type_name("ADDRESS:PORT");
    run.add_option("--public-listen", into.public_listen,
                   "Where spectators may watch, without anything that scores; without it nowhere.")
        ->type_name("ADDRESS:PORT");
    run.add_option("--certificate", into.certificate,
                   "A certificate of your own (PEM), instead of those of honbu certificates.")
        ->type_name("FILE");
    run.add_option("--key", into.key, "Its key (PEM, without a password).")->type_name("FILE");
    run.add_option("--name", into.names,
                   "One more name under which devices reach the hub; again for more.")
        ->type_name("NAME")
        ->allow_extra_args(false);
    run.add_flag("--plain-http-secrets-readable", into.plain,
                 "Not encrypted: everybody in the network can read and change what tables and "
                 "desk send, and pages can't reload without the hub.");
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
    static const std::map<std::string, PublicNames> kinds{{"full", PublicNames::full},
                                                          {"initials", PublicNames::initials},
                                                          {"hidden", PublicNames::hidden}};
    // The word stays as it was said, for --print-config.
    run.add_option_function<std::string>(
           "--public-names",
           [&into](const std::string& kind) { into.public_names = kinds.at(kind); },
           "What phones and other public pages are shown of names: full, initials (and no "
           "club), or hidden.")
        ->default_str("full")
        ->check(CLI::IsMember({"full", "initials", "hidden"}))
        ->type_name("KIND");
    run.add_flag("--anyone-may-score", into.anyone_may_score,
                 "Ask nobody who they are: whoever reaches the hub can score and decide.");
    run.add_option("--let-in-days", into.let_in_days,
                   "For how many days a device that is let in keeps its right.")
        ->default_val("3")
        ->check(CLI::Range(1, 30))
        ->type_name("N");
    run.add_option("--rehearsal-rate", into.rehearsal_rate,
                   "For a rehearsal: how many times as fast all clocks run.")
        ->default_val("1")
        ->check(CLI::Range(1, 100))
        ->type_name("N");
    takes_log_options(run, into.log);
    takes_config(run);
}

void takes_certificate_options(CLI::App& to, CertificateOptions& into) {
    takes_data(to, into.data);
    to.add_option("--name", into.names,
                  "A name by which devices reach the hub; again for more. Without any name or "
                  "address: those of this machine.")
        ->type_name("NAME")
        ->allow_extra_args(false);
    to.add_option("--address", into.addresses,
                  "An IP address by which devices reach the hub; again for more.")
        ->type_name("IP")
        ->allow_extra_args(false);
    to.add_option("--days", into.days, "How long they are good.")
        ->default_val(into.days)
        ->check(CLI::Range(1U, certificate_days_max))
        ->type_name("N");
    to.add_flag("--again", into.again,
                "In place of those that are still good: stop the hub before and start it again "
                "after; every device has to trust them anew.");
}

}  // namespace honbu
