// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/check_back.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <nlohmann/json.hpp>

#include "fairhole/job/run.h"
#include "test_job.h"

namespace fairhole::job::test {
namespace {

using Json = nlohmann::ordered_json;

Json stack(const std::string& id, double x, double y) {
  return {{"id", id},
          {"plate", "plate"},
          {"x", x},
          {"y", y},
          {"method", "open-out"},
          {"finish_diameter", 22.0},
          {"fastener_mark", "F1"},
          {"fit", "H7/k6"},
          {"limits",
           {{"pilot", {{"position_zone", 0.8}, {"drill", 18.0}, {"min", 10.7}, {"max", 21.7}}},
            {"finished", {{"position_zone", 0.8}, {"min", 21.5}, {"max", 24.0}}}}},
          {"layers",
           {{{"new_plate", true}},
            {{"new_plate", false},
             {"part", "bracket"},
             {"hole", "A1"},
             {"misfit", {0.1, 0.0}},
             {"found_diameter", 20.8},
             {"action", "ream"}}}}};
}

Json plan() {
  return {{"format", "fairhole plan 1"},
          {"job", "Bracket"},
          {"date", "2026-01-05"},
          {"ready", true},
          {"turning_within", 0.01},
          {"plates", {{{"name", "plate"}}}},
          {"stacks", {stack("B1", 110.0, 90.0), stack("B2", 240.0, 90.0), stack("B3", 110.0, 150.0)}}};
}

/// Pilots by tape from both edges, B2 2 mm off, one reading of B3 a slip of 10 mm among others that check it.
constexpr const char* kReadings =
    "# centring: 0.05\n# resolution: 0.1\nkind,from,to,reading,sigma,note\n"
    "along,B1,,110.0,,\nacross,B1,,90.0,,\nalong,B2,,242.0,,\nacross,B2,,90.0,,\nalong,B3,,110.0,,\n"
    "across,B3,,160.0,,\ncentres,B1,B3,60.0,,\ncentres,B1,B2,132.0,,\ncentres,B2,B3,145.0,,\nacross,B3,,150."
    "0,,\n"
    "dia,B1,,18.2,0.05,\ndia,B2,,18.2,0.05,\ndia,B3,,18.2,0.05,\n";

CheckBackRequest request(const std::string& measured = kReadings) {
  return {{"plan.json", plan().dump()}, {"pilots.csv", measured}, "", {}, {}, "2026-02-01"};
}

TEST(CheckBack, JudgesEachHoleFromATape) {
  const auto checked = check_back(request());
  ASSERT_TRUE(checked.ok()) << describe(checked.problems()[0]);
  const Json json = Json::parse(check_back_json(*checked));
  EXPECT_EQ(json["stage"], "pilot");
  ASSERT_EQ(json["holes"].size(), 3U);
  std::vector<std::string> keys;
  for (const auto& [key, value] : json["holes"][0].items()) keys.push_back(key);
  keys.resize(6);
  EXPECT_THAT(keys, testing::ElementsAre("id", "dx", "dy", "diameter", "verdict", "remedy"));
  EXPECT_EQ(json["holes"][0]["verdict"], "conforming");
  EXPECT_EQ(json["holes"][1]["verdict"], "not-conforming");
  constexpr double kReadMm = 0.15;  // three sigmas of a reading
  EXPECT_NEAR(json["holes"][1]["dx"].get<double>(), 2.0, kReadMm);
  EXPECT_EQ(json["holes"][2]["verdict"], "conforming");
  int rejected = 0;
  for (const ReadingKept& reading : checked->readings) {
    rejected += reading.rejected ? 1 : 0;
    if (reading.rejected) {
      EXPECT_EQ(reading.text, "across,B3,,160.0,,");
    }
  }
  EXPECT_EQ(rejected, 1);
}

TEST(CheckBack, AFileOfHolesInItsOwnFrameIsLaidOnThePlan) {
  // The plan's three holes turned a quarter: (x, y) -> (-y, x) + (500, 0).
  const std::string measured =
      R"({"frame": "A4-0", "holes": [)"
      R"({"id": "H1", "x": 410, "y": 110, "sxx": 0.0025, "sxy": 0, "syy": 0.0025, "diameter": 22.01, "s_diameter": 0.001},)"
      R"({"id": "H2", "x": 410, "y": 240, "sxx": 0.0025, "sxy": 0, "syy": 0.0025, "diameter": 22.02, "s_diameter": 0.001},)"
      R"({"id": "H3", "x": 350, "y": 110, "sxx": 0.0025, "sxy": 0, "syy": 0.0025, "diameter": 22.00, "s_diameter": 0.001}]})";
  const auto checked = check_back(request(measured));
  ASSERT_TRUE(checked.ok()) << describe(checked.problems()[0]);
  EXPECT_EQ(checked->inspection.stage, Stage::kFinished);
  for (const HoleVerdict& hole : checked->inspection.holes) {
    EXPECT_EQ(hole.verdict, Verdict::kConforming) << hole.id << hole.remedy;
    ASSERT_TRUE(hole.shank.has_value());
    // k6 of 18 to 30 mm: +15/+2 um (ISO 286-2:2010), less 2 sigma at both ends.
    EXPECT_NEAR(hole.shank->max_mm() - *hole.diameter_mm, 0.013, 1e-6);
    EXPECT_NEAR(hole.shank->min_mm() - *hole.diameter_mm, 0.004, 1e-6);
  }
  EXPECT_EQ(checked->inspection.holes[1].measured_as, "H2");
}

std::vector<std::string> lines_of(const CheckBackRequest& asked) {
  const auto checked = check_back(asked);
  return checked.ok() ? std::vector<std::string>{} : lines(checked.problems());
}

TEST(CheckBack, SaysWhatIsWrongWithThePlan) {
  CheckBackRequest asked = request();
  asked.plan.text = "{}";
  const std::string none =
      "E458 plan.json: this is no plan of `fairhole run`, or an older one; name the plan.json of the "
      "results, as it "
      "was written";
  EXPECT_THAT(lines_of(asked), testing::ElementsAre(none));
  Json older = plan();
  older["stacks"][0].erase("limits");
  asked.plan.text = older.dump();
  EXPECT_THAT(lines_of(asked), testing::ElementsAre(none));
  Json not_ready = plan();
  not_ready["ready"] = false;
  asked.plan.text = not_ready.dump();
  EXPECT_THAT(
      lines_of(asked),
      testing::ElementsAre("E458 plan.json: this plan is NOT TO BE DRILLED: there is nothing to check; mend "
                           "what its \"problems\" name and run it again"));
  Json two = plan();
  two["plates"].push_back({{"name", "other"}});
  asked.plan.text = two.dump();
  EXPECT_THAT(lines_of(asked),
              testing::ElementsAre("E459 plan.json: the plan has 2 plates; write --plate and one of: "
                                   "plate, other"));
  asked.plate = "third";
  EXPECT_THAT(lines_of(asked),
              testing::ElementsAre("E459 plan.json: the plan has no plate \"third\"; write --plate "
                                   "and one of: plate, other"));
  asked.plate = "other";
  asked.measured.text = R"({"holes": []})";
  EXPECT_THAT(lines_of(asked),
              testing::ElementsAre("E583 other: no measured hole is one of the plan's; name the holes "
                                   "as the drilling sheet does, or name the right plate"));
}

TEST(Record, AgreesWithItselfAndNothingElse) {
  const auto checked = check_back(request());
  ASSERT_TRUE(checked.ok());
  const std::string text = record_json(*checked);
  const CheckBackRequest asked = request();
  EXPECT_TRUE(verify_record({"r.json", text}, asked.plan, asked.measured).ok());
  const auto refused = [](const std::string& record, const std::optional<NamedText>& plan = std::nullopt) {
    const auto again = verify_record({"r.json", record}, plan, std::nullopt);
    return again.ok() ? std::vector<std::string>{} : lines(again.problems());
  };
  const std::string remedy = "; do not rely on it: check the plate again, and keep both records";
  // A verdict painted over.
  Json painted = Json::parse(text);
  painted["outcome"]["holes"][1]["verdict"] = "conforming";
  EXPECT_THAT(refused(painted.dump()),
              testing::ElementsAre(
                  "E585 r.json: its seal is not that of what stands in it" + remedy,
                  "E585 r.json: the check done again from its inputs comes to something else" + remedy));
  // A reading changed.
  Json changed = Json::parse(text);
  std::string readings = changed["measured"]["text"];
  readings.replace(readings.find("242.0"), 5, "240.0");
  changed["measured"]["text"] = readings;
  EXPECT_THAT(refused(changed.dump()),
              testing::Contains("E585 r.json: the hash of \"measured\" is not that of its text" + remedy));
  // Another plan.
  NamedText other = asked.plan;
  other.text += " ";
  EXPECT_THAT(
      refused(text, other),
      testing::ElementsAre(
          "E586 r.json: it was made from another plan than plan.json; find the record that belongs to it"));
  EXPECT_THAT(
      refused("{}"),
      testing::ElementsAre("E460 r.json: this is no record of a check, or parts of it are missing; name the "
                           ".json file that --record wrote"));
}

TEST(Record, IsTheSameBytesAgainAndAPdf) {
  const auto first = check_back(request()), second = check_back(request());
  EXPECT_EQ(record_json(*first), record_json(*second));
  const auto pdf = record_pdf(*first);
  ASSERT_TRUE(pdf.ok()) << describe(pdf.problems()[0]);
  EXPECT_EQ(pdf->substr(0, 5), "%PDF-");
  EXPECT_EQ(*pdf, *record_pdf(*second));
}

}  // namespace
}  // namespace fairhole::job::test
