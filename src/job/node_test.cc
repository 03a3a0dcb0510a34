// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "node.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "test_job.h"

namespace fairhole::job {
namespace {

using test::lines;
using ::testing::ElementsAre;
using ::testing::IsEmpty;
using Json = nlohmann::ordered_json;

constexpr double kExactMm = 1e-12;  // one multiplication by 25.4

TEST(Nearest, NamesTheLikelyWordAndNoFarOne) {
  const std::vector<std::string> known = {"thickness", "marked_face", "outline"};
  EXPECT_EQ(nearest("thicknes", known), "thickness");
  EXPECT_EQ(nearest("marked face", known), "marked_face");
  EXPECT_EQ(nearest("zzzzzz", known), std::nullopt);
  EXPECT_EQ(nearest("marked_face_of_plate", known), "marked_face");  // 9 letters more, of 20: still near
  EXPECT_EQ(nearest(std::string(100'000, 'x'), known), std::nullopt);
}

TEST(AnyOf, IsSaidAsAPersonSaysIt) {
  EXPECT_EQ(any_of({"A4"}), "A4");
  EXPECT_EQ(any_of({"A4", "A3", "Letter"}), "A4, A3 or Letter");
}

class NodeTest : public ::testing::Test {
 protected:
  Node node(const char* text) {
    json_ = Json::parse(text);
    return {json_, context_, "parts[2]"};
  }
  std::vector<std::string> said() const { return lines(context_.problems); }

  Json json_;
  NodeContext context_{"job.json", Unit::kMm, {}};
};

TEST_F(NodeTest, ReadsLengthsInTheJobsUnitAndInTheirOwn) {
  context_.units = Unit::kInch;
  Node n = node(R"({"a": 2, "b": "3/16", "c": "10 mm"})");
  EXPECT_NEAR(n.length_mm("a", kAny), 50.8, kExactMm);
  EXPECT_NEAR(n.length_mm("b", kAny), 4.7625, kExactMm);
  EXPECT_NEAR(n.length_mm("c", kAny), 10.0, kExactMm);
  EXPECT_THAT(said(), IsEmpty());
}

TEST_F(NodeTest, ReportsEveryFaultAndGoesOn) {
  Node n = node(R"({"a": -2, "b": [1], "c": "two", "d": 1.5, "e": "B4", "f": "yes", "thicknes": 3})");
  n.length_mm("a", kAboveZero);
  n.length_mm("b", kAny);
  n.number("c", kAny);
  n.whole("d", kAny);
  n.word("e", {"A4", "A3"});
  n.yes("f", false);
  n.length_mm("thickness", kAboveZero);
  n.done();
  EXPECT_THAT(
      said(),
      ElementsAre(
          "E129 job.json: parts[2].a: a length of -2 mm cannot be; give a length above 0 mm",
          "E128 job.json: parts[2].b: a list where a length must stand; write a number in the job's units, "
          "or text with "
          "a unit such as \"3/16 in\"",
          "E128 job.json: parts[2].c: text where a number must stand; write a number without quotation marks",
          "E129 job.json: parts[2].d: 1.5 is no whole number; give a whole number",
          "E130 job.json: parts[2].e: \"B4\" is not known here; write A4 or A3",
          "E128 job.json: parts[2].f: text where true or false must stand; write true or false without "
          "quotation marks",
          "E126 job.json: parts[2]: \"thickness\" is missing; state \"thickness\"",
          "E127 job.json: parts[2].thicknes: \"thicknes\" is not known here; did you mean \"thickness\"?"));
}

TEST_F(NodeTest, ANoteIsOpenToPeopleEverywhere) {
  Node n = node(R"({"note": "look at this again"})");
  n.done();
  EXPECT_THAT(said(), IsEmpty());
}

TEST_F(NodeTest, PointsNeedTwoLengths) {
  Node n = node(R"({"outline": [[0, "1 in"], [1], 7]})");
  EXPECT_EQ(n.points_mm("outline").size(), 1U);
  EXPECT_THAT(
      said(),
      ElementsAre("E128 job.json: parts[2].outline[1]: 1 numbers where a point must stand; write [x, y]",
                  "E128 job.json: parts[2].outline[2]: a number where a list must stand; put it in square "
                  "brackets: [ ... ]"));
}

}  // namespace
}  // namespace fairhole::job
