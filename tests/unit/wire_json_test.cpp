// Views and results as proto3 JSON: everything written out, and read again by protobuf's own parser
// as the same message. Source: the proto3 JSON mapping (protobuf.dev, "ProtoJSON Format").
#include "hub/wire/call_json.h"

#include <google/protobuf/util/json_util.h>
#include <google/protobuf/util/message_differencer.h>

#include "tests/unit/wire_samples.h"

namespace honbu {
namespace {

template<class Message> void expect_same(const std::string& json, const Message& said) {
    Message read;
    const auto status = google::protobuf::util::JsonStringToMessage(json, &read);
    ASSERT_TRUE(status.ok()) << status.ToString() << "\n" << json;
    EXPECT_TRUE(google::protobuf::util::MessageDifferencer::Equals(read, said)) << json;
}
void expect_written(const std::string& json, std::string_view part) {
    EXPECT_NE(json.find(part), std::string::npos) << part << " is not in " << json;
}

TEST(WireJson, AFinishedBoutIsTheSameMessage) {
    expect_same(to_proto_json(a_finished()), parsed(to_wire(a_finished())).finished());
    const std::string plain = to_proto_json(Finished{});
    expect_written(plain, R"("from":"RESULT_FROM_TABLE","replaces":0,"reason":"")");
    EXPECT_EQ(plain.find("also"), std::string::npos);
    EXPECT_EQ(plain.find("noResult"), std::string::npos);
}

TEST(WireJson, AReopenedBoutIsTheSameMessage) {
    const Reopened item{RecordNumber{131}, MatId{2}, BoutId{12}, RecordNumber{120}, "wrong pair"};
    expect_same(to_proto_json(item), parsed(to_wire(item)).reopened());
    expect_written(to_proto_json(Reopened{}),
                   R"({"number":0,"mat":0,"bout":0,"replaces":0,"reason":""})");
}

TEST(WireJson, ACallListIsTheSameMessage) {
    expect_same(to_proto_json(a_call_list()), parsed(to_wire(a_call_list())).call_list());
    expect_written(to_proto_json(a_call_list()), R"({"mat":65535,"table":"TABLE_LINE_ALONE",)"
                                                 R"("phase":"PHASE_WAITING","next":[]})");
}

}  // namespace
}  // namespace honbu
