// Results and board sides, both ways.
#include <algorithm>

#include "hub/wire/parts.h"

namespace honbu::wire {
namespace {

BoardSide board_side_of(const v1::BoardSide& in, const std::string& field, Check& check) {
    BoardSide side;
    side.score[index(Level::ippon)] = check.count(in.ippon(), field + ".ippon");
    side.score[index(Level::waza_ari)] = check.count(in.waza_ari(), field + ".waza_ari");
    side.score[index(Level::yuko)] = check.count(in.yuko(), field + ".yuko");
    side.score[index(Level::koka)] = check.count(in.koka(), field + ".koka");
    side.shido = check.count(in.shido(), field + ".shido");
    side.hansoku_make = in.hansoku_make();
    return side;
}

}  // namespace

void put(const Result& result, v1::Result& out) {
    out.set_winner(static_cast<v1::Winner>(result.winner));
    out.set_way(static_cast<v1::Way>(result.way));
    out.set_means(static_cast<v1::Means>(result.means));
    out.set_flags(result.flags);
    out.set_golden_score(result.golden_score);
    out.set_decided_ms(result.decided.ms);
    out.set_stopped_ms(result.stopped.ms);
    out.set_regular_ms(result.regular.ms);
    out.set_golden_ms(result.golden.ms);
    put(result.white, *out.mutable_white());
    put(result.blue, *out.mutable_blue());
    out.set_points(result.points);
    out.set_names_exchanged(result.names_exchanged);
    out.set_administrative(result.administrative);
    out.set_rules_hash(result.rules_hash.data(), result.rules_hash.size());
    out.set_fold_version(result.fold_version);
}

void put(const BoardSide& side, v1::BoardSide& out) {
    out.set_ippon(side.score[index(Level::ippon)]);
    out.set_waza_ari(side.score[index(Level::waza_ari)]);
    out.set_yuko(side.score[index(Level::yuko)]);
    out.set_koka(side.score[index(Level::koka)]);
    out.set_shido(side.shido);
    out.set_hansoku_make(side.hansoku_make);
}

Result result_of(const v1::Result& in, const std::string& field, Check& check) {
    Result result;
    result.winner = check.among<Winner>(in.winner(), v1::WINNER_UNDECIDED, v1::WINNER_DRAW,
                                        field + ".winner");
    result.way = check.among<Way>(in.way(), v1::WAY_NONE, v1::WAY_HIKI_WAKE, field + ".way");
    result.means = check.among<Means>(in.means(), v1::MEANS_NONE, v1::MEANS_CHOKE,
                                      field + ".means");
    result.flags = check.flags(in.flags(), result.way, field + ".flags");
    result.golden_score = in.golden_score();
    result.decided = Duration{in.decided_ms()};
    result.stopped = Duration{in.stopped_ms()};
    result.regular = Duration{in.regular_ms()};
    result.golden = Duration{in.golden_ms()};
    result.white = board_side_of(in.white(), field + ".white", check);
    result.blue = board_side_of(in.blue(), field + ".blue", check);
    result.points = check.count(in.points(), field + ".points");
    result.names_exchanged = in.names_exchanged();
    result.administrative = in.administrative();
    if (in.rules_hash().size() == result.rules_hash.size()) {
        std::transform(in.rules_hash().begin(), in.rules_hash().end(), result.rules_hash.begin(),
                       [](char c) { return static_cast<std::uint8_t>(c); });
    } else {
        check.wrong(field + ".rules_hash has " + std::to_string(in.rules_hash().size()) +
                    " bytes; a SHA-256 has 32.");
    }
    result.fold_version = in.fold_version();
    return result;
}

}  // namespace honbu::wire
