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
    run.add_option("--rehearsal-rate", into.rehearsal_rate,
                   "For a rehearsal: how many times as fast all clocks run.")
        ->default_val("1")
        ->check(CLI::Range(1, 100))
        ->type_name("N");
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
                "In place of those that are still good: every device has to trust them anew.");
}

}  // namespace honbu
