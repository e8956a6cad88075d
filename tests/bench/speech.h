// What the load says and hears: to a hub, real messages of the protocol and the calls of contests
// as they are fought; to floor and bare, their few letters (plain_server.h). One thread.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

namespace honbu::bench {

struct Heard {
    enum class Kind : std::uint8_t { other, welcome, allotment, view, verdict };
    Kind kind = Kind::other;
    std::uint32_t number = 0;  // view: its version; verdict: the version that shows the event
};

class Speech {
public:
    virtual ~Speech() = default;
    // What a line says first, what it says to a welcome, and to an allotment; empty: nothing.
    virtual std::string hello(bool table, std::size_t index) = 0;
    virtual std::string after_welcome(bool table, std::size_t index) = 0;
    virtual std::string after_allotment(std::size_t index) = 0;
    // A screen that only follows is there when it has so many views.
    virtual std::size_t first_views() const = 0;
    // The next event of this table; empty: there are no more. `number` counts all events from 1.
    virtual std::string event(std::size_t table, std::uint32_t number) = 0;
    // The version that shows an event is the server's own number; else the event's.
    virtual bool server_numbers() const = 0;
    // So many are sent to each table before anything is measured.
    virtual std::size_t events_before() const = 0;
    virtual std::string sign_of_life() const = 0;  // every two seconds; empty: none
    virtual Heard hear(std::string_view message) const = 0;
};

struct HallShape {
    std::size_t mats = 1;
    std::size_t bouts_a_mat = 20;
};
std::unique_ptr<Speech> speech_with_hub(const HallShape& hall);
std::unique_ptr<Speech> plain_speech();
// The competition file that speech_with_hub() plays: invented people only.
std::string competition_csv(const HallShape& hall);

}  // namespace honbu::bench
