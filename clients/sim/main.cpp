// honbu-sim: plays a hall against a running hub, over real sockets (README.md).
#include <iostream>

#include <CLI/CLI.hpp>

#include "clients/sim/evening.h"

namespace {

constexpr int exit_unwell = 1;
constexpr int exit_usage = 2;

// "HOST:PORT" or "[::1]:PORT".
std::string take_address(const std::string& text, honbu::sim::Address& address) {
    const std::size_t colon = text.rfind(':');
    if (colon == std::string::npos || colon == 0 || colon + 1 == text.size()) {
        return "'" + text + "' is no address with a port, as in 127.0.0.1:8080";
    }
    address.host = text.substr(0, colon);
    address.port = text.substr(colon + 1);
    if (address.host.front() == '[' && address.host.back() == ']') {
        address.host = address.host.substr(1, address.host.size() - 2);
    }
    return {};
}

}  // namespace

int main(int count, char** words) {
    using namespace honbu::sim;
    Wishes wishes;
    CLI::App app{"Plays a hall against a running hub: tables with contests as they are fought, "
                 "boards, hall screens and desks, and says what it saw.",
                 "honbu-sim"};
    app.set_help_flag("-h,--help", "Print this text and end.");
    app.add_option_function<std::string>(
           "--hub",
           [&wishes](const std::string& text) {
               const std::string wrong = take_address(text, wishes.hub);
               if (!wrong.empty()) throw CLI::ValidationError("--hub", wrong);
           },
           "Where the hub listens.")
        ->required()
        ->type_name("HOST:PORT");
    app.add_option("--tables", wishes.tables, "Tables; the first takes the first mat.")
        ->default_val(3)
        ->check(CLI::Range(0, 64))
        ->type_name("N");
    app.add_option("--boards", wishes.boards, "Screens of one mat each, the mats in turn.")
        ->default_val(3)
        ->check(CLI::Range(0, 10'000))
        ->type_name("N");
    app.add_option("--halls", wishes.halls, "Screens of all mats.")
        ->default_val(1)
        ->check(CLI::Range(0, 10'000))
        ->type_name("N");
    app.add_option("--desks", wishes.desks, "Screens of all mats and all results.")
        ->default_val(1)
        ->check(CLI::Range(0, 10'000))
        ->type_name("N");
    app.add_option("--faster", wishes.faster,
                   "How many times as fast as the hub's the tables' clocks run: for load. What "
                   "screens draw is then nonsense; for looking at, give the hub "
                   "--rehearsal-rate instead.")
        ->default_val(1)
        ->check(CLI::Range(1, 1'000))
        ->type_name("F");
    app.add_option("--seed", wishes.seed, "The same seed plays the same contests.")
        ->default_val(1)
        ->type_name("S");
    app.add_option("--seconds", wishes.seconds,
                   "How long the tables press; without it until Ctrl-C, or until every bout is "
                   "fought.")
        ->check(CLI::Range(1, 1'000'000))
        ->type_name("T");
    app.add_option("--log", wishes.log, "Every fact, one a line, at the end of this file.")
        ->type_name("FILE");
    app.add_flag("--take-over", wishes.take_over, "Take mats that other tables hold.");
    app.add_flag("--without-rehearsal", wishes.without_rehearsal,
                 "Play also where the hub is not in a rehearsal. Invented bouts are then in its "
                 "journal for good.");
    try {
        app.parse(count, words);
    } catch (const CLI::ParseError& no) {
        return app.exit(no) == 0 ? 0 : exit_usage;
    }

    try {
        Loop loop;
        Logbook log(wishes.log);
        Promises promises;
        Tally tally;
        Hall hall{wishes, loop, log, promises, tally, honbu::generate::Lots(wishes.seed)};
        Evening evening(hall);
        return evening.play() ? 0 : exit_unwell;
    } catch (const NotKept& no) {
        std::cerr << no.what() << "\n";
        return exit_unwell;
    }
}
