// as: hub/net/sample.cpp
// expect: swallowed_exception=1
void a() {
    try {
        f();
    } catch (...) {
        log("failed");
    }
}
void b() {
    try {
        f();
    } catch (...) {
        clean_up();
        throw;
    }
}
