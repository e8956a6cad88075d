#include "hub/open_answers.h"

#include <system_error>
#include <utility>

#include "engine/view/json.h"
#include "hub/clock.h"
#include "hub/feed/event.h"
#include "hub/openapi.h"
#include "hub/status_words.h"
#include "hub/version.h"

namespace honbu {
namespace {

SharedDocument anew(std::string_view type, std::string body) {
    auto document = std::make_shared<Document>();
    document->content_type = type;
    document->body = std::move(body);
    return document;
}

std::size_t count(const std::array<std::size_t, 6>& by_role, Role role) {
    return by_role.at(static_cast<std::size_t>(role));
}

std::uint64_t count(const Hub::Tallies& tallies, Verdict verdict) {
    return tallies.verdicts.at(static_cast<std::size_t>(verdict));
}

constexpr std::uint64_t day_ms = 24U * 3'600U * 1'000U;

}  // namespace

OpenAnswers::OpenAnswers(Parts parts, std::uint64_t started_unix_ms)
    : parts_(std::move(parts)), started_unix_ms_(started_unix_ms),
      documents_(parts_.feed, [hub = &parts_.hub](BoutId bout) { return hub->sheet(bout); }),
      metrics_(started_unix_ms, parts_.hub.last_committed().value) {
    auto page = std::make_shared<Document>();
    page->content_type = json_type;
    page->body = openapi_json();
    page->etag = "\"" + name_text(std::hash<std::string>()(page->body)) + "\"";
    page->cache = "no-cache";
    openapi_ = std::move(page);
}

SharedDocument OpenAnswers::document(const Wish& wish) {
    documents_.begin(parts_.hub.epoch());
    switch (wish.kind) {
    case Wish::Kind::hub: return anew(json_type, to_json(hub_now()) + "\n");
    case Wish::Kind::mats: return documents_.mats();
    case Wish::Kind::mat: return documents_.mat(wish.mat);
    case Wish::Kind::call_list: return documents_.call_list();
    case Wish::Kind::results: return documents_.results();
    case Wish::Kind::results_csv: return documents_.results_csv();
    case Wish::Kind::sheet: return documents_.sheet(wish.bout);
    case Wish::Kind::sheet_csv: return documents_.sheet_csv(wish.bout);
    case Wish::Kind::metrics:
        return anew("text/plain; version=0.0.4; charset=utf-8", metrics_.text(measured()));
    case Wish::Kind::status: return anew("text/plain; charset=utf-8", status());
    case Wish::Kind::openapi: return openapi_;
    }
    return nullptr;
}

std::string OpenAnswers::no_events(const EventsWish& wish) const {
    for (const MatId mat : wish.what.mats) {
        if (parts_.feed.views().mats().contains(mat)) continue;
        return "This competition has no mat " + std::to_string(mat.value) +
               "; /v1/mats has them all.";
    }
    return {};
}

// A position in another journal, or one this journal has not reached, is none: everything is sent.
std::string OpenAnswers::follow_events(SessionId session, const EventsWish& wish) {
    Subscribe what = wish.what;
    const bool other = wish.of && *wish.of != parts_.hub.epoch();
    if (other || what.results_after > parts_.hub.last_committed()) what.results_after = {};
    parts_.feed.begin(parts_.hub.epoch());
    parts_.feed.follow_events(session, what);
    return hub_event(to_json(hub_now()));
}

HubNow OpenAnswers::hub_now() const {
    HubNow now;
    now.epoch = parts_.hub.epoch();
    now.number = parts_.hub.last_committed();
    now.now = parts_.now();
    now.rehearsal_rate = parts_.hub.rehearsal_rate();
    now.title = parts_.hub.title();
    now.public_names = parts_.hub.public_names();
    for (const auto& [mat, view] : parts_.feed.views().mats())
        now.mats.push_back(mat);
    return now;
}

Measured OpenAnswers::measured() const {
    const Net::Counts net = parts_.net.counts();
    const auto by_role = parts_.hub.connected();
    const Hub::Tallies& tallies = parts_.hub.tallies();
    const Feed::Lag lag = parts_.feed.lag();
    Measured m;
    m.tables = count(by_role, Role::table);
    m.boards = count(by_role, Role::board);
    m.halls = count(by_role, Role::hall);
    m.desks = count(by_role, Role::desk);
    const std::size_t named = m.tables + m.boards + m.halls + m.desks;
    const std::size_t sockets = net.sessions - net.event_streams;
    m.unnamed = sockets > named ? sockets - named : 0;
    m.event_streams = net.event_streams;
    m.plain = net.connections - net.sessions;
    m.applied = count(tallies, Verdict::applied);
    m.without_effect = count(tallies, Verdict::without_effect);
    m.set_aside = count(tallies, Verdict::set_aside);
    m.refused = count(tallies, Verdict::none);
    m.journal_bytes = parts_.journal.waiting_bytes();
    m.client_bytes = net.waiting_bytes;
    m.records = parts_.hub.last_committed().value;
    m.missing = parts_.hub.missing();
    m.mirrored = parts_.hub.mirror().how == Mirrored::How::follows;
    m.unmirrored = parts_.hub.mirror().behind;
    m.views_behind = lag.views;
    m.results_behind = lag.results;
    m.records_behind = lag.records;
    m.room = parts_.room();
    for (const auto& [mat, view] : parts_.feed.views().mats()) {
        switch (view.view.table) {
        case TableLine::none: ++m.mats_free; break;
        case TableLine::live: ++m.mats_live; break;
        case TableLine::alone: ++m.mats_alone; break;
        }
    }
    return m;
}

std::string OpenAnswers::status() const {
    const Hub& hub = parts_.hub;
    const std::uint64_t now = wall_ms();
    HubStanding s;
    s.title = hub.has_competition() ? hub.title() : std::string();
    s.version = version;
    s.rehearsal_rate = hub.rehearsal_rate();
    s.since = wall_text(started_unix_ms_);
    s.for_ms = now > started_unix_ms_ ? now - started_unix_ms_ : 0;
    s.last_record_ms = (parts_.now().ms - hub.last_received().ms) / hub.rehearsal_rate();
    std::error_code failed;
    const std::filesystem::space_info room = std::filesystem::space(parts_.data, failed);
    if (!failed) s.room_bytes = room.available;
    for (const auto& [mat, view] : parts_.feed.views().mats())
        s.mats.emplace_back(mat, view.view.table);
    s.mirror = hub.mirror();
    if (const auto until = static_cast<std::uint64_t>(parts_.certificate_until_unix_s) * 1'000) {
        s.certificate = wall_text(until);
        s.certificate_ends_soon = until < now + day_ms;
    }
    s.measured = measured();
    return words(s);
}

}  // namespace honbu
