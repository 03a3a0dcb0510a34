// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/load.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <functional>

#include "test_job.h"

namespace fairhole::job {
namespace {

using test::lines;
using test::parsed;
using test::sound_job;
using ::testing::ElementsAre;
using Json = nlohmann::ordered_json;

TEST(LoadJob, ASoundJobIsReadAsStated) {
  const Result<Job> job = parsed(sound_job());
  ASSERT_TRUE(job.ok()) << describe(job.problems().front());
  EXPECT_EQ(job->plates.front().thickness_mm, 12.0);
  EXPECT_EQ(job->groups.front().holes.size(), 3U);
  EXPECT_FALSE(job->joints.front().seat.motion.mirrored);
  EXPECT_EQ(job->joints.front().play.along_max_mm, 0.0);
}

struct Slip {
  const char* name;
  std::function<void(Json&)> make;
  const char* says;
};
void PrintTo(const Slip& slip, std::ostream* out) { *out << slip.name; }

class JobSlip : public ::testing::TestWithParam<Slip> {};

TEST_P(JobSlip, IsSaidWithPlaceAndRemedy) {
  Json json = sound_job();
  GetParam().make(json);
  const Result<Job> job = parsed(json);
  ASSERT_FALSE(job.ok());
  EXPECT_THAT(lines(job.problems()), ElementsAre(GetParam().says));
}

Json second_part(const Json& job) {
  Json part = job["parts"][0];
  part["id"] = "strap";
  return part;
}

INSTANTIATE_TEST_SUITE_P(
    Values, JobSlip,
    ::testing::Values(
        Slip{"format", [](Json& j) { j["format"] = "fairhole job 9"; },
             "E125 job.json: format: \"fairhole job 9\" is a format this program does not "
             "read; write \"fairhole job 1\""},
        Slip{"date", [](Json& j) { j["date"] = "2026-13-01"; },
             "E134 job.json: date: \"2026-13-01\" is no date; write it as 2026-11-25"},
        Slip{"plate name",
             [](Json& j) {
               j["plates"][0]["name"] = j["hole_groups"][0]["on"] = j["joints"][0]["on"] = "a/b";
             },
             "E136 job.json: plates[0].name: \"a/b\" cannot name the plate's files; use up to "
             "60 letters, digits, blanks, "
             "points, - and _, a letter or digit first"},
        Slip{"outline",
             [](Json& j) {
               j["plates"][0]["outline"] = {{0, 0}, {400, 250}, {400, 0}, {0, 250}};
             },
             "E135 job.json: plates[0].outline: the outline crosses itself: the edge after "
             "corner 1 and the edge after "
             "corner 3; go once round the outline, corner by corner"},
        Slip{"shape",
             [](Json& j) {
               j["parts"][0]["faces"][0]["outline"] = {{0, 0}, {9, 0}, {0, 9}};
             },
             "E137 job.json: parts[0].faces[0]: length and width, and an outline too; state "
             "length (along the long datum "
             "edge) and width, or an outline"},
        Slip{"edge", [](Json& j) { j["parts"][0]["faces"][0]["no_edge"] = {"heel"}; },
             "E130 job.json: parts[0].faces[0].no_edge[0]: \"heel\" is no edge of this face; "
             "write long datum edge, far end, "
             "far long edge or datum end"},
        Slip{"play",
             [](Json& j) {
               j["joints"][0]["play"] = {{"along", {2, 1}}};
             },
             "E129 job.json: joints[0].play.along: 2 is more than 1; write [least, most]"},
        Slip{"sizes fall",
             [](Json& j) {
               j["fasteners"]["bolt"]["sizes"] = {22, 20};
             },
             "E142 job.json: fasteners[\"bolt\"]: the sizes do not rise; list finish diameters "
             "from the smallest to the "
             "largest"},
        Slip{"outsides of bushes fall",
             [](Json& j) {
               j["fasteners"]["bolt"]["bush_outsides"] = {30, 28};
             },
             "E142 job.json: fasteners[\"bolt\"]: the outsides of bushes do not rise; list outside "
             "diameters from the smallest to the largest, or none where no hole is bushed"},
        Slip{"size asked for", [](Json& j) { j["fasteners"]["bolt"]["sizes"] = {22}; },
             "E142 job.json: fasteners[\"bolt\"]: no size is the hole asked for, 25/32 in "
             "(20.00 mm); add it to \"sizes\", which "
             "are finish diameters of the hole"},
        Slip{"fit", [](Json& j) { j["fasteners"]["bolt"]["fit"] = "k6"; },
             "E456 job.json: fasteners[\"bolt\"].fit: \"k6\" is no fit of a hole and a shank; write a "
             "hole class and a shaft class, as H7/k6"},
        Slip{"thread", [](Json& j) { j["fasteners"]["bolt"]["thread"] = "M21"; },
             "E457 job.json: fasteners[\"bolt\"].thread: no series and no thread is called \"M21\"; "
             "write metric, BSW, BSF, UNC or UNF, or one thread as M20 or 3/4 BSW"},
        Slip{"length", [](Json& j) { j["plates"][0]["thickness"] = "1/2"; },
             "E101 job.json: plates[0].thickness: a fraction without a unit in a mm file; "
             "write `3/16 in`\n  1/2\n  ^"}));

INSTANTIATE_TEST_SUITE_P(
    Names, JobSlip,
    ::testing::Values(
        Slip{"part twice", [](Json& j) { j["parts"].push_back(j["parts"][0]); },
             "E131 job.json: parts[1].id: there are two parts named \"bracket\"; give each its own name"},
        Slip{"plates differ in case alone",
             [](Json& j) {
               Json plate = j["plates"][0];
               plate["name"] = "PLATE";
               j["plates"].push_back(plate);
             },
             "E131 job.json: plates[1].name: there are two plates named \"plate\"; give each its own name"},
        Slip{"dangling part", [](Json& j) { j["joints"][0]["part"] = "braket"; },
             "E132 job.json: joints[0].part: there is no part \"braket\"; did you mean \"bracket\"?"},
        Slip{"dangling carrier",
             [](Json& j) {
               j["hole_groups"][0]["on"] = "plat";
               j["joints"][0]["groups"] = Json::array();
             },
             "E132 job.json: hole_groups[0].on: there is no plate or part/face \"plat\"; did you mean "
             "\"plate\"?"},
        Slip{"a pair of one plate",
             [](Json& j) {
               j["pairs"] = {{{"plates", {"plate", "plate"}}}};
             },
             "E147 job.json: pairs[0].plates: \"plate\" and \"plate\" are not two plates of this job; name "
             "two of the "
             "job's plates"},
        Slip{"a pair of three",
             [](Json& j) {
               j["pairs"] = {{{"plates", {"a", "b", "c"}}}};
             },
             "E147 job.json: pairs[0]: 3 plates where two must stand; name the two plates: [\"left-toe\", "
             "\"right-toe\"]"},
        Slip{"a pair without common holes",
             [](Json& j) {
               Json plate = j["plates"][0];
               plate["name"] = "spare";
               j["plates"].push_back(plate);
               j["pairs"] = {{{"plates", {"plate", "spare"}}}};
             },
             "E147 job.json: pairs[0].plates: plate and spare have 0 holes of one name; plates drilled "
             "together share at "
             "least two hole ids"},
        Slip{"a pair of holes that do not meet",
             [](Json& j) {
               Json plate = j["plates"][0];
               plate["name"] = "spare";
               j["plates"].push_back(plate);
               j["patterns"]["other"] = j["patterns"]["foot"];
               j["patterns"]["other"][2]["x"] = 111;
               Json group = j["hole_groups"][0];
               group["name"] = "spare foot", group["on"] = "spare", group["pattern"] = "other";
               j["hole_groups"].push_back(group);
               j["pairs"] = {{{"plates", {"plate", "spare"}}}};
             },
             "E147 job.json: pairs[0].plates: clamped together, hole B3 of plate and spare would lie 1.0 mm "
             "apart on the "
             "drawing; give holes that lie on each other one id, and others another; plates of opposite "
             "hands say LEFT and "
             "RIGHT"},
        Slip{"opposite no face",
             [](Json& j) {
               j["parts"][0]["faces"][0]["opposite"] = {{"face", "back"}, {"x", "same way"}};
             },
             "E132 job.json: parts[0].faces[0].opposite: there is no face of this part \"back\"; write foot"},
        Slip{"opposite itself",
             [](Json& j) {
               j["parts"][0]["faces"][0]["opposite"] = {{"face", "foot"}, {"x", "same way"}};
             },
             "E130 job.json: parts[0].faces[0].opposite: \"foot\" is said to be opposite itself; name the "
             "face on the other "
             "side of the part"},
        Slip{"pinned beyond the play",
             [](Json& j) {
               j["joints"][0]["play"] = {{"along", 2}};
               j["joints"][0]["pinned_seat"] = {{"along", 3}};
             },
             "E129 job.json: joints[0].pinned_seat: the pinned seat lies outside the joint's play; pin it "
             "within the play, "
             "or state more play"},
        Slip{"dangling fastener", [](Json& j) { j["hole_groups"][0]["fastener"] = "rivet"; },
             "E132 job.json: hole_groups[0].fastener: there is no fastener \"rivet\"; write bolt"},
        Slip{"dangling pattern", [](Json& j) { j["hole_groups"][0]["pattern"] = "feet"; },
             "E132 job.json: hole_groups[0].pattern: there is no pattern \"feet\"; did you mean \"foot\"?"},
        Slip{"override of no hole",
             [](Json& j) {
               j["hole_groups"][0]["holes"] = {{"B9", Json::object()}};
             },
             "E132 job.json: hole_groups[0].holes[\"B9\"]: the group has no hole \"B9\"; name a hole of the "
             "group's pattern"},
        Slip{"pin of a misspelt hole",
             [](Json& j) {
               j["joints"][0]["pins"] = {{"B11", "H1"}};
             },
             "E132 job.json: joints[0].pins[\"B11\"]: no hole group here has a hole \"B11\"; did you mean "
             "\"B1\"?"},
        Slip{"pin of no hole",
             [](Json& j) {
               j["joints"][0]["pins"] = {{"rivet", "H1"}};
             },
             "E132 job.json: joints[0].pins[\"rivet\"]: no hole group here has a hole \"rivet\"; pin drawn "
             "holes "
             "to measured ones, each where its hole group is named"},
        Slip{"pin on a face that carries nothing",
             [](Json& j) {
               j["parts"][0]["faces"][0]["pins"] = {{"B1", "H1"}};
             },
             "E132 job.json: parts[0].faces[0].pins[\"B1\"]: no hole group here has a hole \"B1\"; pin drawn "
             "holes to measured ones, each where its hole group is named"},
        Slip{"measured hole pinned twice",
             [](Json& j) {
               j["joints"][0]["pins"] = {{"B1", "H1"}, {"B2", "H1"}};
             },
             "E303 job.json: joints[0].pins[\"B2\"]: the measured hole H1 is pinned to B1 already; pin each "
             "hole "
             "once"},
        Slip{"blank and pinned",
             [](Json& j) {
               j["joints"][0]["blank"] = {"B2"};
               j["joints"][0]["pins"] = {{"B2", "H1"}};
             },
             "E303 job.json: joints[0].pins[\"B2\"]: hole B2 is said to be blank, too; take it out of "
             "\"blank\" or "
             "out of \"pins\""},
        Slip{"pin to a number",
             [](Json& j) {
               j["joints"][0]["pins"] = {{"B1", 3}};
             },
             "E128 job.json: joints[0].pins[\"B1\"]: a number where text must stand; put it in quotation "
             "marks"},
        Slip{"blank of no hole", [](Json& j) { j["joints"][0]["blank"] = {"B9"}; },
             "E132 job.json: joints[0].blank: the joint's groups have no hole \"B9\"; name holes of the "
             "joint's groups"},
        Slip{"hole twice",
             [](Json& j) {
               Json group = j["hole_groups"][0];
               group["name"] = "again";
               j["patterns"]["one"] = {{{"hole", "B1"}, {"x", 300}, {"y", 200}}};
               group["pattern"] = "one";
               j["hole_groups"].push_back(group);
             },
             "E131 job.json: hole_groups[1]: hole B1 stands on \"plate\" already, in group \"foot\"; give "
             "the group a "
             "\"prefix\", or the pattern other ids"},
        Slip{"hole off the plate", [](Json& j) { j["patterns"]["foot"][1]["x"] = 440; },
             "E141 job.json: hole_groups[0]: hole B2 at 440.0, 90.0 mm lies off plate \"plate\"; look at the "
             "group's \"at\", "
             "its \"hand\" and the pattern"},
        Slip{"face twice",
             [](Json& j) {
               Json joint = j["joints"][0];
               joint["name"] = "again";
               j["joints"].push_back(joint);
             },
             "E139 job.json: joints[1]: face \"bracket/foot\" lies on \"plate\" already, in joint \"bracket "
             "on plate\"; list "
             "all groups in one joint"},
        Slip{"group elsewhere",
             [](Json& j) {
               j["parts"].push_back(second_part(j));
               j["joints"][0]["on"] = "strap/foot";
             },
             "E140 job.json: joints[0].groups[0]: hole group \"foot\" lies on \"plate\", the joint on "
             "\"strap/foot\"; name "
             "groups of the same plate or carrying face"},
        Slip{"ring",
             [](Json& j) {
               j["parts"].push_back(second_part(j));
               j["joints"][0]["on"] = "strap/foot";
               j["joints"][0]["groups"] = Json::array();
               Json back = j["joints"][0];
               back["name"] = "back";
               back["part"] = "strap";
               back["on"] = "bracket/foot";
               j["joints"].push_back(back);
             },
             "E138 job.json: joints: \"bracket/foot\" carries itself, through \"strap/foot\"; one of them "
             "must be the "
             "carrier, the others lie on it"},
        Slip{"no pull",
             [](Json& j) {
               j["plates"][0]["joined"] = "after drilling";
               j["joints"][0]["tied_to_old_plate"] = true;
             },
             "E143 job.json: joints[0]: \"bracket\" ties plate \"plate\" to the old plate, which is joined "
             "after drilling; "
             "drill these holes after joining (\"joined\": \"before drilling\"), or state the plate's "
             "\"pull\" with its "
             "sigma"}));

}  // namespace
}  // namespace fairhole::job
