// as: hub/journal/sample.cpp
// expect: detached_thread=1
void a() { std::thread(run).detach(); }
void b() { co_spawn(context, session(), boost::asio::detached); }
