// as: hub/net/sample.cpp
// expect: await_shape=9
// STYLE of the house: the four shapes that g++ 12.2 destroys twice, and what stands close to them.
asio::awaitable<void> wrong(Stream& stream) {
    co_await send(stream, Update{.number = 1, .text = text});
    const auto& kept = co_await keep(Update{1, text});
    co_await run(stream, [text] { return text.size(); });
    std::optional<Update> maybe = co_await maybe_send(std::optional<Update>{Update{1, text}});
    co_await send(stream, loud ? text : other);
    auto n = combine(Update{1, text}, co_await read(stream));
    Update update{co_await number(), text};
    if (co_await send(stream, {1, text})) {
        done();
    }
    co_return co_await send(stream, std::vector<int>{1, 2});
}
asio::awaitable<void> right(Stream& stream) {
    Update update{.number = 1, .text = text};
    auto [ec, n] = co_await stream.async_write(buffers, as_result);
    const auto& [first, second] = co_await both(stream);
    for (const auto& part : parts) {
        co_await send(stream, part);
    }
    while (open) {
        if (auto [failed] = co_await wait(timer[0], as_result); failed) co_return;
    }
    auto size = [&update] { return update.text.size(); };
    co_await send(stream, std::move(update), std::string("what? {"), list[size()]);
    if (n == 0) {
        co_return;
    } else {
        co_await close(stream);
    }
}
asio::awaitable<void> Session::run() { co_await read_loop(shared_from_this()); }
auto other() -> asio::awaitable<void> { co_await nothing(); }
