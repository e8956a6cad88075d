#include "hub/journal/read_ahead.h"

#include <utility>

namespace honbu {
namespace {

constexpr std::size_t pieces_ahead = 4;

}  // namespace

void ReadAhead::Piece::add(RecordNumber number, const Hash& hash, std::string_view more) {
    rows.push_back({number, hash, bytes.size(), more.size()});
    bytes += more;
    end = ChainEnd{number, hash};
}

ReadAhead::ReadAhead(Fill fill, const ChainEnd& after)
    : fill_(std::move(fill)), after_(after), thread_([this] { run(); }) {}

ReadAhead::~ReadAhead() {
    {
        const std::scoped_lock lock(mutex_);
        stop_ = true;
    }
    bell_.notify_all();
    thread_.join();
}

void ReadAhead::run() {
    ChainEnd end = after_;
    for (bool last = false; !last;) {
        Piece piece;
        piece.end = end;
        fill_(piece);
        end = piece.end;
        last = piece.last;
        std::unique_lock lock(mutex_);
        bell_.wait(lock, [this] { return stop_ || waiting_.size() < pieces_ahead; });
        if (stop_) return;
        waiting_.push_back(std::move(piece));
        bell_.notify_all();
    }
}

ReadAhead::Piece ReadAhead::next() {
    std::unique_lock lock(mutex_);
    bell_.wait(lock, [this] { return !waiting_.empty(); });
    Piece piece = std::move(waiting_.front());
    waiting_.pop_front();
    bell_.notify_all();
    return piece;
}

}  // namespace honbu
