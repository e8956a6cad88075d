// The honbu program: what holds for every command. What can be typed: command_line.h.
#include <csignal>
#include <exception>
#include <iostream>

#include <sys/stat.h>

#include "hub/command_line.h"
#include "hub/log.h"

namespace {

// A list cut short by a full disk must not look like a whole one.
int said_in_full(int code) {
    if (std::cout.flush()) return code;
    std::cerr << "Not all of this could be written: what it was sent to is full, or gone.\n";
    return code == 0 ? 1 : code;
}

}  // namespace

int main(int argc, char** argv) {
    umask(027);  // what is kept names people, also children: nobody else on this machine reads it
    std::signal(SIGPIPE, SIG_IGN);  // a screen that goes away is an error code, not the end
    std::signal(SIGXFSZ, SIG_IGN);  // and so is a file that may not grow
    honbu::log_to_standard_error();
    try {
        honbu::CommandLine line;
        if (const auto ended = line.read(argc, argv)) return said_in_full(*ended);
        const int code = line.run();
        // A hub does its work whether or not anybody could read what it said at the start.
        return line.serves() ? code : said_in_full(code);
    } catch (const std::exception& thrown) {
        std::cerr << "The hub ends here, because of something it was not made for: "
                  << thrown.what() << "\nStart it again; everything acknowledged is kept.\n";
        return 70;
    }
}
