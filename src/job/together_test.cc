// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// An angle between two plates: its legs slide along the heel as one, and legs whose holes ask for different
// places along it are told of, in the report's data and in plan.json.
#include <fmt/core.h>
#include <gmock/gmock.h>

#include <fstream>

#include "fairhole/job/run.h"
#include "test_job.h"

namespace fairhole::job {
namespace {

using nlohmann::ordered_json;

constexpr double kHoles[][2] = {{40.0, 45.0}, {140.0, 52.0}, {260.0, 45.0}};

/// The readings of a leg whose holes all stand `on_mm` further along than drawn.
std::string leg_readings(double on_mm) {
  std::string text = "kind,from,to,reading,sigma,note\n";
  for (int k = 0; k < 3; ++k) {
    text += fmt::format("along,A{0},,{1},0.1,\nacross,A{0},,{2},0.1,\ndia,A{0},,20,0.02,\n", k + 1,
                        kHoles[k][0] + on_mm, kHoles[k][1]);
  }
  return text;
}

ordered_json angle_job() {
  ordered_json job = test::sound_job();
  ordered_json plate = job["plates"][0], face = job["parts"][0]["faces"][0], joint = job["joints"][0],
               group = job["hole_groups"][0];
  job["plates"] = job["hole_groups"] = job["joints"] = ordered_json::array();
  job["parts"] = {{{"id", "angle"}, {"kind", "angle"}, {"faces", ordered_json::array()}}};
  ordered_json holes = ordered_json::array();
  for (int k = 0; k < 3; ++k)
    holes.push_back(
        {{"hole", fmt::format("B{}", k + 1)}, {"x", 50.0 + kHoles[k][0]}, {"y", 60.0 + kHoles[k][1]}});
  job["patterns"] = {{"leg", holes}};
  for (const char* name : {"web", "flange"}) {
    plate["name"] = name;
    job["plates"].push_back(plate);
    face["name"] = std::string(name) + " leg", face["length"] = 300, face["width"] = 90;
    face["readings"] = {std::string(name) + ".csv"};
    job["parts"][0]["faces"].push_back(face);
    group["name"] = name, group["on"] = name, group["pattern"] = "leg";
    job["hole_groups"].push_back(group);
    joint["name"] = std::string("angle on ") + name, joint["part"] = "angle", joint["face"] = face["name"];
    joint["on"] = name, joint["seat"] = {{"x", 50}, {"y", 60}}, joint["groups"] = {name};
    joint["play"] = {{"along", 5}, {"across", 5}, {"turn_deg", 0.5}};
    job["joints"].push_back(joint);
  }
  job["rules"] = {{"draws", 100}};
  return job;
}

RunResult result_of(double flange_on_mm) {
  const test::Scratch scratch;
  std::ofstream(scratch / "web.csv") << leg_readings(0.0);
  std::ofstream(scratch / "flange.csv") << leg_readings(flange_on_mm);
  Result<Job> job = test::parsed(angle_job());
  EXPECT_TRUE(job.ok()) << testing::PrintToString(test::lines(job.ok() ? Problems{} : job.problems()));
  if (!job) return {};
  job->folder = (scratch / "").string();
  Result<RunResult> result = run(*job);
  if (!result) ADD_FAILURE() << testing::PrintToString(test::lines(result.problems()));
  return result ? *std::move(result) : RunResult{};
}

std::vector<std::string> plan_warnings(const RunResult& result) {
  for (const ResultFile& file : result.files) {
    if (file.name == "plan.json") return ordered_json::parse(file.bytes)["warnings"];
  }
  return {};
}

TEST(MovingTogether, LegsOfAnAngleAreOneBody) {
  const RunResult result = result_of(0.0);
  ASSERT_EQ(result.report.together.size(), 1U);
  ASSERT_EQ(result.report.together[0].places.size(), 2U);
  EXPECT_THAT(result.report.open_loops, testing::IsEmpty());
  EXPECT_THAT(plan_warnings(result), testing::Not(testing::Contains(testing::HasSubstr("one body"))));
}

// 3 mm apart along one heel, of which either leg has a quarter of a millimetre of slack: 2.5 mm are left,
// half on either.
TEST(MovingTogether, LegsThatPullApartAreToldInThePlan) {
  const RunResult result = result_of(3.0);
  ASSERT_EQ(result.report.open_loops.size(), 2U);
  const std::vector<std::string> warnings = plan_warnings(result);
  for (const std::string& loop : result.report.open_loops) {
    EXPECT_THAT(warnings, testing::Contains(loop));
    EXPECT_THAT(loop, testing::ContainsRegex("angle \\(angle on [a-z]+\\): its own holes ask for a place "
                                             "-?1\\.[23] mm along and -?0\\.0 mm across"));
  }
}

}  // namespace
}  // namespace fairhole::job
