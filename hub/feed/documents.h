// What anybody may ask for once: the mats, the call list, the results and the bout sheets, as JSON
// and CSV.
//
// Always what is on the disk, each with its version inside (epoch and record number) and in a
// strong ETag: epoch, number, and a fingerprint of the bytes, since a table that drops out changes
// a view without a record. Each is made when first asked for after a change, then shared. JSON has
// the names of hub.proto; docs/http.md has it all. Hub thread.
#pragma once

#include <cstdint>
#include <map>
#include <string_view>

#include "hub/core/sheet.h"
#include "hub/feed/document.h"
#include "hub/feed/feed.h"

namespace honbu {

class Documents {
public:
    Documents(Feed& feed, Views::SheetOf sheet_of) : feed_(feed), sheet_of_(std::move(sheet_of)) {}

    void begin(Epoch epoch) { epoch_ = epoch; }

    SharedDocument mats();
    SharedDocument mat(MatId mat);  // nothing: there is no such mat
    SharedDocument call_list();
    SharedDocument results();
    SharedDocument results_csv();
    SharedDocument sheet(BoutId bout);  // nothing: there is no such bout
    SharedDocument sheet_csv(BoutId bout);

private:
    PublicNames names() const { return feed_.views().names(); }
    struct Kept {
        std::uint64_t change = 0;  // as of which it holds
        SharedDocument document;
    };
    SharedDocument json(RecordNumber number, const char* key, std::string_view value) const;
    SharedDocument finish(RecordNumber number, std::string_view type, std::string body,
                          std::string file_name = {}) const;
    std::uint64_t change_of(BoutId bout, MatId mat) const;
    SharedDocument sheet(BoutId bout, std::map<BoutId, Kept>& kept,
                         SharedDocument (Documents::*make)(const BoutSheet&) const);
    SharedDocument sheet_as_json(const BoutSheet& sheet) const;
    SharedDocument sheet_as_csv(const BoutSheet& sheet) const;

    Feed& feed_;
    Views::SheetOf sheet_of_;
    Epoch epoch_;
    Kept mats_;
    Kept call_list_;
    Kept results_;
    Kept results_csv_;
    std::map<MatId, Kept> mat_;
    std::map<BoutId, MatId> mat_of_;
    std::map<BoutId, Kept> sheets_;
    std::map<BoutId, Kept> sheets_csv_;
};

// Where the hub stands, for the first event of a stream and for GET /v1.
struct HubNow {
    Epoch epoch;
    RecordNumber number;
    Instant now;
    std::uint32_t rehearsal_rate = 1;
    std::string title;
    std::vector<MatId> mats;
    PublicNames public_names = PublicNames::full;
};
std::string to_json(const HubNow& hub);

}  // namespace honbu
