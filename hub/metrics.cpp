#include "hub/metrics.h"

#include <memory>

#include <prometheus/counter.h>
#include <prometheus/gauge.h>
#include <prometheus/histogram.h>
#include <prometheus/registry.h>
#include <prometheus/text_serializer.h>

namespace honbu {
namespace {

namespace pm = prometheus;

// Seconds. A good disk syncs in a few milliseconds; a hall notices nothing below a tenth.
const pm::Histogram::BucketBoundaries commit_bounds{0.001, 0.002, 0.005, 0.01, 0.02, 0.05,
                                                    0.1,   0.2,   0.5,   1.0,  2.0,  5.0};

pm::Family<pm::Gauge>& gauges(pm::Registry& registry, const char* name, const char* help) {
    return pm::BuildGauge().Name(name).Help(help).Register(registry);
}

// A counter is kept elsewhere and only brought up to date here.
void bring_to(pm::Counter& counter, std::uint64_t value) {
    counter.Increment(static_cast<double>(value) - counter.Value());
}

void set(pm::Gauge& gauge, std::size_t value) { gauge.Set(static_cast<double>(value)); }

}  // namespace

struct Metrics::Inside {
    pm::Registry registry;

    pm::Family<pm::Gauge>& connections = gauges(registry, "honbu_connections",
                                                "Open connections, by what they said they are.");
    pm::Gauge& tables = connections.Add({{"role", "table"}});
    pm::Gauge& boards = connections.Add({{"role", "board"}});
    pm::Gauge& halls = connections.Add({{"role", "hall"}});
    pm::Gauge& desks = connections.Add({{"role", "desk"}});
    pm::Gauge& unnamed = connections.Add({{"role", "unnamed"}});
    pm::Gauge& events = connections.Add({{"role", "events"}});
    pm::Gauge& plain = connections.Add({{"role", "http"}});

    pm::Family<pm::Counter>& calls =
        pm::BuildCounter()
            .Name("honbu_calls_total")
            .Help("Calls of tables since the hub started, by what became of them; refused ones "
                  "were not recorded.")
            .Register(registry);
    pm::Counter& applied = calls.Add({{"verdict", "applied"}});
    pm::Counter& without_effect = calls.Add({{"verdict", "without_effect"}});
    pm::Counter& set_aside = calls.Add({{"verdict", "set_aside"}});
    pm::Counter& refused = calls.Add({{"verdict", "refused"}});

    pm::Histogram& commit = pm::BuildHistogram()
                                .Name("honbu_commit_seconds")
                                .Help("How long a record took from the hub's decision until it was "
                                      "on the disk.")
                                .Register(registry)
                                .Add({}, commit_bounds);

    pm::Family<pm::Gauge>& queued = gauges(registry, "honbu_queue_bytes",
                                           "Bytes that wait: for the disk, or for clients that "
                                           "read more slowly than they are written to.");
    pm::Gauge& journal_bytes = queued.Add({{"for", "journal"}});
    pm::Gauge& client_bytes = queued.Add({{"for", "clients"}});

    pm::Gauge& records = gauges(registry, "honbu_journal_records", "Records on the disk.").Add({});

    pm::Gauge& missing = gauges(registry, "honbu_journal_missing_records",
                                "Records that a page or table has seen and this journal does not "
                                "have; 0: all is well.")
                             .Add({});

    pm::Gauge& mirrored = gauges(registry, "honbu_mirror_follows",
                                 "1: a second copy of the journal is kept and follows; 0: none, or "
                                 "it has stopped or is behind.")
                              .Add({});
    pm::Gauge& unmirrored = gauges(registry, "honbu_mirror_lacks_records",
                                   "Records that the second copy lacks while it does not follow.")
                                .Add({});

    pm::Family<pm::Gauge>& lag = gauges(
        registry, "honbu_feed_lag",
        "What clients have not taken yet: views, of all together; results and records, of the one "
        "furthest behind.");
    pm::Gauge& views_behind = lag.Add({{"of", "views"}});
    pm::Gauge& results_behind = lag.Add({{"of", "results"}});
    pm::Gauge& records_behind = lag.Add({{"of", "records"}});

    pm::Gauge& started =
        gauges(registry, "honbu_start_time_seconds",
               "When this hub was started (unix time); each change of it is a restart.")
            .Add({});
    pm::Gauge& replayed = gauges(registry, "honbu_replayed_records",
                                 "Records read at the start; 0: a journal was begun.")
                              .Add({});
    pm::Gauge& full =
        gauges(registry, "honbu_disk_full",
               "1: nothing can be kept for now, and calls wait at the tables. 0: all is well.")
            .Add({});

    pm::Family<pm::Gauge>& mats = gauges(
        registry, "honbu_mats",
        "Mats by their table: live: connected; alone: out of reach; none: nobody has taken it.");
    pm::Gauge& mats_live = mats.Add({{"table", "live"}});
    pm::Gauge& mats_alone = mats.Add({{"table", "alone"}});
    pm::Gauge& mats_free = mats.Add({{"table", "none"}});
};

Metrics::Metrics(std::uint64_t started_unix_ms, std::uint32_t replayed)
    : in_(std::make_unique<Inside>()) {
    constexpr double ms_in_second = 1000;
    in_->started.Set(static_cast<double>(started_unix_ms) / ms_in_second);
    in_->replayed.Set(replayed);
}

Metrics::~Metrics() = default;

void Metrics::commit_took(std::uint64_t us) {
    constexpr double us_in_second = 1'000'000;
    in_->commit.Observe(static_cast<double>(us) / us_in_second);
}

std::string Metrics::text(const Measured& now) {
    Inside& in = *in_;
    set(in.tables, now.tables);
    set(in.boards, now.boards);
    set(in.halls, now.halls);
    set(in.desks, now.desks);
    set(in.unnamed, now.unnamed);
    set(in.events, now.event_streams);
    set(in.plain, now.plain);
    bring_to(in.applied, now.applied);
    bring_to(in.without_effect, now.without_effect);
    bring_to(in.set_aside, now.set_aside);
    bring_to(in.refused, now.refused);
    set(in.journal_bytes, now.journal_bytes);
    set(in.client_bytes, now.client_bytes);
    set(in.records, now.records);
    set(in.missing, now.missing);
    set(in.mirrored, now.mirrored ? 1U : 0U);
    set(in.unmirrored, now.unmirrored);
    set(in.views_behind, now.views_behind);
    set(in.results_behind, now.results_behind);
    set(in.records_behind, now.records_behind);
    set(in.full, now.room ? 0U : 1U);
    set(in.mats_free, now.mats_free);
    set(in.mats_live, now.mats_live);
    set(in.mats_alone, now.mats_alone);
    return pm::TextSerializer().Serialize(in.registry.Collect());
}

}  // namespace honbu
