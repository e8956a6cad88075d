// For call boards and readers of sheets: who is on and who comes next, and the sheet of one bout.
#include "hub/wire/parts.h"
#include "hub/wire/wire.h"

namespace honbu {
namespace wire {
namespace {

void put_line(const SheetLine& line, v1::SheetLine& out) {
    out.set_elapsed_ms(line.elapsed.ms);
    out.set_golden_score(line.golden);
    out.set_why(static_cast<v1::Frame::Why>(line.why));
    out.set_call(line.call);
    out.set_side(static_cast<v1::Side>(line.side.bits));
    out.set_reason(static_cast<v1::PenaltyReason>(line.reason));
    out.set_words(line.words);
    put(line.white, *out.mutable_white());
    put(line.blue, *out.mutable_blue());
}

}  // namespace

void put(const CallList& list, v1::CallList& out) {
    out.set_number(list.number.value);
    for (const CallList::OnMat& each : list.mats) {
        v1::CallList::OnMat& mat = *out.add_mats();
        mat.set_mat(each.mat.value);
        mat.set_table(static_cast<v1::TableLine>(each.table));
        if (each.on) put(*each.on, *mat.mutable_on());
        mat.set_phase(static_cast<v1::Phase>(each.phase));
        for (const BoutHead& head : each.next)
            put(head, *mat.add_next());
    }
}

void put(const BoutSheet& sheet, v1::BoutSheet& out) {
    out.set_number(sheet.number.value);
    out.set_mat(sheet.mat.value);
    put(sheet.bout, *out.mutable_bout());
    out.set_rules(sheet.rules);
    out.set_time_ms(sheet.time.ms);
    out.set_golden_ms(sheet.golden.ms);
    out.set_phase(static_cast<v1::Phase>(sheet.phase));
    if (sheet.has_result) put(sheet.result, *out.mutable_result());
    out.set_words(sheet.words);
    for (const SheetLine& line : sheet.lines)
        put_line(line, *out.add_lines());
    out.set_changed(sheet.changed.value);
    out.set_at_desk(sheet.at_desk);
    out.set_result_number(sheet.result_number.value);
}

}  // namespace wire

std::string to_wire(const CallList& list) {
    v1::ToClient out;
    wire::put(list, *out.mutable_call_list());
    return out.SerializeAsString();
}

std::string to_wire(const BoutSheet& sheet) {
    v1::ToClient out;
    wire::put(sheet, *out.mutable_sheet());
    return out.SerializeAsString();
}

}  // namespace honbu
