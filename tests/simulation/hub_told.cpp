#include "tests/simulation/hub_told.h"

#include "hub/wire/heard.h"
#include "tests/simulation/as_told.h"

namespace honbu::simulation {
namespace {

struct Tell {
    Checker& checker;
    const Addressed& to;

    void operator()(const Unreadable&) const {
        throw Broken("clients read what the wire writes: a message can't be read");
    }
    void operator()(const Welcome& m) const {
        const Hello& hello = to.hello;
        const bool believed = hello.role == Role::table || hello.role == Role::desk;
        checker.welcome_left({to.session, hello.device, hello.run != RunId{}, believed},
                             {hello.seen_epoch, hello.seen_number, hello.seen_hash}, as_told(m),
                             m.runs);
    }
    void operator()(const Allotment& m) const {
        if (to.hello.role == Role::desk) {
            checker.opened_left(m);
        } else {
            checker.allotment_left(to.hello.device, m);
        }
    }
    void operator()(const VerdictGiven& m) const {
        checker.verdict_left(m.call, m.verdict, m.record, m.state_differs);
    }
    void operator()(const Refusal& m) const {
        if (m.request != 0) checker.wish_refused(to.hello.device, m.request, as_told(m.reason));
        if (!m.about_call || !to.last_submitted || to.last_submitted->id != m.call) return;
        checker.refusal_left(to.hello.device, *to.last_submitted, as_told(m.reason));
    }
    void operator()(const Done& m) const {
        checker.done_left(to.hello.device, m.request, m.record);
    }
    void operator()(const Asked& m) const { checker.asked_left(to.session, m.ask); }
    void operator()(const AskAnswered& m) const {
        checker.answer_left(to.session, m.ask, m.answer != Answered::heard);
    }
    void operator()(const MatView& m) const { checker.view_left(m); }
    void operator()(const Finished& m) const { checker.result_left(to.session, as_told(m)); }
    void operator()(const Reopened& m) const { checker.result_left(to.session, as_told(m)); }
    void operator()(const Renamed& m) const { checker.result_left(to.session, as_told(m)); }
    void operator()(const PeopleFound&) const { only_the_desk("who is kept"); }
    void operator()(const CallList& m) const { checker.call_list_left(m.number, as_told(m)); }
    void operator()(const BoutSheet& m) const { checker.sheet_left(m.number, as_told(m)); }
    void operator()(const Tables& m) const {
        only_the_desk("how the tables stand");
        checker.tables_left(m.number, m.missing, as_told(m));
    }
    void operator()(const SetAside& m) const {
        only_the_desk("what was set aside");
        checker.set_aside_left(m.number, as_told(m));
    }
    void operator()(const HeardRecord& m) const {
        only_the_desk("a record");
        checker.record_left(to.session, m.number, m.bytes);
    }
    void operator()(const Door&) const { only_the_desk("who is inside"); }
    void operator()(const AtTheDoor&) const {
        throw Broken("where nobody is asked, somebody waits at the door");
    }
    void operator()(const ClockAnswer&) const {}
    void operator()(const MatLost&) const {}
    void operator()(const Heartbeat&) const {}
    void operator()(const Goodbye&) const {}

    void only_the_desk(const std::string& what) const {
        if (to.hello.role == Role::desk) return;
        throw Broken("what is the desk's is shown to the desk: " + what + " went elsewhere");
    }
};

}  // namespace

void tell_checker(Checker& checker, const Addressed& to, const std::string& bytes) {
    std::visit(Tell{checker, to}, honbu::heard(bytes));
}

}  // namespace honbu::simulation
