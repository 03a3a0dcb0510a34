// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/drills.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

namespace fairhole {
namespace {

constexpr double kRoundingMm = 1e-9;

std::string written(const std::vector<DrillStep>& steps) {
  std::string text;
  for (const DrillStep& step : steps) {
    text += fmt::format("{}{} {}", text.empty() ? "" : ", ", tool_name(step.tool), step.name);
  }
  return text;
}

struct Chain {
  double finish_mm;
  HoleFinish finish;
  DrillUnit unit;
  const char* expected;
};

TEST(DrillChain, OfKnownHoles) {
  // Worked by hand from the rules of drills.h: 1/64 in for the reamer, steps of a half, a quarter for the
  // web.
  for (const Chain& chain :
       {Chain{22.225, HoleFinish::kReamed, DrillUnit::kInch,
              "pilot 1/8 in, step drill 7/16 in, final drill 55/64 in, reamer 7/8 in"},
        Chain{25.4, HoleFinish::kReamed, DrillUnit::kInch,
              "pilot 1/8 in, step drill 1/2 in, final drill 63/64 in, reamer 1 in"},
        Chain{25.4, HoleFinish::kReamed, DrillUnit::kMetric,
              "pilot 3.2 mm, step drill 12.5 mm, final drill 25 mm, reamer 25.4 mm"},
        Chain{22.0, HoleFinish::kReamed, DrillUnit::kMetric,
              "pilot 3.2 mm, step drill 10.8 mm, final drill 21.5 mm, reamer 22 mm"},
        Chain{22.225, HoleFinish::kReamed, DrillUnit::kMetric,
              "pilot 3.2 mm, step drill 10.9 mm, final drill 21.75 mm, reamer 7/8 in"},
        Chain{13.5, HoleFinish::kDrilled, DrillUnit::kMetric,
              "pilot 3.2 mm, step drill 6.8 mm, final drill 13.5 mm"},
        Chain{13.5, HoleFinish::kDrilled, DrillUnit::kInch,
              "pilot 1/8 in, step drill 17/64 in, final drill 17/32 in"},
        Chain{50.0, HoleFinish::kDrilled, DrillUnit::kMetric,
              "pilot 3.2 mm, step drill 12.5 mm, step drill 25 mm, final drill 50 mm"},
        Chain{12.0, HoleFinish::kDrilled, DrillUnit::kMetric, "pilot 3.2 mm, final drill 12 mm"},
        Chain{6.0, HoleFinish::kDrilled, DrillUnit::kMetric, "final drill 6 mm"},
        Chain{3.0, HoleFinish::kReamed, DrillUnit::kMetric, "final drill 2.6 mm, reamer 3 mm"}}) {
    const auto steps = drill_chain(chain.finish_mm, chain.finish, chain.unit);
    ASSERT_TRUE(steps.ok());
    EXPECT_EQ(written(*steps), chain.expected);
  }
}

class EverySize : public ::testing::TestWithParam<std::tuple<HoleFinish, DrillUnit>> {};

bool listed(const DrillStep& step, DrillUnit unit) {
  const auto drills = drill_list(unit);
  return std::any_of(drills.begin(), drills.end(), [&step](const Drill& drill) {
    return drill.diameter_mm == step.diameter_mm && drill.name == step.name;
  });
}

TEST_P(EverySize, FollowsTheRules) {
  const auto [finish, unit] = GetParam();
  for (int hundredths = 300; hundredths <= 5000; ++hundredths) {
    const double finish_mm = hundredths / 100.0;
    const auto chain = drill_chain(finish_mm, finish, unit);
    ASSERT_TRUE(chain.ok()) << finish_mm;
    SCOPED_TRACE(fmt::format("{} mm: {}", finish_mm, written(*chain)));
    std::vector<DrillStep> steps = *chain;
    for (std::size_t i = 1; i < steps.size(); ++i) ASSERT_GT(steps[i].diameter_mm, steps[i - 1].diameter_mm);
    if (finish == HoleFinish::kReamed) {
      ASSERT_EQ(steps.back().tool, ToolKind::kReamer);
      ASSERT_EQ(steps.back().diameter_mm, finish_mm);
      steps.pop_back();
      // Source: Applied Science for Metal Workers, section 313: 0.010 in to 1/32 in.
      const double left_mm = finish_mm - steps.back().diameter_mm;
      ASSERT_GE(left_mm, 0.254 - kRoundingMm);
      ASSERT_LE(left_mm, 0.79375 + kRoundingMm);
    } else {
      ASSERT_GE(steps.back().diameter_mm, finish_mm - 0.05 - kRoundingMm);
      ASSERT_LE(steps.back().diameter_mm, finish_mm + 0.5);  // the widest gap of the lists
    }
    ASSERT_EQ(steps.back().tool, ToolKind::kFinalDrill);
    for (const DrillStep& step : steps) ASSERT_TRUE(listed(step, unit)) << step.name;
    ASSERT_EQ(
        std::count_if(steps.begin(), steps.end(), [](const auto& s) { return s.tool == ToolKind::kPilot; }),
        steps.back().diameter_mm > 6.35 + kRoundingMm ? 1 : 0);
    for (std::size_t i = 0; i + 1 < steps.size(); ++i) {
      ASSERT_EQ(steps[i].tool, i == 0 ? ToolKind::kPilot : ToolKind::kStepDrill);
      ASSERT_GE(steps[i].diameter_mm, steps[i + 1].diameter_mm * (i == 0 ? 0.25 : 0.5) - kRoundingMm);
    }
  }
}

INSTANTIATE_TEST_SUITE_P(Chains, EverySize,
                         ::testing::Combine(::testing::Values(HoleFinish::kDrilled, HoleFinish::kReamed),
                                            ::testing::Values(DrillUnit::kInch, DrillUnit::kMetric,
                                                              DrillUnit::kAny)));

TEST(OpeningChain, BeginsAboveTheHoleThatIsThere) {
  const auto open = [](double existing_mm) {
    const auto steps = opening_chain(existing_mm, 22.225, HoleFinish::kReamed, DrillUnit::kInch);
    return steps.ok() ? written(*steps) : describe(steps.problems()[0]);
  };
  EXPECT_EQ(open(9.525), "step drill 7/16 in, final drill 55/64 in, reamer 7/8 in");
  EXPECT_EQ(open(19.05), "final drill 55/64 in, reamer 7/8 in");
  EXPECT_EQ(open(21.9), "reamer 7/8 in");
  EXPECT_EQ(open(22.225), "");
  EXPECT_EQ(
      open(22.3),
      "E272 a hole of 22.3 mm cannot be opened out to 22.225 mm; state a larger finish, or plug the hole");
}

TEST(InPlacePilot, LeavesAnEighthOfAnInch) {
  // Source: UFGS-05 05 5A p. 18: at least 1/8 in (3 mm) under, then reamed after assembly.
  EXPECT_EQ(in_place_pilot(22.225, DrillUnit::kInch)->name, "3/4 in");
  EXPECT_EQ(in_place_pilot(22.0, DrillUnit::kMetric)->name, "18.75 mm");
  EXPECT_EQ(in_place_pilot(9.525, DrillUnit::kInch)->name, "1/4 in");
  EXPECT_EQ(in_place_pilot(8.0, DrillUnit::kMetric)->name, "4 mm");
  for (double finish_mm = 3.0; finish_mm <= 50.0; finish_mm += 0.01) {
    const auto pilot = in_place_pilot(finish_mm, DrillUnit::kAny);
    ASSERT_TRUE(pilot.ok());
    ASSERT_EQ(pilot->tool, ToolKind::kPilot);
    ASSERT_TRUE(listed(*pilot, DrillUnit::kAny));
    ASSERT_LE(pilot->diameter_mm, std::max(finish_mm - 3.175, finish_mm / 2) + kRoundingMm);
  }
}

TEST(InPlacePilot, TakesTheShopsOwnDrill) {
  const std::vector<Drill> own{{18.95, "18.95 mm, reground"}};
  EXPECT_EQ(in_place_pilot(22.225, DrillUnit::kAny)->name, "3/4 in");  // 19.05 = 22.225 - 1/8 in
  EXPECT_EQ(in_place_pilot(22.15, DrillUnit::kInch)->name, "47/64 in");
  EXPECT_EQ(in_place_pilot(22.15, DrillUnit::kInch, own)->name, "18.95 mm, reground");
}

TEST(PilotLimits, AreWhatTheNextToolsAskFor) {
  const auto limits = [](double pilot_mm, double finish_mm, HoleFinish finish) {
    const auto chain = opening_chain(pilot_mm, finish_mm, finish, DrillUnit::kInch);
    return pilot_limits(pilot_mm, finish_mm, *chain);
  };
  // 7/8 in reamed from 3/4 in: 55/64 in comes next, half of it; the reamer keeps 0.010 in.
  const PilotLimits reamed = limits(19.05, 22.225, HoleFinish::kReamed);
  EXPECT_NEAR(reamed.min_mm, 25.4 * 55 / 128, kRoundingMm);
  EXPECT_NEAR(reamed.max_mm, 25.4 * (0.875 - 0.010), kRoundingMm);
  // The reamer comes next: it takes 1/32 in at the most.
  EXPECT_NEAR(limits(21.9, 22.225, HoleFinish::kReamed).min_mm, 25.4 * (0.875 - 1.0 / 32), kRoundingMm);
  const PilotLimits drilled = limits(19.05, 22.225, HoleFinish::kDrilled);
  EXPECT_NEAR(drilled.min_mm, 22.225 / 2, kRoundingMm);
  EXPECT_NEAR(drilled.max_mm, 22.225, kRoundingMm);
  const PilotLimits done = pilot_limits(22.0, 22.0, {});
  EXPECT_EQ(done.min_mm, 22.0);
  EXPECT_EQ(done.max_mm, 22.0);
}

TEST(PilotLimits, APilotCutLargeByItsDrillConforms) {
  // A drill cuts up to 0.2 mm over (common practice) and a caliper is good for 0.05 mm: 2 sigma inside both
  // limits.
  for (double finish_mm = 12.0; finish_mm <= 40.0; finish_mm += 0.1) {
    for (const HoleFinish finish : {HoleFinish::kDrilled, HoleFinish::kReamed}) {
      const double pilot_mm = in_place_pilot(finish_mm, DrillUnit::kAny)->diameter_mm;
      const auto chain = opening_chain(pilot_mm, finish_mm, finish, DrillUnit::kAny);
      ASSERT_TRUE(chain.ok());
      const PilotLimits limits = pilot_limits(pilot_mm, finish_mm, *chain);
      EXPECT_LT(limits.min_mm, pilot_mm - 0.1) << finish_mm;
      EXPECT_GT(limits.max_mm, pilot_mm + 0.3) << finish_mm;
    }
  }
}

TEST(DrillChain, SaysWhatItCannotDo) {
  const auto text = [](double finish_mm, HoleFinish finish, DrillUnit unit) {
    const auto steps = drill_chain(finish_mm, finish, unit);
    return steps.ok() ? "no problem" : describe(steps.problems()[0]);
  };
  EXPECT_EQ(text(60.0, HoleFinish::kDrilled, DrillUnit::kMetric),
            "E271 no drill of the list serves a hole of 60 mm; the list runs from 0.2 mm to 50 mm; state a "
            "size it can "
            "reach, or bore the hole");
  EXPECT_EQ(text(0.5, HoleFinish::kReamed, DrillUnit::kInch).substr(0, 4), "E271");
  EXPECT_EQ(text(-3.0, HoleFinish::kDrilled, DrillUnit::kAny),
            "E270 a hole of -3 mm; a diameter is a number above 0");
  EXPECT_EQ(
      text(std::numeric_limits<double>::quiet_NaN(), HoleFinish::kDrilled, DrillUnit::kAny).substr(0, 4),
      "E270");
  EXPECT_EQ(in_place_pilot(60.0, DrillUnit::kMetric).problems()[0].code, codes::kDrillNotListed);
}

}  // namespace
}  // namespace fairhole
