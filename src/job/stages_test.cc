// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <fstream>
#include <functional>
#include <limits>

#include "fair_stage.h"
#include "join_stage.h"
#include "outputs_stage.h"
#include "plan_json.h"
#include "survey_stage.h"
#include "test_job.h"

namespace fairhole::job {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

constexpr double kRoundingMm = 1e-9;

Readings day(const std::string& name) {
  Readings readings =
      *parse_readings("# tape: II\nkind,from,to,reading,sigma,note\nalong,A1,,30,,\nrun,A1,T,30,,\n", name);
  return readings;
}

TEST(Days, CountOnAndKeepTheirOwnTapeAndSetUp) {
  const Readings both = joined_readings({day("monday.csv"), day("friday.csv")});
  ASSERT_EQ(both.rows.size(), 4U);
  ASSERT_EQ(both.tapes.size(), 2U);
  for (int i = 0; i < 4; ++i) EXPECT_EQ(both.rows[static_cast<std::size_t>(i)].row, i + 1);
  EXPECT_EQ(both.rows[0].tape, 0);
  EXPECT_EQ(both.rows[2].tape, 1);
  EXPECT_NE(both.rows[1].set_up, both.rows[3].set_up);
  EXPECT_EQ(both.source, "monday.csv, friday.csv");
}

/// The problems of surveying the sound job with these readings files in its folder.
std::vector<std::string> survey_problems(const std::vector<std::pair<std::string, std::string>>& files,
                                         const std::function<void(Face&)>& change) {
  const test::Scratch scratch;
  for (const auto& [name, text] : files) std::ofstream(scratch / name) << text;
  Result<Job> job = test::parsed(test::sound_job());
  job->folder = (scratch / "").string();
  change(job->parts.front().faces.front());
  return test::lines(survey_faces(*job).problems);
}

constexpr const char* kFoot =
    "kind,from,to,reading,sigma,note\nalong,B1,,30,,\nacross,B1,,30,,\nalong,B2,,160,,\nacross,B2,,30,,\n";

TEST(SurveyStage, RefusesOneReadingsFileNamedTwice) {
  const auto problems = survey_problems({{"foot.csv", kFoot}}, [](Face& face) {
    face.readings = {"foot.csv", "./foot.csv"};
  });
  EXPECT_THAT(problems,
              ElementsAre("E153 job.json: part \"bracket\", face \"foot\": foot.csv and ./foot.csv hold the "
                          "same text, which would count as two measurements; name each readings file "
                          "once"));
  const auto twice = survey_problems({{"foot.csv", kFoot}}, [](Face& face) {
    face.readings = {"foot.csv", "foot.csv"};
  });
  EXPECT_THAT(
      twice, ElementsAre("E153 job.json: part \"bracket\", face \"foot\": \"readings\" names foot.csv twice, "
                         "which would count as two measurements; name each readings file once"));
}

TEST(SurveyStage, RefusesANoteOnAHoleNobodyMeasured) {
  const auto problems = survey_problems({{"foot.csv", kFoot}}, [](Face& face) { face.holes["B9"] = {}; });
  EXPECT_THAT(problems,
              ElementsAre("E152 job.json: part \"bracket\", face \"foot\": \"holes\" speaks of B9, which no "
                          "reading has; use the id that stands in the readings"));
}

TEST(SurveyStage, RefusesAPinOnAHoleNobodyMeasured) {
  const test::Scratch scratch;
  std::ofstream(scratch / "foot.csv") << kFoot;
  Result<Job> job = test::parsed(test::sound_job());
  job->folder = (scratch / "").string();
  job->joints.front().pins = {{"B1", "B1"}, {"B2", "A7"}};
  EXPECT_THAT(
      test::lines(survey_faces(*job).problems),
      ElementsAre("E152 job.json: part \"bracket\", face \"foot\": \"pins\" speaks of A7, which no reading "
                  "has; use the id that stands in the readings"));
}

/// A row of five drawn at a pitch of 40 mm on a long foot; four holes of it measured, the play longer than a
/// pitch.
struct RowJob {
  Job job;
  Surveyed surveyed;
};

RowJob row_job(const std::vector<PinnedPair>& pins) {
  nlohmann::ordered_json json = test::sound_job();
  json["patterns"]["foot"] =
      nlohmann::ordered_json::parse(R"([{"row": "B", "x": 100, "y": 90, "pitch": 40, "count": 5}])");
  json["joints"][0]["play"] = {{"along", 60}, {"across", 3}, {"turn_deg", 0.5}};
  RowJob made{*test::parsed(json), {}};
  made.job.joints.front().pins = pins;
  MeasuredFace& face = made.surveyed.faces[{"bracket", "foot"}];
  for (int i = 0; i < 4; ++i) {
    MeasuredHole hole;
    hole.id = "A" + std::to_string(i + 1);
    hole.centre_mm = {20.0 + 40.0 * i, 30.0};
    hole.centre_cov_mm2 = 0.04 * Eigen::Matrix2d::Identity();
    face.holes.push_back(hole);
  }
  return made;
}

TEST(JoinStage, APinSaysWhichPitchOfARowItIs) {
  for (const char* drawn : {"B1", "B2"}) {
    const RowJob made = row_job({{drawn, "A1"}});
    const Joined joined = join_faces(made.job, made.surveyed);
    EXPECT_THAT(test::lines(joined.problems), ElementsAre());
    ASSERT_EQ(joined.findings.size(), 1U);
    const Registration& found = joined.findings.front().registration;
    EXPECT_TRUE(found.rivals.empty()) << drawn;
    ASSERT_EQ(found.matches.size(), 4U);
    EXPECT_EQ(found.matches.front().nominal, drawn);
    EXPECT_EQ(found.matches.front().measured, "A1");
    EXPECT_EQ(found.matches.front().p, 1.0);
    ASSERT_EQ(joined.findings.front().pins.size(), 1U);
    EXPECT_EQ(joined.findings.front().pins.front().nominal, drawn);
  }
}

/// A row of five whose holes one `across` each lays out of line by `off_mm`; `more` bears it out, or not.
Joined joined_row(const std::array<double, 5>& off_mm, const std::string& more) {
  const test::Scratch scratch;
  std::string rows = "# resolution: 0.2\n# centring: 0.1\nkind,from,to,reading,sigma,note\n";
  for (int i = 1; i <= 5; ++i) {
    rows += fmt::format("along,A{},,{},,\n", i, 40 * i - 20);
    rows += fmt::format("across,A{},,{},,\n", i, 30.0 + off_mm[static_cast<std::size_t>(i - 1)]);
  }
  std::ofstream(scratch / "foot.csv") << rows + more;
  RowJob made = row_job({{"B1", "A1"}});
  made.job.folder = (scratch / "").string();
  made.job.parts.front().faces.front().readings = {"foot.csv"};
  return join_faces(made.job, survey_faces(made.job));
}

TEST(JoinStage, AHoleLaidOutOfItsRowByOneReadingIsMeasuredAgain) {
  const Joined alone = joined_row({0, 0, 2.5, 0, 0}, "");
  ASSERT_EQ(alone.faces.size(), 1U);
  EXPECT_EQ(alone.faces[0].measured.find("A3"), nullptr);
  EXPECT_THAT(
      alone.warnings,
      ElementsAre(testing::MatchesRegex(
                      "bracket, foot: across to A3, 32.5 mm, lays the hole out of line with the others, and "
                      "no other reading bears it out: a slip, by [5-9][0-9] in 100. The hole counts as not "
                      "measured; measure A3 again, another way."),
                  "bracket on plate: the drawing's hole B3 was not found among the measured ones."));
  const Joined borne_out = joined_row({0, 0, 2.5, 0, 0}, "across,A3,,32.4,,\noff-line,A3,A2|A4,2.5,,\n");
  ASSERT_EQ(borne_out.faces.size(), 1U);
  EXPECT_NE(borne_out.faces[0].measured.find("A3"), nullptr);
  EXPECT_THAT(borne_out.warnings, testing::IsEmpty());
  for (const HiddenSlip& slip : borne_out.faces[0].hidden) EXPECT_LT(slip.probability(), 0.05) << slip.text;
}

// The larger slip turns the row until the smaller one seems none.
TEST(JoinStage, ASlipThatAnotherHidIsFoundToo) {
  const Joined two = joined_row({0, 0, 6.0, 0, 3.0}, "");
  ASSERT_EQ(two.faces.size(), 1U);
  EXPECT_EQ(two.faces[0].measured.find("A3"), nullptr);
  EXPECT_EQ(two.faces[0].measured.find("A5"), nullptr);
  EXPECT_THAT(two.warnings, testing::IsSupersetOf({testing::HasSubstr("across to A3, 36 mm"),
                                                   testing::HasSubstr("across to A5, 33 mm")}));
}

// The reading that is likely wrong bears on a neighbour too, and still does when its own hole is left out.
TEST(JoinStage, ASlipStaysInTheOddsWhenItsHoleIsLeftOut) {
  RowJob made = row_job({{"B1", "A1"}});
  MeasuredFace& face = made.surveyed.faces[{"bracket", "foot"}];
  DoubtfulReading reading{3,    "A3", "across to A3, 36.0 mm", Eigen::VectorXd::Zero(8),
                          24.0, 4.0,  {{6.0, 6.0, 0.01}}};
  reading.per_mm[5] = 1.0;  // y of A3
  reading.per_mm[7] = 0.3;  // y of A4
  face.doubtful.push_back(reading);
  const Joined joined = join_faces(made.job, made.surveyed);
  ASSERT_EQ(joined.faces.size(), 1U);
  EXPECT_EQ(joined.faces[0].measured.find("A3"), nullptr);
  EXPECT_NE(joined.faces[0].measured.find("A4"), nullptr);
  EXPECT_THAT(joined.warnings, testing::Contains(testing::HasSubstr("across to A3")).Times(1));
  ASSERT_EQ(joined.faces[0].hidden.size(), 1U);
  EXPECT_GT(joined.faces[0].hidden[0].probability(), 0.9);
}

TEST(JoinStage, SaysThatPinsDoNotFit) {
  const RowJob apart = row_job({{"B1", "A1"}, {"B5", "A2"}});
  EXPECT_THAT(
      test::lines(join_faces(apart.job, apart.surveyed).problems),
      ElementsAre("E552 job.json: part \"bracket\", face \"foot\" on \"plate\": no pose brings the pinned "
                  "holes together; check which holes the pins name"));
  const RowJob far = row_job({{"B5", "A1"}});
  EXPECT_THAT(test::lines(join_faces(far.job, far.surveyed).problems),
              ElementsAre("E552 job.json: part \"bracket\", face \"foot\" on \"plate\": the pinned holes lie "
                          "where the seat and its play do not let them; check which holes the pins name, and "
                          "the seat in the job file"));
}

TEST(CheckSeats, RefusesAPartInTheAir) {
  nlohmann::ordered_json json = test::sound_job();
  json["joints"][0]["seat"] = {{"x", 380}, {"y", 200}};  // 20 x 50 of its 200 x 120 lie on the plate
  EXPECT_THAT(
      test::lines(check_seats(*test::parsed(json))),
      ElementsAre("E150 job.json: joints[0] \"bracket on plate\": the part would hang in the air: 4 % of "
                  "face \"foot\" lies over \"plate\"; look at the seat: x and y of the face's datum corner, "
                  "and where its x axis points"));
}

TEST(CheckSeats, RefusesADrawingBesideThePart) {
  nlohmann::ordered_json json = test::sound_job();
  json["joints"][0]["seat"] = {{"x", 190}, {"y", 100}};  // beside all three holes
  EXPECT_THAT(
      test::lines(check_seats(*test::parsed(json))),
      ElementsAre("E151 job.json: joints[0] \"bracket on plate\": 0 of 3 holes of the drawing lie on face "
                  "\"foot\" at its seat; look at the seat: x and y of the face's datum corner, and where its "
                  "x axis points"));
}

TEST(WithoutHoles, LeavesTheOthersCovarianceAsItWas) {
  MeasuredFace face;
  face.holes.resize(3);
  for (std::size_t i = 0; i < 3; ++i) face.holes[i].id = std::string("A") + std::to_string(i + 1);
  face.covariance_mm2 = Eigen::MatrixXd::Random(6, 6);
  const MeasuredFace rest = without_holes(face, {"A2"});
  ASSERT_EQ(rest.holes.size(), 2U);
  const Eigen::Vector4i kept(0, 1, 4, 5);
  for (int i = 0; i < 4; ++i) {
    for (int j = 0; j < 4; ++j) EXPECT_EQ(rest.covariance_mm2(i, j), face.covariance_mm2(kept[i], kept[j]));
  }
}

/// Bounds that forbid `p` when `need_mm` of clearance are wanted.
std::vector<std::string> too_near(const std::vector<OldLayer::Bound>& bounds, const Eigen::Vector2d& p,
                                  double need_mm) {
  std::vector<std::string> names;
  for (const OldLayer::Bound& bound : bounds) {
    if (bound.normal.dot(p) - bound.offset_mm < need_mm - kRoundingMm) names.push_back(bound.name);
  }
  return names;
}

TEST(FaceBounds, AnAnglesLegEndsEverywhereButAtItsHeel) {
  nlohmann::ordered_json json = test::sound_job();
  nlohmann::ordered_json& face = json["parts"][0]["faces"][0];
  face["heel_fillet"] = 10;
  face["toe_radius"] = 6;
  const Result<Job> job = test::parsed(json);
  ASSERT_TRUE(job.ok());
  const std::vector<OldLayer::Bound> bounds = face_bounds(job->parts[0].faces[0]);  // 200 x 120, 16 thick
  EXPECT_THAT(too_near(bounds, {100, 60}, 30), ElementsAre());
  EXPECT_THAT(too_near(bounds, {20, 60}, 30), ElementsAre("datum end"));
  EXPECT_THAT(too_near(bounds, {175, 60}, 30), ElementsAre("far end"));
  EXPECT_THAT(too_near(bounds, {100, 45}, 20), ElementsAre("heel fillet"))
      << "the fillet ends 16 + 10 from the heel";
  EXPECT_THAT(too_near(bounds, {100, 46.1}, 20), ElementsAre());
  EXPECT_THAT(too_near(bounds, {100, 95}, 20), ElementsAre("toe radius"))
      << "it begins 120 - 6 from the heel";
}

TEST(FaceBounds, AReentrantEdgeForbidsNoGoodMetal) {
  nlohmann::ordered_json json = test::sound_job();
  nlohmann::ordered_json& face = json["parts"][0]["faces"][0];
  face.erase("length");
  face.erase("width");
  face["outline"] = {{0, 0}, {200, 0}, {200, 50}, {60, 50}, {60, 120}, {0, 120}};
  const Result<Job> job = test::parsed(json);
  ASSERT_TRUE(job.ok());
  EXPECT_THAT(too_near(face_bounds(job->parts[0].faces[0]), {150, 25}, 20), ElementsAre());
}

TEST(ApplyNotes, PullShiftsTiedLayersAloneAndTheirDoubtIsCommon) {
  nlohmann::ordered_json json = test::sound_job();
  json["plates"][0]["joined"] = "after drilling";
  json["plates"][0]["pull"] = {{"x", 1.5}, {"y", -0.5}, {"sigma", 0.3}};
  json["joints"][0]["tied_to_old_plate"] = true;
  const Result<Job> job = test::parsed(json);
  ASSERT_TRUE(job.ok());
  Assembly assembly;
  assembly.stacks = empty_stacks(*job, {});
  assembly.covariance_mm2 = Eigen::MatrixXd::Zero(6, 6);
  for (int i = 0; i < 3; ++i) {
    OldLayer layer;
    layer.part = "bracket", layer.face = "foot", layer.joint = i < 2 ? "bracket on plate" : "another";
    layer.centre_mm = {10.0, 20.0};
    layer.covariance_index = i;
    assembly.stacks[static_cast<std::size_t>(i)].layers.push_back(layer);
  }
  apply_notes(*job, assembly);
  EXPECT_NEAR((assembly.stacks[0].layers[0].centre_mm - Eigen::Vector2d(8.5, 20.5)).norm(), 0.0, kRoundingMm);
  EXPECT_NEAR((assembly.stacks[2].layers[0].centre_mm - Eigen::Vector2d(10.0, 20.0)).norm(), 0.0,
              kRoundingMm);
  EXPECT_NEAR(assembly.covariance_mm2(0, 2), 0.09, kRoundingMm);
  EXPECT_NEAR(assembly.covariance_mm2(0, 4), 0.0, kRoundingMm);
  EXPECT_NEAR(assembly.covariance_mm2(0, 1), 0.0, kRoundingMm);
}

TEST(PlanJson, HasNullWhereThereIsNoNumber) {
  const Result<Job> job = test::parsed(test::sound_job());
  ReportInput report;
  StackPlan stack;
  stack.id = "B1", stack.plate = "plate";
  stack.centre_mm.x() = std::numeric_limits<double>::quiet_NaN();
  stack.grip_mm = std::numeric_limits<double>::infinity();
  stack.centre_mm.y() = -0.0;
  report.plan.stacks.push_back(stack);
  const std::string text = plan_json(*job, report);
  EXPECT_THAT(text, Not(HasSubstr("nan")));
  EXPECT_THAT(text, Not(HasSubstr("-0.0")));
  const auto json = nlohmann::json::parse(text);
  EXPECT_TRUE(json["stacks"][0]["x"].is_null());
  EXPECT_TRUE(json["stacks"][0]["grip"].is_null());
  EXPECT_TRUE(json["stacks"][0]["mark_x"].is_null()) << "not laid out";
}

TEST(HolesCsv, QuotesWhatASpreadsheetWouldSplit) {
  ReportInput report;
  StackPlan stack;
  stack.id = "B1", stack.plate = "plate", stack.group = "fore bracket, \"hidden\"";
  report.plan.stacks.push_back(stack);
  EXPECT_THAT(holes_csv(report), HasSubstr("\nplate,B1,\"fore bracket, \"\"hidden\"\"\",0,0,,,"));
}

TEST(RunDate, IsTheJobsElseThatOfTheEpochElseOpen) {
  const auto at = [](long long seconds) {
    RunOptions options;
    options.source_date_epoch = seconds;
    return options;
  };
  Job job;
  EXPECT_EQ(run_date(job, {}), "");
  // 951782399 s is the last second of 28 February 2000 (date -u -d @951782399), a leap year.
  EXPECT_EQ(run_date(job, at(951782399)), "2000-02-28");
  EXPECT_EQ(run_date(job, at(951782400)), "2000-02-29");
  job.date = "2026-11-25";
  EXPECT_EQ(run_date(job, at(951782400)), "2026-11-25");
}

}  // namespace
}  // namespace fairhole::job
