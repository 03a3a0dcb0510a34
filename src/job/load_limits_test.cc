// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "fairhole/job/load.h"
#include "test_job.h"

// What is no job at all, and what is too much of one.
namespace fairhole::job {
namespace {

using test::lines;
using test::parsed;
using test::sound_job;
using ::testing::ElementsAre;
using Json = nlohmann::ordered_json;

TEST(LoadJob, TooManyHolesAreRefused) {
  Json json = sound_job();
  json["patterns"]["foot"].push_back({{"row", "R"}, {"x", 5}, {"y", 20}, {"pitch", 8}, {"count", 10000}});
  for (const char* name : {"second", "third", "fourth"}) {
    json["hole_groups"].push_back(json["hole_groups"][0]);
    json["hole_groups"].back().update({{"name", name}, {"prefix", name}});
  }
  // Reading ends with the group that goes beyond: a short file could ask for more than there is memory.
  EXPECT_THAT(lines(parsed(json).problems()),
              ElementsAre("E133 job.json: hole_groups[1]: 20006 holes up to here; a job takes up to 20000; "
                          "look at the counts"));
}

TEST(LoadJob, PatternsThatFillTheMemoryAreRefused) {
  Json json = sound_job();
  const Json row = {{"row", "R"}, {"x", 5}, {"y", 20}, {"pitch", 8}, {"count", 10000}};
  Json second = row;
  second.update({{"row", "S"}, {"y", 40}});
  for (int i = 0; i < 9; ++i) json["patterns"]["p" + std::to_string(i)] = {row, second};
  EXPECT_THAT(lines(parsed(json).problems()),
              ElementsAre("E133 job.json: patterns[\"p4\"]: 100003 holes in the patterns up to here; all "
                          "patterns together take up to 100000; look at the counts"));
  second["row"] = "T";
  json["patterns"] = {
      {"foot", {row, second, {{"row", "U"}, {"x", 5}, {"y", 60}, {"pitch", 8}, {"count", 1}}}}};
  EXPECT_THAT(lines(parsed(json).problems()),
              ElementsAre("E260 job.json: patterns[\"foot\"]: more than 20000 holes; look at the counts of "
                          "rows, grids and circles"));
}

TEST(LoadJob, AFolderWithoutAJobAndNothingAtAllAreSaid) {
  const test::Scratch scratch;
  EXPECT_THAT(
      lines(load_job((scratch / "").string()).problems()),
      ElementsAre(
          "E120 " + (scratch / "").string() +
          ": the folder holds no job.json; name a job folder or a job file; \"fairhole new DIR\" makes "
          "an example"));
  EXPECT_THAT(
      lines(load_job((scratch / "none").string()).problems()),
      ElementsAre(
          "E120 " + (scratch / "none").string() +
          ": there is no such file or folder; name a job folder or a job file; \"fairhole new DIR\" makes "
          "an example"));
}

TEST(LoadJob, OutlinesAreTurnedCounterClockwise) {
  Json json = sound_job();
  json["plates"][0]["outline"] = {{0, 0}, {0, 250}, {400, 250}, {400, 0}};
  const Result<Job> job = parsed(json);
  ASSERT_TRUE(job.ok());
  EXPECT_EQ(job->plates.front().outline_mm[1], Eigen::Vector2d(400, 0));
}

}  // namespace
}  // namespace fairhole::job
