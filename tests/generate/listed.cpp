#include "tests/generate/listed.h"

namespace honbu::generate {

std::string listed(std::span<const Call> calls) {
    std::string out;
    for (const Call& call : calls) {
        out += "\n  " + std::to_string(call.id.run.value) + "/" +
               std::to_string(call.id.number.value) + " at " + std::to_string(call.entered.ms);
        if (call.back.ms > 0) out += " back " + std::to_string(call.back.ms);
        out += " " + std::string(word(call.what));
        if (const CallId* about = refers_to(call.what)) {
            out += " of " + std::to_string(about->run.value) + "/" +
                   std::to_string(about->number.value);
        }
        if (const auto* replace = std::get_if<Replace>(&call.what)) {
            out += " by " + std::string(word(what(replace->by)));
        }
        if (const auto* move = std::get_if<Move>(&call.what)) {
            out += " to " + std::to_string(move->to.ms);
        }
        const auto sides = [&out](auto who) { out += " " + std::to_string(int{who}); };
        if (const auto* score = std::get_if<Score>(&call.what)) {
            out += " " + std::string(word(score->level));
            sides(score->to.bits);
        }
        if (const auto* shido = std::get_if<Shido>(&call.what)) sides(shido->to.bits);
        if (const auto* direct = std::get_if<HansokuMake>(&call.what)) sides(direct->to.bits);
        if (const auto* hold = std::get_if<Osaekomi>(&call.what)) {
            out += " " + std::string(word(hold->by));
        }
        if (const auto* award = std::get_if<Award>(&call.what)) {
            out += " " + std::string(word(award->way)) + " " + std::string(word(award->to));
        }
        if (const auto* clock = std::get_if<SetClock>(&call.what)) {
            out += " " + std::to_string(clock->elapsed.ms);
        }
        if (const auto* hold = std::get_if<SetHold>(&call.what)) {
            out += " " + std::string(word(hold->by)) + " " + std::to_string(hold->value.ms);
        }
    }
    return out;
}

}  // namespace honbu::generate
