#include "hub/feed/audit.h"

#include <algorithm>
#include <utility>

#include "engine/record/canon.h"
#include "hub/insist.h"
#include "hub/wire/wire.h"
#include "hub/words/record_line.h"

namespace honbu {
namespace {

std::string message(const Record& record, const std::string& canonical) {
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
    recent_.push_back({bytes, nullptr});
    while (recent_.size() > recent_max || recent_bytes_ > recent_bytes_max) {
        const Item& oldest = recent_.front();
        recent_bytes_ -= oldest.encoded ? oldest.encoded->size() : oldest.canonical.size();
        recent_.pop_front();
    }
}

std::vector<Shared> Audit::after(RecordNumber number, std::size_t limit) {
    std::vector<Shared> out;
    if (number >= last_) return out;
    limit = std::min<std::size_t>(limit, last_.value - number.value);
    const std::size_t first_recent = last_.value - recent_.size();  // the number before it
    if (number.value >= first_recent) {
        for (std::size_t i = number.value - first_recent; out.size() < limit; ++i)
            out.push_back(encoded(recent_[i]));
        return out;
    }
    if (!source_) return out;
    for (const std::string& bytes : source_(number, limit)) {
        const auto record = decode_record(bytes);
        if (!record || record->number.value != number.value + out.size() + 1) break;
        out.push_back(shared(message(*record, bytes)));
        if (out.size() == limit) break;
    }
    return out;
}

const Shared& Audit::encoded(Item& item) {
    if (item.encoded) return item.encoded;
    const auto record = decode_record(item.canonical);
    INSIST(record);
    item.encoded = shared(message(*record, item.canonical));
    recent_bytes_ = recent_bytes_ - item.canonical.size() + item.encoded->size();
    item.canonical = std::string();
    return item.encoded;
}

}  // namespace honbu
