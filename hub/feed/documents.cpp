#include "hub/feed/documents.h"

#include <functional>
#include <utility>

#include "engine/view/json.h"
#include "hub/core/public_names.h"
#include "hub/feed/event.h"
#include "hub/feed/tables_csv.h"
#include "hub/wire/call_json.h"

namespace honbu {

SharedDocument Documents::finish(RecordNumber number, std::string_view type, std::string body,
                                 std::string file_name) const {
    auto document = std::make_shared<Document>();
    document->content_type = type;
    const std::uint64_t print = std::hash<std::string_view>()(body);
    document->etag = "\"" + position_text({epoch_, number}) + "-" + name_text(print) + "\"";
    document->cache = for_a_second;
    document->body = std::move(body);
    document->file_name = std::move(file_name);
    return document;
}

SharedDocument Documents::json(RecordNumber number, const char* key, std::string_view value) const {
    JsonWriter w;
    w.begin_object();
    w.name("epoch", epoch_.value);
    w.number("number", number.value);
    w.key(key);
    w.raw(value);
    w.end_object();
    return finish(number, json_type, w.take() + "\n");
}

// Names may become known by another mat's result, and a mat's view does not show all its bouts.
std::uint64_t Documents::change_of(BoutId bout, MatId mat) const {
    const auto& mats = feed_.views().mats();
    const auto found = mats.find(mat);
    const std::uint64_t of_mat = found == mats.end() ? 0 : found->second.change;
    return of_mat + feed_.views().sheet_changes(bout);  // both only grow
}

SharedDocument Documents::mats() {
    Views& views = feed_.views();
    if (mats_.document && mats_.change == views.changes()) return mats_.document;
    JsonWriter w;
    w.begin_array();
    RecordNumber number;
    for (const auto& [mat, view] : views.mats()) {
        number = std::max(number, view.view.number);
        w.raw(*views.json(mat));
    }
    w.end_array();
    mats_ = Kept{views.changes(), json(number, "mats", w.take())};
    return mats_.document;
}

SharedDocument Documents::mat(MatId mat) {
    Views& views = feed_.views();
    const auto found = views.mats().find(mat);
    if (found == views.mats().end()) return nullptr;
    Kept& kept = mat_[mat];
    if (kept.change != found->second.change) {
        kept = Kept{found->second.change, json(found->second.view.number, "mat", *views.json(mat))};
    }
    return kept.document;
}

SharedDocument Documents::call_list() {
    const Views& views = feed_.views();
    if (!call_list_.document || call_list_.change != views.call_list_changes()) {
        const CallList& list = views.call_list();
        call_list_ = Kept{views.call_list_changes(),
                          json(list.number, "callList", to_proto_json(publicly(list, names())))};
    }
    return call_list_.document;
}

SharedDocument Documents::results() {
    const Results& results = feed_.results();
    if (results_.document && results_.change == results.size()) return results_.document;
    JsonWriter w;
    w.begin_array();
    for (const Results::Told* told : results.standing())
        w.raw(told->json(names()));
    w.end_array();
    results_ = Kept{results.size(), json(results.last(), "results", w.take())};
    return results_.document;
}

SharedDocument Documents::results_csv() {
    const Results& results = feed_.results();
    if (results_csv_.document && results_csv_.change == results.size()) {
        return results_csv_.document;
    }
    std::string text = results_csv_head();
    for (const Results::Told* told : results.standing()) {
        const Finished& item = std::get<Finished>(told->fact);
        text += results_csv_row(names() == PublicNames::full ? item : publicly(item, names()));
    }
    results_csv_ = Kept{results.size(),
                        finish(results.last(), csv_type, std::move(text), "results.csv")};
    return results_csv_.document;
}

SharedDocument Documents::sheet(BoutId bout) {
    return sheet(bout, sheets_, &Documents::sheet_as_json);
}

SharedDocument Documents::sheet_csv(BoutId bout) {
    return sheet(bout, sheets_csv_, &Documents::sheet_as_csv);
}

SharedDocument Documents::sheet(BoutId bout, std::map<BoutId, Kept>& kept,
                                SharedDocument (Documents::*make)(const BoutSheet&) const) {
    const auto known = kept.find(bout);
    if (known != kept.end() && known->second.change == change_of(bout, mat_of_.at(bout))) {
        return known->second.document;
    }
    const auto sheet = sheet_of_(bout);
    if (!sheet) return nullptr;
    mat_of_[bout] = sheet->mat;
    SharedDocument made = (this->*make)(publicly(*sheet, names()));
    kept[bout] = Kept{change_of(bout, sheet->mat), made};
    return made;
}

SharedDocument Documents::sheet_as_json(const BoutSheet& sheet) const {
    JsonWriter w;
    w.begin_object();
    w.number("mat", sheet.mat.value);
    w.raw("bout", to_proto_json(sheet.bout));
    w.text("rules", sheet.rules);
    w.number("timeMs", sheet.time.ms);
    w.number("goldenMs", sheet.golden.ms);
    w.text("phase", proto_name(sheet.phase));
    w.text("words", sheet.words);
    if (sheet.has_result) w.raw("result", to_proto_json(sheet.result));
    w.begin_array("lines");
    for (const SheetLine& line : sheet.lines) {
        w.begin_object();
        w.flag("goldenScore", line.golden);
        w.number("elapsedMs", line.elapsed.ms);
        w.text("why", proto_name(line.why));
        w.text("call", line.call);
        w.text("side", proto_name(line.side));
        w.text("reason", proto_name(line.reason));
        w.text("words", line.words);
        w.raw("white", to_proto_json(line.white));
        w.raw("blue", to_proto_json(line.blue));
        w.end_object();
    }
    w.end_array();
    w.number("changed", sheet.changed.value);
    w.flag("atDesk", sheet.at_desk);
    w.number("resultNumber", sheet.result_number.value);
    w.end_object();
    return json(sheet.number, "sheet", w.take());
}

SharedDocument Documents::sheet_as_csv(const BoutSheet& sheet) const {
    return finish(sheet.number, csv_type, honbu::sheet_csv(sheet),
                  "bout-" + std::to_string(sheet.bout.bout.value) + ".csv");
}

std::string to_json(const HubNow& hub) {
    JsonWriter w;
    w.begin_object();
    w.name("epoch", hub.epoch.value);
    w.number("number", hub.number.value);
    w.number("hubMs", hub.now.ms);
    w.number("rehearsalRate", hub.rehearsal_rate);
    w.text("title", hub.title);
    w.begin_array("mats");
    for (const MatId mat : hub.mats)
        w.number(mat.value);
    w.end_array();
    w.text("publicNames", proto_name(hub.public_names));
    w.end_object();
    return w.take();
}

}  // namespace honbu
