// The logs of honbu-sim as values (what a line says: clients/sim/logbook.h). One thread.
//
// Whatever contradicts itself within the logs, whatever the journal says, is a Wrong that names the
// line: a call saved twice, a second verdict, a view that goes back, a result that comes again.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "engine/record/record.h"

namespace honbu::crash {

struct Wrong : std::runtime_error {
    using std::runtime_error::runtime_error;
};

struct Acknowledged {
    int kind = 0;
    std::uint32_t record = 0;
    std::string where;  // log and line
};
struct SavedCall {
    DeviceId device;
    std::string bytes;
    std::string where;
    std::optional<Acknowledged> verdict;
};
struct LastView {
    std::uint32_t number = 0;
    std::string hash;
};
struct Client {
    std::map<std::uint32_t, LastView> mats;
    std::vector<std::uint32_t> results;
};

std::string text(CallId call);
std::string number_text(std::uint32_t value);

class Logs {
public:
    void read(const std::string& file);

    std::map<CallId, SavedCall> calls;
    std::map<std::string, Client> clients;
    std::set<Epoch> epochs;
    std::set<std::pair<std::uint32_t, std::uint32_t>> shown;  // mat and number, each once
    std::uint32_t last_named = 0;                             // by anything that was shown
    std::string last_named_where;
    std::uint64_t views = 0;
    std::uint64_t verdicts = 0;
    std::uint64_t results = 0;
    std::uint64_t welcomes = 0;

private:
    class Words;
    void take(const std::string& line);
    void saved(Words& words);
    void verdict(Words& words);
    void view(const std::string& who, Words& words);
    void result(const std::string& who, Words& words);
    void name(std::uint32_t record);
    [[noreturn]] void wrong(const std::string& what) const { throw Wrong(where_ + ": " + what); }

    std::string where_;
    int evenings_ = 0;
    std::string evening_;  // whose clients are others than those of the first log
};

}  // namespace honbu::crash
