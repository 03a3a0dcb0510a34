// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "fairhole/geometry/statistics.h"
#include "fairhole/survey/survey.h"
#include "simulated_face.h"
#include "support/statistics.h"
#include "test_readings.h"

namespace fairhole {
namespace {

using test::must_adjust;
using test::simulate;

SurveyOptions plain() {
  SurveyOptions options;
  options.look_for_blunders = false;
  options.next_count = 0;
  return options;
}

/// 1,000 faces of 5 to 60 holes. The bound is the inverse information at the truth (all errors normal, truth
/// of the corner drawn from its prior): the claimed covariance is that to first order, so its trace is
/// compared with the errors found.
TEST(SurveyStatistics, ReachesTheBoundAndCoversTheTruth) {
  std::mt19937_64 rng(1000);
  const int faces = test::trials(1000);
  double found = 0.0, bound = 0.0;
  long inside = 0, holes = 0;
  std::vector<double> p;
  for (int f = 0; f < faces; ++f) {
    SCOPED_TRACE(f);
    const test::SimulatedFace face = simulate({.holes = 5 + f % 56,
                                               .centres_per_hole = 1 + f % 3,
                                               .with_tape = false,
                                               .with_runs = f % 2 == 0,
                                               .with_edges = f % 3 != 0},
                                              rng);
    const SurveyResult result = must_adjust(face.readings, plain());
    ASSERT_EQ(result.face.holes.size(), face.truth_mm.size());
    for (std::size_t h = 0; h < face.truth_mm.size(); ++h) {
      const MeasuredHole& hole = result.face.holes[h];
      const auto number = static_cast<std::size_t>(std::stoi(hole.id.substr(1)));
      const Eigen::Vector2d error = hole.centre_mm - face.truth_mm[number];
      found += error.squaredNorm();
      bound += hole.centre_cov_mm2.trace();
      inside += error.dot(hole.centre_cov_mm2.inverse() * error) <= chi2_quantile(0.95, 2.0) ? 1 : 0;
      ++holes;
    }
    p.push_back(result.chi2_p);
  }
  if (!test::judge_frequencies()) return;
  EXPECT_NEAR(std::sqrt(found / bound), 1.0, 0.03);
  const double covered = static_cast<double>(inside) / static_cast<double>(holes);
  EXPECT_GE(covered, 0.935);
  EXPECT_LE(covered, 0.965);
  // Kolmogorov-Smirnov against the uniform, 1 % level: 1.63 / sqrt(n).
  std::sort(p.begin(), p.end());
  double distance = 0.0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const double n = static_cast<double>(p.size());
    distance = std::max({distance, std::abs(p[i] - static_cast<double>(i) / n),
                         std::abs(p[i] - static_cast<double>(i + 1) / n)});
  }
  EXPECT_LT(distance, 1.63 / std::sqrt(static_cast<double>(p.size())));
}

/// A blunder of the size of its mdb: the reading's own test fires with 80 % power (Baarda).
TEST(SurveyStatistics, SmallestDetectableBlunderIsDetectedFourTimesInFive) {
  std::mt19937_64 rng(2000);
  const int trials = test::trials(5000);
  int fired = 0, done = 0;
  for (int t = 0; t < trials; ++t) {
    test::SimulatedFace face = simulate({.holes = 8, .centres_per_hole = 2, .with_tape = false}, rng);
    const auto row = static_cast<std::size_t>(rng() % face.readings.rows.size());
    const SurveyResult before = must_adjust(face.readings, plain());
    if (!before.readings[row].mdb_mm) continue;
    face.readings.rows[row].value_mm += (rng() % 2 == 0 ? 1.0 : -1.0) * *before.readings[row].mdb_mm;
    const SurveyResult after = must_adjust(face.readings, plain());
    fired += std::abs(after.readings[row].w.value_or(0.0)) > kCriticalW ? 1 : 0;
    ++done;
  }
  if (!test::judge_frequencies()) return;
  EXPECT_NEAR(static_cast<double>(fired) / done, 0.80, 0.03);
}

/// Slips of the trade, one a face: named right, and claims of high odds kept.
TEST(SurveyStatistics, SlipsAreNamedRightAndClaimsAreKept) {
  struct Trade {
    const char* name;
    double size_mm;
  };
  constexpr Trade kSlips[] = {
      {"100 mm start", 100.0}, {"1 in start", 25.4}, {"10 mm", 10.0}, {"1 in", -25.4}, {"a foot", 304.8}};
  std::mt19937_64 rng(3000);
  const int trials = test::trials(1000);
  int named = 0, claims = 0, kept = 0;
  for (int t = 0; t < trials; ++t) {
    test::SimulatedFace face =
        simulate({.holes = 6 + t % 15, .centres_per_hole = 3, .with_tape = false}, rng);
    std::size_t row = 0;
    do {
      row = static_cast<std::size_t>(rng() % face.readings.rows.size());
    } while (face.readings.rows[row].kind == ReadingKind::kDia);
    const Trade& slip = kSlips[rng() % std::size(kSlips)];
    face.readings.rows[row].value_mm += slip.size_mm;
    const SurveyResult result = must_adjust(face.readings);
    for (std::size_t i = 0; i < result.readings.size(); ++i) {
      const auto& claimed = result.readings[i].slip;
      if (!claimed) continue;
      const bool right = i == row && claimed->name == slip.name;
      named += right ? 1 : 0;
      if (claimed->odds < 0.9) continue;
      ++claims;
      kept += right ? 1 : 0;
    }
  }
  if (!test::judge_frequencies()) return;
  EXPECT_GE(static_cast<double>(named) / trials, 0.90);
  EXPECT_GE(static_cast<double>(kept) / claims, 0.90);
  EXPECT_GT(claims, trials / 2) << "claims so seldom that they prove nothing";
}

}  // namespace
}  // namespace fairhole
