// A second thread that reads and checks records while the first one takes those before them: a
// start with a long journal keeps two cores busy.
//
// At most a few pieces wait. The thread lives as long as the ReadAhead; what it is given to read
// with is its own until then. Belongs to whoever takes the pieces.
#pragma once

#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "hub/fault.h"
#include "hub/journal/chain.h"

namespace honbu {

class ReadAhead {
public:
    struct Row {
        RecordNumber number;
        Hash hash{};
        std::size_t from = 0;  // in `bytes`
        std::size_t size = 0;
    };
    struct Piece {
        std::string bytes;
        std::vector<Row> rows;
        ChainEnd end;                // after its rows
        std::optional<Fault> fault;  // what ends the reading, after its rows
        bool last = false;

        bool full() const { return rows.size() >= rows_max || bytes.size() >= bytes_max; }
        void add(RecordNumber number, const Hash& hash, std::string_view more);

    private:
        static constexpr std::size_t rows_max = 1'000;
        static constexpr std::size_t bytes_max = 256 * 1024;
    };
    // Fills a piece that begins where the last one ended.
    using Fill = std::function<void(Piece&)>;

    ReadAhead(Fill fill, const ChainEnd& after);  // the first begins behind this
    ~ReadAhead();
    ReadAhead(const ReadAhead&) = delete;
    ReadAhead& operator=(const ReadAhead&) = delete;

    // The next piece; nothing may be asked for after the last one.
    Piece next();

private:
    void run();

    const Fill fill_;
    const ChainEnd after_;
    std::mutex mutex_;
    std::condition_variable bell_;
    std::deque<Piece> waiting_;
    bool stop_ = false;
    std::thread thread_;  // last: starts when everything above is there
};

}  // namespace honbu
