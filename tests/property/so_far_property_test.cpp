// A bout folded call by call is the bout folded from its beginning, whatever is called and
// corrected: each shipped rule set, the whole vocabulary, asked and unasked. fold.h is the
// reference here; that it is right is for the worked bouts in tests/conformance.
#include "engine/bout/so_far.h"

#include "engine/record/canon.h"
#include "tests/property/drawn.h"

namespace honbu {
namespace {

using generate::Asking;
using generate::Sitting;

void same_frames(const std::vector<Frame>& one, const std::vector<Frame>& other) {
    RC_ASSERT(one.size() == other.size());
    for (std::size_t i = 0; i < one.size(); ++i) {
        RC_ASSERT(one[i].from == other[i].from);
        RC_ASSERT(one[i].why == other[i].why);
        RC_ASSERT(encode(one[i].state) == encode(other[i].state));
    }
}

RC_GTEST_PROP(SoFar, IsTheFoldFromTheBeginning, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    for (const Asking asking : {Asking::asked, Asking::unasked}) {
        Sitting sitting(under, asking);
        sitting.press_all(drawn.presses);
        const std::span<const Call> calls(sitting.calls());
        SoFar each;
        SoFar some;  // takes several at once
        for (std::size_t count = 0; count <= calls.size(); ++count) {
            const auto taken = calls.first(count);
            each.go_on(under, taken);
            RC_ASSERT(each.taken() == count);
            same_frames(each.frames(under), frames(under, taken));
            RC_ASSERT(encode(each.last(under)) == encode(frames(under, taken).front().state));
            if (count % 5 == 3) {
                some.go_on(under, taken);
                same_frames(some.frames(under), frames(under, taken));
            }
            if (count == calls.size()) break;
            RC_ASSERT(encode(each.before(under, taken, calls[count])) ==
                      encode(before(under, taken, calls[count])));
            RC_ASSERT(each.no_entry(under, taken, calls[count]) ==
                      no_entry(under, taken, calls[count]));
        }
    }
}

// The same where the tables change: each call may be of another run, with joints among them.
RC_GTEST_PROP(SoFar, IsTheFoldFromTheBeginningOverSeveralRuns, (const Drawn& drawn)) {
    const Conditions under = drawn.under();
    Sitting sitting(under, Asking::unasked);
    sitting.press_all(drawn.presses);
    std::vector<Call> calls = sitting.calls();
    for (std::size_t i = 0; i < calls.size(); ++i) {
        if (drawn.presses.size() > i && drawn.presses[i].detail % 3 == 0) {
            calls[i].id.run = RunId{2 + drawn.presses[i].detail % 2};
        }
    }
    SoFar each;
    for (std::size_t count = 0; count <= calls.size(); ++count) {
        const auto taken = std::span<const Call>(calls).first(count);
        each.go_on(under, taken);
        same_frames(each.frames(under), frames(under, taken));
        if (count == calls.size()) break;
        RC_ASSERT(encode(each.before(under, taken, calls[count])) ==
                  encode(before(under, taken, calls[count])));
        RC_ASSERT(each.no_entry(under, taken, calls[count]) ==
                  no_entry(under, taken, calls[count]));
    }
}

}  // namespace
}  // namespace honbu
