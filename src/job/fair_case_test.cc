// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/fair_case.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "fairhole/base/problem.h"

namespace fairhole::job {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

/// A case of two parts and one stack; `part` and `end` go into the second part and behind the parts.
std::string two_parts(const std::string& part, const std::string& end = "") {
  return R"({"parts":[{"id":"plate","ref":[0,0],"holes":[{"id":"a","stack":"S","x":0,"y":0,"d":10}]},)"
         R"({"id":"angle",)" +
         part + "}]" + end + "}";
}
const std::string kAngle = R"("ref":[0,0],"holes":[{"id":"a","stack":"S","x":3,"y":4,"d":10}])";

std::string refusal(const std::string& text) {
  const Result<FairCase> read = parse_fair_case(text, "case.json");
  if (read) return "accepted";
  std::string all;
  for (const Problem& problem : read.problems()) all += describe(problem) + "\n";
  return all;
}

TEST(FairCase, ReadsPartsLimitsAndBolts) {
  const Result<FairCase> read = parse_fair_case(
      two_parts(R"("limits":{"dx":2,"dy":[-1,0.5],"rot_deg":90},)" + kAngle, R"(,"bolts":[12,10.5,12])"),
      "case.json");
  ASSERT_TRUE(read) << describe(read.problems().front());
  EXPECT_THAT(read->parts, ElementsAre("plate", "angle"));
  EXPECT_THAT(read->stacks, ElementsAre("S"));
  EXPECT_THAT(read->bolts_mm, ElementsAre(10.5, 12.0));
  const SeatPlay& play = read->joint.parts[1];
  EXPECT_EQ(play.dx_mm.least, -2.0);
  EXPECT_EQ(play.dx_mm.most, 2.0);
  EXPECT_EQ(play.dy_mm.least, -1.0);
  EXPECT_EQ(play.dy_mm.most, 0.5);
  EXPECT_DOUBLE_EQ(play.turn_rad.most, std::acos(0.0));
  EXPECT_EQ(read->joint.parts[0].dx_mm.most, 0.0);
}

TEST(FairCase, RefusesWhatCannotBe) {
  EXPECT_EQ(
      refusal(two_parts(R"("holes":[])")),
      "E126 case.json: parts[1]: \"ref\" is missing; state the point [x, y] about which the part turns\n");
  EXPECT_EQ(refusal(two_parts(R"("limits":{"dx":1,"dy":1},)" + kAngle)),
            "E126 case.json: parts[1].limits: \"rot_deg\" is missing; state \"rot_deg\"; 0 if the part "
            "cannot move so\n");
  EXPECT_EQ(
      refusal(two_parts(R"("limits":{"dx":-1,"dy":1,"rot_deg":0},)" + kAngle)),
      "E129 case.json: parts[1].limits.dx: a length of -1 mm cannot be; give a length of at least 0 mm\n");
  EXPECT_EQ(refusal(two_parts(R"("limits":{"dx":[1,-1],"dy":1,"rot_deg":0},)" + kAngle)),
            "E181 case.json: parts[1].limits.dx: 1 is more than -1; write [least, most], or one number for "
            "both ways\n");
  EXPECT_EQ(refusal(two_parts(R"("limits":{"dx":[1],"dy":1,"rot_deg":0},)" + kAngle)),
            "E181 case.json: parts[1].limits.dx: 1 numbers where two must stand; write [least, most], or one "
            "number for "
            "both ways\n");
  EXPECT_EQ(refusal(two_parts(R"("limits":{"dx":1,"dy":1,"rot_deg":181},)" + kAngle)),
            "E129 case.json: parts[1].limits.rot_deg: 181 cannot be; give a number of at least 0 and at most "
            "180\n");
  EXPECT_EQ(refusal(two_parts(kAngle, R"(,"bolt":10,"bolts":[10])")),
            "E181 case.json: both \"bolt\" and \"bolts\" are stated; keep one of them\n");
  EXPECT_EQ(refusal(two_parts(kAngle, R"(,"bolt":0)")),
            "E129 case.json: bolt: a length of 0 mm cannot be; give a length above 0 mm\n");
  EXPECT_EQ(refusal(two_parts(R"("ref":[0,0],"holes":[{"id":"a","stack":"S","x":3,"y":4,"d":-10}])")),
            "E129 case.json: parts[1].holes[0].d: a length of -10 mm cannot be; give a length above 0 mm\n");
  EXPECT_EQ(refusal(two_parts(R"("ref":[0,0],"holes":[{"id":"a","stack":"S","x":3,"y":4,"d":10},)"
                              R"({"id":"a","stack":"T","x":3,"y":4,"d":10}])")),
            "E131 case.json: parts[1].holes[1]: another hole of this part is called \"a\" too; rename one\n");
  EXPECT_EQ(refusal(R"({"parts":[{"id":"p","ref":[0,0],"holes":[]}]})"),
            "E181 case.json: there is no hole in the case; give a part \"holes\": [{\"id\", \"stack\", "
            "\"x\", \"y\", "
            "\"d\"}]\n");
  EXPECT_THAT(
      refusal(R"({"parts":[{"id":"p","ref":[0,0],"holes":[{"id":"a","stack":"S","x":NaN,"y":0,"d":1}]}]})"),
      HasSubstr("E122 case.json: line 1, column "));
  EXPECT_THAT(
      refusal(R"({"parts":[{"id":"p","ref":[0,0],"holes":[{"id":"a","stack":"S","x":1e300,"y":0,"d":1}]}]})"),
      HasSubstr("E103 case.json: parts[0].holes[0].x: "));
  EXPECT_EQ(refusal("[]"),
            "E128 case.json: a list where an object must stand; write it as { \"name\": ... }\n");
  EXPECT_EQ(refusal("{}"), "E126 case.json: \"parts\" is missing; state \"parts\"\n");
}

TEST(FairCase, RefusesTwoPartsOfOneName) {
  EXPECT_THAT(
      refusal(R"({"parts":[{"id":"p","ref":[0,0],"holes":[{"id":"a","stack":"S","x":0,"y":0,"d":1}]},)"
              R"({"id":"p","ref":[0,0],"holes":[]}]})"),
      HasSubstr("E131 case.json: parts[1]: another part is called \"p\" too; rename one"));
}

// Two discs of 10 mm whose centres are 5 mm apart: 15 mm about both while fixed; a play of 2 mm along x and
// 1 mm along y leaves them at (1, 3), sqrt(10) apart.
TEST(FairCase, AnswersByHand) {
  const Result<FairCase> fixed = parse_fair_case(two_parts(kAngle, R"(,"bolt":14.5)"), "case.json");
  ASSERT_TRUE(fixed);
  const auto held = nlohmann::json::parse(fair_json(*fixed, solve_fair_case(*fixed)));
  EXPECT_NEAR(held["max"]["value"].get<double>(), 15.0, 1e-9);
  EXPECT_EQ(held["count"]["14.5"]["value"], 1);
  EXPECT_EQ(held["count"]["14.5"]["proven"], true);
  EXPECT_TRUE(held["count"]["14.5"]["margin"].is_null());
  const Result<FairCase> free = parse_fair_case(
      two_parts(R"("limits":{"dx":2,"dy":1,"rot_deg":0},)" + kAngle, R"(,"bolt":14.5)"), "case.json");
  ASSERT_TRUE(free);
  const auto moved = nlohmann::json::parse(fair_json(*free, solve_fair_case(*free)));
  EXPECT_NEAR(moved["max"]["value"].get<double>(), 10.0 + std::sqrt(10.0), 1e-8);
  EXPECT_NEAR(moved["max"]["pose"][1]["dx"].get<double>(), -2.0, 1e-6);
  EXPECT_NEAR(moved["max"]["pose"][1]["dy"].get<double>(), -1.0, 1e-6);
  EXPECT_EQ(moved["count"]["14.5"]["value"], 0);
  EXPECT_NEAR(moved["count"]["14.5"]["margin"].get<double>(), 4.5 - std::sqrt(10.0), 1e-4);
}

TEST(FairCase, KeysAreShortestText) {
  const Result<FairCase> read = parse_fair_case(two_parts(kAngle, R"(,"bolts":[10.0, 10.50])"), "case.json");
  ASSERT_TRUE(read);
  const auto out = nlohmann::ordered_json::parse(fair_json(*read, solve_fair_case(*read)));
  std::vector<std::string> keys;
  for (const auto& [key, value] : out["count"].items()) keys.push_back(key);
  EXPECT_THAT(keys, ElementsAre("10", "10.5"));
}

TEST(FairCase, PlainWords) {
  const Result<FairCase> read = parse_fair_case(two_parts(kAngle, R"(,"bolt":14.5)"), "case.json");
  ASSERT_TRUE(read);
  EXPECT_EQ(
      fair_text(*read, solve_fair_case(*read)),
      "Largest clean-up circle of 1 stacks: 15.0000 mm; no seats within the play come below 15.0000 mm.\n"
      "  plate          x +0.000  y +0.000 mm  turn +0.0000 degrees\n"
      "  angle          x +0.000  y +0.000 mm  turn +0.0000 degrees\n"
      "Bolt 14.5 mm: 1 of 1 stacks exceed it (S); proven least.\n"
      "  plate          x +0.000  y +0.000 mm  turn +0.0000 degrees\n"
      "  angle          x +0.000  y +0.000 mm  turn +0.0000 degrees\n");
}

}  // namespace
}  // namespace fairhole::job
