#include "hub/feed/audit.h"

#include <algorithm>
#include <utility>

#include "engine/record/canon.h"
#include "hub/insist.h"
#include "hub/wire/wire.h"
#include "hub/words/record_line.h"

namespace honbu {
namespace {

std::string encode_message(const Record& record, const std::string& canonical) {
    return record_to_wire(record, canonical, line(record));
}

}  // namespace

void Audit::begin(RecordNumber kept, Source source) {
    last_ = kept;
    source_ = std::move(source);
    recent_.clear();
    recent_bytes_ = 0;
}

void Audit::recorded(RecordNumber number, const std::string& bytes) {
    INSIST(number.value == last_.value + 1);
    last_ = number;
    recent_bytes_ += bytes.size();
    recent_.push_back({bytes, {}});
    keep_to_bounds();
}

std::size_t Audit::Item::bytes() const {
    return canonical.size() + (message.bytes ? message.bytes->size() : 0) +
           (message.text ? message.text->size() : 0);
}

void Audit::keep_to_bounds() {
    while (recent_.size() > recent_max || recent_bytes_ > recent_bytes_max) {
        recent_bytes_ -= recent_.front().bytes();
        recent_.pop_front();
    }
}

std::vector<Shared> Audit::after(RecordNumber number, std::size_t limit, Form form) {
    std::vector<Shared> out;
    if (number >= last_) return out;
    limit = std::min<std::size_t>(limit, last_.value - number.value);
    const std::size_t first_recent = last_.value - recent_.size();  // the number before it
    if (number.value >= first_recent) {
        for (std::size_t i = number.value - first_recent; out.size() < limit; ++i)
            out.push_back(encoded(recent_[i], form));
        keep_to_bounds();
        return out;
    }
    if (!source_) return out;
    for (const std::string& bytes : source_(number, limit)) {
        const auto record = decode_record(bytes);
        if (!record || record->number.value != number.value + out.size() + 1) break;
        Encoded message{shared(encode_message(*record, bytes)), nullptr};
        out.push_back(message.in(form));
        if (out.size() == limit) break;
    }
    return out;
}

const Shared& Audit::encoded(Item& item, Form form) {
    const std::size_t before = item.bytes();
    if (!item.message.bytes) {
        const auto record = decode_record(item.canonical);
        INSIST(record);
        item.message.bytes = shared(encode_message(*record, item.canonical));
        item.canonical = std::string();
    }
    const Shared& taken = item.message.in(form);
    recent_bytes_ = recent_bytes_ - before + item.bytes();
    return taken;
}

}  // namespace honbu
