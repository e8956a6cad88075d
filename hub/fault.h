// A Fault: the world failed (a disk, a port, a file), in one sentence a volunteer understands.
//
// Says what, where and what to do. Functions that can fail this way return an OrFault; whoever
// decides what happens next shows the words, once. Not for a user's "no" (that is a Refusal, an
// outcome of the core) and not for our own mistakes (INSIST). A Result, in this house,
// is a bout's. Plain values, any thread.
#pragma once

#include <cstdio>
#include <cstdlib>
#include <string>

#include <boost/system/result.hpp>

namespace honbu {

struct Fault {
    std::string words;
};

// Asking an OrFault for a value it does not hold is our own mistake.
[[noreturn]] inline void throw_exception_from_error(const Fault& fault,
                                                    const boost::source_location& where) {
    std::fprintf(stderr, "%s:%u: a fault was not looked at: %s\n", where.file_name(),
                 static_cast<unsigned>(where.line()), fault.words.c_str());
    std::abort();
}

template<class T> using OrFault = boost::system::result<T, Fault>;

}  // namespace honbu
