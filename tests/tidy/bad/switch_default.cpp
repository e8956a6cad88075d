// as: engine/bout/sample.cpp
// expect: switch_default=1
struct A {
    A() = default;
};
int a(Level level) {
    switch (level) {
    case Level::koka: return 1;
    default: return 0;
    }
}
