// g++ 12.2 destroys a brace-built temporary twice when it stands inside a statement with co_await,
// without a word of warning. That is why tests/tidy forbids the shape. This program shows that the
// fault is still there; it fails when the compiler changes, which is when somebody should look
// whether the fence can come down. Under clang 14 it checks that the same code does the right
// thing, so the probe itself is known to be sound.
#include <coroutine>
#include <cstdio>
#include <utility>

namespace {

int alive = 0;

// Counts lives only, so that a second destruction is a number below zero and not a crash.
class Counted {
public:
    Counted() { ++alive; }
    Counted(const Counted&) { ++alive; }
    Counted(Counted&&) noexcept { ++alive; }
    Counted& operator=(const Counted&) = default;
    Counted& operator=(Counted&&) = default;
    ~Counted() { --alive; }
};

struct Aggregate {
    int number = 0;
    Counted counted;
};

struct Task {
    struct promise_type {
        Task get_return_object() {
            return Task{std::coroutine_handle<promise_type>::from_promise(*this)};
        }
        std::suspend_never initial_suspend() noexcept { return {}; }
        std::suspend_always final_suspend() noexcept { return {}; }
        void return_void() {}
        void unhandled_exception() {}
    };
    std::coroutine_handle<promise_type> handle;
};

struct Ready {
    bool await_ready() const noexcept { return false; }
    bool await_suspend(std::coroutine_handle<>) const noexcept { return false; }
    void await_resume() const noexcept {}
};

Ready take(Aggregate) { return {}; }

// The forbidden shape. tidy.py knows this one file by name.
Task brace_built_inside() { co_await take(Aggregate{.number = 1, .counted = {}}); }

// The allowed one: named on the line above.
Task named_above() {
    Aggregate aggregate{.number = 1, .counted = {}};
    co_await take(std::move(aggregate));
}

// Lives left over after the coroutine is gone: 0 is right, below 0 is a second destruction.
int left_over(Task (*coroutine)()) {
    alive = 0;
    Task task = coroutine();
    task.handle.destroy();
    return alive;
}

}  // namespace

int main() {
    const int named = left_over(named_above);
    const int inside = left_over(brace_built_inside);
    std::printf("named above: %d lives left over, brace-built inside: %d\n", named, inside);
    if (named != 0) {
        std::puts("Even a named object is destroyed wrongly: do not build the hub with this.");
        return 1;
    }
#if defined(__clang__)
    if (inside != 0) {
        std::puts("This clang destroys a brace-built temporary wrongly; so far only g++ 12 did.");
        return 1;
    }
#else
    if (inside == 0) {
        std::puts("This g++ no longer destroys a brace-built temporary twice. If it is the oldest "
                  "compiler we build with, the rule await_shape in tests/tidy/tidy.py can go, and "
                  "this probe with it.");
        return 1;
    }
#endif
    return 0;
}
