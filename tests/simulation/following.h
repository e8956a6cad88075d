// What a screen or a desk follows, what it has read last, and where it goes on after a broken line.
//
// As clients/web/src/link.ts does it: positions of another journal, or of records that are lost,
// are forgotten. One thread.
#pragma once

#include <map>
#include <string>

#include "hub/wire/heard.h"
#include "tests/simulation/as_told.h"

namespace honbu::simulation {

class Following {
public:
    Following(Checker& checker, Who who, Subscribe wish);

    void put_position(Hello& hello) const;
    Subscribe welcome(const Welcome& welcome);  // answers what to subscribe to now
    void hear(const Heard& message, const std::string& bytes);
    Followed followed() const;
    const Subscribe& wish() const { return wish_; }

    // -- as last read
    const std::map<BoutId, BoutSheet>& sheets() const { return sheets_; }
    const SetAside& set_aside() const { return set_aside_; }
    const Tables& tables() const { return tables_; }
    const std::map<MatId, MatView>& views() const { return views_; }

private:
    struct Hear;
    void seen(RecordNumber number, std::uint64_t hash = 0);

    Checker& checker_;
    Who who_;
    Subscribe wish_;
    Position position_;
    RecordNumber last_result_;
    RecordNumber last_record_;
    std::map<BoutId, BoutSheet> sheets_;
    SetAside set_aside_;
    Tables tables_;
    std::map<MatId, MatView> views_;
};

}  // namespace honbu::simulation
