// Makes the journal that is kept for each released format (tests/journal/kept/README.md):
//
//     make_kept FOLDER
//
// An evening of one mat through the hub's own core, with every kind of fact, corrections, calls of
// an older term, results of the desk, and a second epoch. All names are invented.
#include <cstdio>
#include <filesystem>
#include <stdexcept>
#include <string>

#include "engine/record/canon.h"
#include "hub/journal/file.h"
#include "tests/unit/world.h"

namespace {

using namespace honbu;

constexpr DeviceId desk_device{0xde5c};
constexpr DeviceId first_table{0xa1};
constexpr DeviceId second_table{0xa2};
constexpr const char* code = "K7QD-3M2X";

class Evening {
public:
    Evening() : world_(true) {
        world_.begin(small_cup());
        world_.hub->expect_code(code_hash(code));
        desk_ = world_.come(hello(Role::desk, desk_device, {}, "Tove at the desk"));
        desk(UseCode{code});
    }

    // A table comes to the door, is let in, and takes the mat.
    void table(DeviceId device, RunId run) {
        run_ = run;
        number_ = 0;
        calls_.clear();
        table_ = world_.come(hello(Role::table, device, run, "Mirela"));
        const auto door = world_.got<AtTheDoor>(table_);
        if (!door.empty()) desk(LetIn{1, device, door.back().code, Right::table, MatId{1}});
        TakeMat take;
        take.mat = MatId{1};
        take.take_over = true;
        tell(table_, take);
        term_ = world_.got<Allotment>(table_).back().term;
    }
    // What the desk may not do after all must not be missing in what is kept.
    template<class Wish> void desk(const Wish& wish) {
        tell(desk_, wish);
        for (const Refusal& refused : world_.got<Refusal>(desk_))
            throw std::runtime_error("refused: " + refused.words);
    }
    CallId call(What what, BoutId bout = BoutId{1}) {
        Call call;
        call.id = {run_, CallNumber{++number_}};
        call.term = term_;
        call.mat = MatId{1};
        call.bout = bout;
        call.entered = Instant{ms_ += 4'100};
        call.what = std::move(what);
        calls_.push_back(call);
        tell(table_, Submit{call});
        return call.id;
    }
    void confirm(BoutId bout = BoutId{1}) { call(Confirm{result_of(under_, calls_, at())}, bout); }
    void older_term() { term_.value -= 1; }
    Term term() const { return term_; }
    Instant at() const { return Instant{ms_}; }
    RecordNumber changed(BoutId bout) const { return world_.hub->sheet(bout)->changed; }
    World& world() { return world_; }

private:
    static Hello hello(Role role, DeviceId device, RunId run, std::string hand) {
        Hello hello;
        hello.schema = wire_schema;
        hello.role = role;
        hello.device = device;
        hello.run = run;
        hello.fold_version = fold_version;
        hello.hand = std::move(hand);
        hello.token = "secret-of-" + std::to_string(device.value) + std::string(30, 'x');
        return hello;
    }
    template<class Wish> void tell(SessionId session, const Wish& wish) {
        world_.tell(session, wish);
        world_.sync();
    }

    World world_;
    SessionId desk_;
    SessionId table_;
    RunId run_;
    Term term_;
    std::uint32_t number_ = 0;
    std::uint32_t ms_ = 0;
    std::vector<Call> calls_;
    RuleSet rules_ = rules_named("2018");
    Conditions under_{rules_, seconds(240), {}};
};

// With a hold, a penalty, corrections and a doctor; confirmed, opened again, confirmed otherwise.
void first_bout(Evening& evening) {
    evening.call(Called{});
    evening.call(ExchangeNames{});
    evening.call(Hajime{});
    evening.call(Osaekomi{Side::white});
    evening.call(Toketa{});
    const CallId slip = evening.call(Score{only(Side::white), Level::waza_ari});
    evening.call(Replace{slip, Score{only(Side::blue), Level::waza_ari}});
    const CallId shido = evening.call(Shido{only(Side::white), Reason::non_combativity});
    evening.call(Strike{shido});
    const CallId mate = evening.call(Mate{});
    evening.call(Move{mate, evening.at()});
    evening.call(Doctor{Side::blue, DoctorCall::referee});
    evening.call(Hajime{});
    evening.call(Score{only(Side::white), Level::ippon});
    evening.call(SoreMade{});
    evening.call(Kachi{});
    evening.confirm();
    evening.call(Reopen{Ground::slip});
    evening.call(Score{only(Side::blue), Level::waza_ari});
    evening.call(Kachi{});
    evening.confirm();
}

void desk_decides(Evening& evening) {
    EnterResult paper;
    paper.request = 10;
    paper.entered.bout = BoutId{2};
    paper.entered.from = ResultEntered::From::paper;
    paper.entered.result.winner = Winner::blue;
    paper.entered.result.way = Way::fusen_gachi;
    paper.entered.reason = "written on paper while the table was away";
    paper.changed = evening.changed(BoutId{2});
    evening.desk(paper);
    MoveRecord move;
    move.request = 11;
    move.moved = {BoutId{1}, BoutId{2}, "they came to the mat in the other order"};
    move.from_changed = evening.changed(BoutId{1});
    move.to_changed = evening.changed(BoutId{2});
    evening.desk(move);
}

// Calls of a table that was relieved: two are taken into the final, one is dismissed.
void set_aside(Evening& evening) {
    evening.older_term();
    const CallId first = evening.call(Hajime{}, BoutId{3});
    const CallId second = evening.call(Score{only(Side::blue), Level::waza_ari}, BoutId{3});
    const CallId third = evening.call(Mate{}, BoutId{3});
    evening.desk(DecideSetAside{
        20, SetAsideDecided::How::taken, BoutId{3}, {first, second}, "the cable was out"});
    evening.desk(DecideSetAside{21, SetAsideDecided::How::dismissed, {}, {third}, "a slip"});
}

// A table that never came back: what it had kept comes in a file.
void handed_in(Evening& evening) {
    HandIn wish;
    wish.request = 25;
    wish.device = DeviceId{0xa3};
    wish.hand = "Kaya";
    for (std::uint32_t number = 1; number <= 3; ++number) {
        Call call;
        call.id = {RunId{0x33}, CallNumber{number}};
        call.term = Term{1};
        call.mat = MatId{1};
        call.bout = BoutId{3};
        call.entered = Instant{number * 1'000};
        call.what = number == 1 ? What(Hajime{}) : number == 2 ? What(SonoMama{}) : What(Mate{});
        wish.calls.push_back(call);
    }
    evening.desk(wish);
}

int keep(const World& world, const std::filesystem::path& folder) {
    auto file = JournalFile::open(folder);
    if (!file) {
        std::fprintf(stderr, "%s\n", file.error().words.c_str());
        return 1;
    }
    std::vector<Entry> entries;
    for (const World::Row& row : world.disk)
        entries.push_back({row.number, row.bytes, row.beside, {}});
    entries.front().begun_wall_ms = 1'700'000'000'000;
    if ((*file)->commit(entries) != JournalFile::Kept::yes) return 1;
    (*file)->close();
    std::filesystem::remove(folder / "honbu.lock");
    std::printf("%s%zu records, hash %s\nstate %s\n", world.hub->summary().c_str(),
                world.disk.size(), hex(sha256(world.disk.back().bytes)).c_str(),
                hex(sha256(world.hub->state_bytes())).c_str());
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 2) {
        std::fputs("make_kept FOLDER\n", stderr);
        return 2;
    }
    Evening evening;
    evening.table(first_table, RunId{0x11});
    first_bout(evening);
    desk_decides(evening);
    evening.table(second_table, RunId{0x22});
    set_aside(evening);
    evening.desk(GiveBack{12, BoutId{3}, evening.changed(BoutId{3})});
    handed_in(evening);
    evening.desk(ShutOut{30, first_table, "a phone that was lost"});
    World& world = evening.world();
    world.hub->begin_again(Epoch{0xe1}, world.now());
    world.sync();
    evening.table(second_table, RunId{0x23});
    evening.call(Called{}, BoutId{3});
    evening.call(Hajime{}, BoutId{3});
    LeaveMat leave;
    leave.mat = MatId{1};
    leave.term = evening.term();
    world.tell(SessionId{world.sessions}, leave);
    world.sync();
    evening.desk(ErasePerson{40, {PersonId{4}, {}, "asked for by mail"}});
    return keep(world, argv[1]);
}
