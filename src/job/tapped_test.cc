// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
//
// Threads of tapped and blind holes as the job states them.
#include <gmock/gmock.h>

#include "test_job.h"

namespace fairhole::job::test {
namespace {

nlohmann::ordered_json with_hole(const nlohmann::ordered_json& hole) {
  nlohmann::ordered_json job = sound_job();
  job["parts"][0]["faces"][0]["holes"] = {{"A4", hole}};
  return job;
}

TEST(TappedHoles, AreReadWithThreadDepthAndMetal) {
  const auto job = parsed(with_hole(
      {{"form", "tapped"}, {"thread", "3/4 BSW"}, {"thread_depth", "1 1/4 in"}, {"thread_in", "cast iron"}}));
  ASSERT_TRUE(job.ok()) << describe(job.problems()[0]);
  const auto& tapped = job->face("bracket", "foot")->holes.at("A4").tapped;
  ASSERT_TRUE(tapped.has_value());
  EXPECT_EQ(tapped->thread, "3/4 BSW");
  EXPECT_NEAR(tapped->full_thread_mm, 31.75, 1e-9);
  EXPECT_TRUE(tapped->cast_iron);
}

TEST(TappedHoles, SayWhatIsMissingOrWrong) {
  EXPECT_THAT(
      lines(parsed(with_hole({{"form", "tapped"}, {"thread", "M21"}, {"thread_depth", 30}})).problems()),
      testing::ElementsAre(
          "E457 job.json: parts[0].faces[0].holes[\"A4\"].thread: no thread is called \"M21\"; write "
          "one thread, as M20 or 3/4 BSW"));
  EXPECT_THAT(
      lines(parsed(with_hole({{"form", "through"}, {"thread", "M20"}, {"thread_depth", 30}})).problems()),
      testing::ElementsAre(
          "E461 job.json: parts[0].faces[0].holes[\"A4\"]: a thread, and a hole that is neither tapped "
          "nor blind; write \"form\": \"tapped\" or \"blind\", or take the thread away"));
  EXPECT_THAT(lines(parsed(with_hole({{"form", "blind"}, {"thread", "M20"}})).problems()),
              testing::ElementsAre(testing::HasSubstr("thread_depth")));
}

}  // namespace
}  // namespace fairhole::job::test
