// as: hub/net/sample.cpp
// expect: lambda_coroutine=1
void a() {
    co_spawn(context, [this]() -> asio::awaitable<void> { co_await read(); }, detached);
}
asio::awaitable<void> Session::b() { co_return; }
