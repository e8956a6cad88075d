#include "tests/crash/client_log.h"

#include <fstream>
#include <sstream>

#include "engine/record/canon.h"

namespace honbu::crash {
namespace {

int nibble(char digit) {
    if (digit >= '0' && digit <= '9') return digit - '0';
    if (digit >= 'a' && digit <= 'f') return digit - 'a' + 10;
    return -1;
}

}  // namespace

std::string text(CallId call) {
    std::ostringstream out;
    out << "call " << call.number.value << " of run " << std::hex << call.run.value;
    return out.str();
}
std::string number_text(std::uint32_t value) { return std::to_string(value); }

// The words of a line. Anything off is this program's or the log's fault, and said so.
class Logs::Words {
public:
    Words(const Logs& logs, const std::string& line) : logs_(logs), in_(line) {}
    std::string next() {
        std::string word;
        if (!(in_ >> word)) logs_.wrong("the line ends too early");
        return word;
    }
    std::uint64_t number(int base) {
        const std::string word = next();
        std::size_t used = 0;
        std::uint64_t value = 0;
        try {
            value = std::stoull(word, &used, base);
        } catch (const std::logic_error&) {
            used = 0;
        }
        if (used != word.size() || word.empty()) logs_.wrong("'" + word + "' is no number");
        return value;
    }
    std::uint32_t small() { return static_cast<std::uint32_t>(number(10)); }
    CallId call() {
        CallId id;
        id.run = RunId{number(16)};
        id.number = CallNumber{small()};
        return id;
    }
    std::string bytes() {
        const std::string word = next();
        std::string out;
        for (std::size_t i = 0; i + 1 < word.size(); i += 2) {
            const int high = nibble(word[i]);
            const int low = nibble(word[i + 1]);
            if (high < 0 || low < 0) logs_.wrong("the bytes of the call are not in hex");
            out.push_back(static_cast<char>(high * 16 + low));
        }
        return out;
    }

private:
    const Logs& logs_;
    std::istringstream in_;
};

// A last line without its end was being written when the log was read, and says nothing yet.
void Logs::read(const std::string& file) {
    std::ifstream in(file, std::ios::binary);
    if (!in) throw Wrong("The log " + file + " can't be read.");
    evening_ = evenings_++ == 0 ? "" : " of " + file;
    std::string line;
    for (std::uint64_t count = 1; std::getline(in, line) && !in.eof(); ++count) {
        where_ = file + ", line " + std::to_string(count);
        take(line);
    }
}

void Logs::take(const std::string& line) {
    Words words(*this, line);
    const std::string who = words.next() + evening_;
    const std::string what = words.next();
    if (what == "saved") {
        saved(words);
    } else if (what == "verdict") {
        verdict(words);
    } else if (what == "view") {
        view(who, words);
    } else if (what == "result") {
        result(who, words);
    } else if (what == "welcome") {
        ++welcomes;
        epochs.insert(Epoch{words.number(16)});
        name(words.small());
    } else if (what != "gone") {
        wrong("'" + what + "' is not known here");
    }
}

void Logs::saved(Words& words) {
    SavedCall call;
    call.device = DeviceId{words.number(16)};
    const CallId id = words.call();
    call.bytes = words.bytes();
    call.where = where_;
    const auto decoded = decode_call(call.bytes);
    if (!decoded || decoded->id != id) wrong(text(id) + " is not what its bytes say");
    if (!calls.emplace(id, std::move(call)).second) wrong(text(id) + " was saved twice");
}

void Logs::verdict(Words& words) {
    ++verdicts;
    const CallId id = words.call();
    const int kind = static_cast<int>(words.small());
    const std::uint32_t record = words.small();
    const auto call = calls.find(id);
    if (call == calls.end()) wrong(text(id) + " has a verdict and was never saved");
    auto& known = call->second.verdict;
    if (!known) known = Acknowledged{kind, record, where_};
    if (known->kind != kind || known->record != record) {
        wrong(text(id) + " has another verdict than before (" + known->where + ")");
    }
    name(record);
}

void Logs::view(const std::string& who, Words& words) {
    ++views;
    const std::uint32_t mat = words.small();
    const std::uint32_t number = words.small();
    LastView& last = clients[who].mats[mat];
    if (number < last.number) {
        wrong(who + " went back from number " + number_text(last.number) + " to " +
              number_text(number));
    }
    last = LastView{number, words.next()};
    if (number > 0) shown.emplace(mat, number);
    name(number);
}

void Logs::result(const std::string& who, Words& words) {
    ++results;
    std::vector<std::uint32_t>& heard = clients[who].results;
    const std::uint32_t number = words.small();
    if (!heard.empty() && number <= heard.back()) {
        wrong(who + " heard result " + number_text(number) + " after result " +
              number_text(heard.back()));
    }
    heard.push_back(number);
    name(number);
}

void Logs::name(std::uint32_t record) {
    if (record <= last_named) return;
    last_named = record;
    last_named_where = where_;
}

}  // namespace honbu::crash
