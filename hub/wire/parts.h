// What messages are made of, both ways. Internal to hub/wire: nobody else sees protobuf.
//
// put() fills a message from a value and can't fail. A Check reads values out of a message that
// came from anywhere: it remembers the first thing wrong, in a sentence that names the field as
// hub.proto does, and answers harmless values from then on, so that reading goes straight down and
// asks once at the end. Pure, any thread.
#pragma once

#include <string>
#include <string_view>

#include "honbu/v1/hub.pb.h"
#include "hub/core/message.h"
#include "hub/core/sheet.h"

namespace honbu::wire {

// ---- values to messages -------------------------------------------------------------------------

void put(const Call& call, v1::Call& out);
void put(CallId id, v1::CallRef& out);
void put(const Result& result, v1::Result& out);
void put(const BoardSide& side, v1::BoardSide& out);
void put(const Seat& seat, v1::Seat& out);
void put(const BoutHead& head, v1::BoutHead& out);
void put(const MatView& view, v1::MatView& out);
void put(const Finished& item, v1::Finished& out);
void put(const Reopened& item, v1::Reopened& out);
void put(const Renamed& item, v1::Renamed& out);
void put(const CallList& list, v1::CallList& out);
void put(const BoutSheet& sheet, v1::BoutSheet& out);
void put(const Tables& tables, v1::Tables& out);
void put(const SetAside& waiting, v1::SetAside& out);
void put(const Door& door, v1::Door& out);
void put(const Typed& typed, v1::Typed& out);

// What table and desk ask for each other, and the desk's commands.
void put(const Ask& command, v1::Ask& out);
void put(const AnswerAsk& command, v1::Answer& out);
void put(const OpenBout& command, v1::OpenBout& out);
void put(const DecideSetAside& command, v1::DecideSetAside& out);
void put(const EnterResult& command, v1::EnterResult& out);
void put(const MoveRecord& command, v1::MoveRecord& out);
void put(const GiveBack& command, v1::GiveBack& out);
void put(const ErasePerson& command, v1::ErasePerson& out);
void put(const FindPeople& command, v1::FindPeople& out);
void put(const PeopleFound& reply, v1::PeopleFound& out);
void put(const HandIn& command, v1::HandIn& out);
// Who may come in.
void put(const UseCode& command, v1::UseCode& out);
void put(const LetIn& command, v1::LetIn& out);
void put(const ShutOut& command, v1::ShutOut& out);
void put(const Asked& reply, v1::Asked& out);
void put(const AskAnswered& reply, v1::AskAnswered& out);
void put(const Done& reply, v1::Done& out);

// A name, or the first 8 bytes of a hash, as 16 hex digits; 0 is nothing at all.
std::string optional_name_text(std::uint64_t value);

void put(const Reply& reply, v1::ToClient& out);
void put(const Command& command, v1::ToHub& out);

// ---- messages to values -------------------------------------------------------------------------

class Check {
public:
    bool good() const { return words_.empty(); }
    const std::string& words() const { return words_; }
    void wrong(std::string words) {
        if (good()) words_ = std::move(words);
    }

    // 16 hex digits, not all of them zero; optional: or nothing at all, which is 0.
    std::uint64_t name(const std::string& text, std::string_view field);
    std::uint64_t optional_name(const std::string& text, std::string_view field);

    // The first 8 bytes of a hash as 16 hex digits; nothing at all is 0.
    std::uint64_t hash(const std::string& text, std::string_view field);
    // What people read: not longer, and without control characters; what can't be seen is left out
    // (hub/core/plain_text.h).
    std::string text(const std::string& text, std::size_t bytes_max, std::string_view field);
    // The same, and there must be some.
    std::string reason(const std::string& text, std::string_view field);

    MatId mat(std::uint32_t value, std::string_view field);
    BoutId bout(std::uint32_t value, std::string_view field);
    Side side(v1::Side value, std::string_view field);                // white or blue
    Sides sides(v1::Side value, std::string_view field);              // white, blue or both
    std::uint8_t count(std::uint32_t value, std::string_view field);  // at most 255
    // Of a hantei: 0, 2 or 3; of anything else 0.
    std::uint8_t flags(std::uint32_t value, Way way, std::string_view field);

    // An enum whose numbers are the same on both sides (numbers.cpp).
    template<class Value, class Wire>
    Value among(Wire value, Wire first, Wire last, std::string_view field) {
        if (value < first || value > last) {
            out_of_range(field, value, first, last);
            return static_cast<Value>(first);
        }
        return static_cast<Value>(value);
    }

private:
    void out_of_range(std::string_view field, int value, int first, int last);
    std::string words_;
};

CallId call_id_of(bool present, const v1::CallRef& in, std::string_view field, Check& check);
Result result_of(const v1::Result& in, const std::string& field, Check& check);
Call call_of(const v1::Call& in, Check& check);

Ask ask_of(const v1::Ask& in, Check& check);
AnswerAsk answer_of(const v1::Answer& in, Check& check);
OpenBout open_bout_of(const v1::OpenBout& in, Check& check);
DecideSetAside decide_set_aside_of(const v1::DecideSetAside& in, Check& check);
EnterResult enter_result_of(const v1::EnterResult& in, Check& check);
MoveRecord move_record_of(const v1::MoveRecord& in, Check& check);
GiveBack give_back_of(const v1::GiveBack& in, Check& check);
ErasePerson erase_person_of(const v1::ErasePerson& in, Check& check);
FindPeople find_people_of(const v1::FindPeople& in, Check& check);
HandIn hand_in_of(const v1::HandIn& in, Check& check);
std::string token_of(const std::string& token, Check& check);
UseCode use_code_of(const v1::UseCode& in, Check& check);
LetIn let_in_of(const v1::LetIn& in, Check& check);
ShutOut shut_out_of(const v1::ShutOut& in, Check& check);

}  // namespace honbu::wire
