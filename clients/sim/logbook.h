// The --log file: one line for each fact, in the order in which it happened here.
//
//     table-1 saved DEVICE RUN NUMBER BYTES     a call, before it is sent; canonical bytes in hex
//     table-1 verdict RUN NUMBER KIND RECORD
//     hall-2 view MAT NUMBER SHA256             shown; the hash is of the message's bytes
//     desk-1 result NUMBER
//     desk-1 welcome EPOCH NUMBER               the line is up
//     desk-1 gone                               it is not any more, and nothing more comes from it
//
// Each line is with the system before the next thing is done, so that it survives this program. A
// line that can't be written is thrown as a NotKept: a table that keeps nothing may not go on.
// tests/crash/kept_check reads it. One thread.
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>

#include "engine/record/record.h"

namespace honbu::sim {

struct NotKept : std::runtime_error {
    using std::runtime_error::runtime_error;
};

class Logbook {
public:
    explicit Logbook(std::string file);  // empty: nothing is kept
    ~Logbook();
    Logbook(const Logbook&) = delete;
    Logbook& operator=(const Logbook&) = delete;

    void saved(std::string_view who, DeviceId device, const Call& call);
    void verdict(std::string_view who, CallId call, Verdict verdict, RecordNumber record);
    void view(std::string_view who, MatId mat, RecordNumber number, std::string_view bytes);
    void result(std::string_view who, RecordNumber number);
    void welcome(std::string_view who, Epoch epoch, RecordNumber number);
    void gone(std::string_view who);

private:
    void line(std::string_view who, std::string_view what);

    std::string file_;
    int descriptor_ = -1;
};

}  // namespace honbu::sim
