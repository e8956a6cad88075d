// as: engine/bout/sample.cpp
// expect: catch_all_visit=1
int a(const What& what) {
    return std::visit(
        Overload{[](const Hajime&) { return 1; }, [](const auto&) { return 0; }}, what);
}
int b(const What& what) {
    return std::visit(
        Overload{[](const Hajime&) { return 1; }, [](const Mate&) { return 0; }}, what);
}
