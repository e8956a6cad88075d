// as: hub/net/sample.cpp
// expect: composed_await=1
using namespace boost::asio::experimental::awaitable_operators;
