// as: hub/core/mat_manager.cpp
// expect: banned_name=5
class SessionHandler {};
struct MatInfo {};
enum class BaseKind { one };
class JournalImpl;
class Handled {};
template<class Handler, class Data> void library_word(Handler&& handler);
struct Database {};
