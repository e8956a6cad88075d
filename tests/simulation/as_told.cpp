#include "tests/simulation/as_told.h"

namespace honbu::simulation {
namespace {

constexpr char separator = '\x1f';  // as the hub keeps typed names

ResultTold result_told(const Finished& item) {
    return {item.mat,      item.bout,        item.result,
            item.words,    item.confirmed,   static_cast<Came>(item.from),
            item.replaces, item.unlike_calls};
}

OpenedTold opened_told(const Reopened& item) { return {item.mat, item.bout, item.replaces}; }

}  // namespace

// What is inside an item has its number.
Item as_told(const Finished& item) {
    Item out{item.number, {result_told(item)}, {}, {}};
    for (const Finished& also : item.also) {
        if (also.number == item.number) out.results.push_back(result_told(also));
    }
    for (const Reopened& other : item.no_result) {
        if (other.number == item.number) out.opened.push_back(opened_told(other));
    }
    return out;
}

Item as_told(const Reopened& item) { return {item.number, {}, {opened_told(item)}, {}}; }

Item as_told(const Renamed& item) { return {item.number, {}, {}, {{item.person, item.name}}}; }

WelcomeTold as_told(const Welcome& welcome) {
    return {{welcome.epoch, welcome.number, welcome.hash},
            welcome.missing,
            welcome.differs,
            welcome.earlier};
}

std::string as_told(const CallList& list) {
    std::vector<CalledTold> out;
    for (const CallList::OnMat& mat : list.mats)
        out.push_back({mat.mat, mat.table != TableLine::none, mat.on, mat.phase, mat.next});
    return described(out);
}

std::string as_told(const SetAside& waiting) {
    std::vector<AsideTold> out;
    for (const SetAside::OfBout& bout : waiting.bouts) {
        AsideTold told{bout.bout, bout.device, bout.hand, bout.mat, bout.head, {}, {}};
        if (!(bout.typed_white + bout.typed_blue + bout.typed_note).empty()) {
            told.typed = bout.typed_white + separator + bout.typed_blue + separator +
                         bout.typed_note;
        }
        for (const SetAside::Item& item : bout.calls)
            told.calls.push_back({item.call, item.record, item.verdict});
        out.push_back(std::move(told));
    }
    return described(out, waiting.more);
}

std::string as_told(const Tables& tables) {
    std::vector<TableTold> out;
    for (const Tables::OfMat& mat : tables.mats)
        out.push_back({mat.mat, mat.device, mat.term, mat.hand, mat.taken, mat.differs});
    return described(out);
}

SheetTold as_told(const BoutSheet& sheet) {
    SheetTold out{sheet.mat,     sheet.bout,          sheet.rules,   sheet.time,
                  sheet.golden,  sheet.phase,         std::nullopt,  sheet.words,
                  sheet.changed, sheet.result_number, sheet.at_desk, {}};
    if (sheet.has_result) out.result = sheet.result;
    for (const SheetLine& line : sheet.lines) {
        out.lines.push_back(
            {line.elapsed, line.golden, line.why, line.call, line.white, line.blue});
    }
    return out;
}

Refused as_told(Cause reason) {
    switch (reason) {
    case Cause::number_gap: return Refused::gap;
    case Cause::other_content: return Refused::other_content;
    case Cause::at_the_table: return Refused::at_the_table;
    case Cause::changed: return Refused::changed;
    case Cause::none:
    case Cause::unreadable:
    case Cause::hello_first:
    case Cause::other_schema:
    case Cause::not_a_table:
    case Cause::no_such_mat:
    case Cause::mat_held:
    case Cause::too_big:
    case Cause::too_slow:
    case Cause::stopping:
    case Cause::no_room:
    case Cause::silent:
    case Cause::other_fold:
    case Cause::not_the_desk:
    case Cause::not_yours:
    case Cause::impossible:
    case Cause::no_such_bout:
    case Cause::too_many:
    case Cause::other_entrance:
    case Cause::full:
    case Cause::too_fast:
    case Cause::not_let_in:
    case Cause::shut_out:
    case Cause::wrong_code:
    case Cause::no_such_person: break;
    }
    return Refused::something_else;
}

std::optional<std::string> typed_beside(const std::vector<Beside>& beside) {
    for (const Beside& each : beside) {
        if (!each.erased && each.key.starts_with("typed/")) return each.value;
    }
    return std::nullopt;
}

std::vector<std::string> erased_beside(const std::vector<Beside>& beside) {
    std::vector<std::string> out;
    for (const Beside& each : beside) {
        if (each.erased) out.push_back(each.key);
    }
    return out;
}

}  // namespace honbu::simulation
