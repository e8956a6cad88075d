// as: hub/net/sample.cpp
// expect: lambda_coroutine=2
void a() {
    co_spawn(context, [this]() -> asio::awaitable<void> { co_await read(); }, detached);
}
auto later = [](Session& session) -> Task<void> { co_await session.read(); };
asio::awaitable<void> Session::b() { co_return; }
