// The audit stream: every record of the journal, in order, from any number on.
//
// The recent ones are kept, by number and by bytes, and encoded once for all who follow; older ones
// are asked of whoever has the journal each time, a few at a time. So a follower costs one number,
// however far behind it is, and goes on where it was after a restart. Hub thread.
#pragma once

#include <cstddef>
#include <deque>
#include <functional>
#include <string>
#include <vector>

#include "engine/record/record.h"
#include "hub/feed/shared.h"

namespace honbu {

class Audit {
public:
    // The canonical bytes of the records after this number, in order, at most `limit`. Fewer: the
    // rest can't be read for now. Asked for nothing that recorded() or begin() has not named.
    using Source = std::function<std::vector<std::string>(RecordNumber after, std::size_t limit)>;

    // What was kept before this process began.
    void begin(RecordNumber kept, Source source);
    void recorded(RecordNumber number, const std::string& bytes);

    RecordNumber last() const { return last_; }
    std::vector<Shared> after(RecordNumber number, std::size_t limit, Form form = Form::binary);

    static constexpr std::size_t recent_max = 256;
    static constexpr std::size_t recent_bytes_max = 256 * 1024;
    std::size_t recent() const { return recent_.size(); }
    std::size_t recent_bytes() const { return recent_bytes_; }

private:
    struct Item {
        std::string canonical;
        Encoded message;  // made when first asked for; the canonical bytes go then
        std::size_t bytes() const;
    };
    const Shared& encoded(Item& item, Form form);
    void keep_to_bounds();

    Source source_;
    RecordNumber last_;
    std::deque<Item> recent_;  // the last one is record `last_`
    std::size_t recent_bytes_ = 0;
};

}  // namespace honbu
