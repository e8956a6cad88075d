#include "clients/sim/logbook.h"

#include <cerrno>
#include <cstring>

#include <fcntl.h>
#include <unistd.h>

#include "engine/record/canon.h"
#include "engine/view/json.h"

namespace honbu::sim {

Logbook::Logbook(std::string file) : file_(std::move(file)) {
    if (file_.empty()) return;
    descriptor_ = ::open(file_.c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0640);
    if (descriptor_ < 0) {
        throw NotKept("The log " + file_ + " can't be opened: " + std::strerror(errno) +
                      ". Name another place with --log.");
    }
}

Logbook::~Logbook() {
    if (descriptor_ >= 0) ::close(descriptor_);
}

void Logbook::saved(std::string_view who, DeviceId device, const Call& call) {
    if (descriptor_ < 0) return;
    line(who, "saved " + name_text(device.value) + " " + name_text(call.id.run.value) + " " +
                  std::to_string(call.id.number.value) + " " + hex(encode(call)));
}

void Logbook::verdict(std::string_view who, CallId call, Verdict verdict, RecordNumber record) {
    line(who, "verdict " + name_text(call.run.value) + " " + std::to_string(call.number.value) +
                  " " + std::to_string(static_cast<int>(verdict)) + " " +
                  std::to_string(record.value));
}

void Logbook::view(std::string_view who, MatId mat, RecordNumber number, std::string_view bytes) {
    if (descriptor_ < 0) return;
    line(who, "view " + std::to_string(mat.value) + " " + std::to_string(number.value) + " " +
                  hex(sha256(bytes)));
}

void Logbook::result(std::string_view who, RecordNumber number) {
    line(who, "result " + std::to_string(number.value));
}

void Logbook::welcome(std::string_view who, Epoch epoch, RecordNumber number) {
    line(who, "welcome " + name_text(epoch.value) + " " + std::to_string(number.value));
}

void Logbook::gone(std::string_view who) { line(who, "gone"); }

void Logbook::line(std::string_view who, std::string_view what) {
    if (descriptor_ < 0) return;
    std::string whole(who);
    whole.append(" ").append(what).append("\n");
    std::string_view rest = whole;
    while (!rest.empty()) {
        const ssize_t written = ::write(descriptor_, rest.data(), rest.size());
        if (written < 0 && errno == EINTR) continue;
        if (written < 0) {
            throw NotKept("The log " + file_ + " can't be written: " + std::strerror(errno) +
                          ". What is not kept may not be sent, so the tables stop here.");
        }
        rest.remove_prefix(static_cast<std::size_t>(written));
    }
}

}  // namespace honbu::sim
