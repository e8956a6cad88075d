// Table and desk ask for each other. Nothing of it is recorded: a question lives as long as the
// connection it came over, and whoever comes later is shown what is still open.
#include "hub/core/inside.h"

namespace honbu {
namespace {

constexpr std::size_t asks_of_one_max = 8;
constexpr std::size_t asks_max = 400;

}  // namespace

bool Hub::Inside::is_asked(const OpenAsk& open, const Greeted& session) const {
    const Role role = session.hello.role;
    if (open.to == AskTo::desk) return role == Role::desk;
    const Mat& mat = mats.at(open.asked.mat);
    return role == Role::table && session.mat == open.asked.mat &&
           session.hello.device == mat.known_holder;
}

void Hub::Inside::ask(SessionId session, const Ask& wish, Instant now) {
    const Greeted& from = sessions.at(session);
    const Role role = from.hello.role;
    if (role != Role::table && role != Role::desk) {
        refuse(session, Cause::not_a_table, "Only tables and the desk ask for each other.");
        return;
    }
    if (mats.count(wish.mat) == 0) {
        refuse(session, Cause::no_such_mat,
               "This competition has no mat " + std::to_string(wish.mat.value) + ".");
        return;
    }
    std::size_t own = 0;
    for (const auto& [number, open] : asks)
        own += open.by == session ? 1 : 0;
    if (own >= asks_of_one_max || asks.size() >= asks_max) {
        refuse(session, Cause::too_many,
               "There are open questions enough. Wait for an answer, or go there.");
        return;
    }
    OpenAsk open;
    open.to = wish.to;
    open.by = session;
    open.asked = Asked{++last_ask, wish.mat, role == Role::desk, from.hello.hand, wish.about,
                       wish.words, now};
    AskAnswered heard;
    heard.ask = open.asked.ask;
    heard.answer = Answered::heard;
    for (const auto& [id, other] : sessions) {
        if (id == session || !is_asked(open, other)) continue;
        ++heard.shown_to;
        outlet.reply(id, open.asked);
    }
    asks[heard.ask] = std::move(open);
    outlet.reply(session, heard);
}

void Hub::Inside::answer(SessionId session, const AnswerAsk& wish) {
    const auto found = asks.find(wish.ask);
    if (found == asks.end() || found->second.by == session ||
        !is_asked(found->second, sessions.at(session))) {
        refuse(session, Cause::not_yours,
               "This question is not open any more, or was asked of somebody else.");
        return;
    }
    const OpenAsk open = found->second;
    asks.erase(found);
    const AskAnswered told{wish.ask, wish.answer, sessions.at(session).hello.hand, wish.words, 0};
    for (const auto& [id, other] : sessions) {
        if (id == open.by || is_asked(open, other)) outlet.reply(id, told);
    }
}

// To somebody who has just come, or has just taken the mat.
void Hub::Inside::tell_open_asks(SessionId session) {
    const Greeted& known = sessions.at(session);
    for (const auto& [number, open] : asks) {
        if (open.by == session || !is_asked(open, known)) continue;
        outlet.reply(session, open.asked);
        outlet.reply(open.by, AskAnswered{number, Answered::heard, {}, {}, 1});
    }
}

void Hub::Inside::forget_asks_of(SessionId session) {
    for (auto open = asks.begin(); open != asks.end();) {
        if (open->second.by != session) {
            ++open;
            continue;
        }
        for (const auto& [id, other] : sessions) {
            if (!is_asked(open->second, other)) continue;
            outlet.reply(id, AskAnswered{open->first, Answered::gone, {}, {}, 0});
        }
        open = asks.erase(open);
    }
}

}  // namespace honbu
