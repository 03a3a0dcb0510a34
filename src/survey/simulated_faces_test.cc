// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "fairhole/geometry/statistics.h"
#include "simulated_face.h"
#include "support/evidence.h"
#include "support/statistics.h"
#include "test_readings.h"

namespace fairhole {
namespace {

constexpr std::uint64_t kSeed = 1910;
constexpr int kFaces = 1000;
constexpr double kEfficiencyLoss = 0.03;
constexpr double kLeastCoverage = 0.935;
constexpr double kMostCoverage = 0.965;
constexpr double kKolmogorov1Percent =
    1.628;  // asymptotic 1 % point of sqrt(n) D (Kolmogorov's distribution)

struct Tally {
  double squared_error = 0.0;
  double bound = 0.0;
  int inside = 0;
  int holes = 0;
  int rejected = 0;
  int readings = 0;
  std::vector<double> p_values;

  double rms_over_bound() const { return std::sqrt(squared_error / bound); }
  double coverage() const { return static_cast<double>(inside) / holes; }
};

void count(const test::SimulatedFace& face, const SurveyResult& result, Tally& tally) {
  const double limit = chi2_quantile(0.95, 2.0);
  for (int h = 0; h < face.holes; ++h) {
    const MeasuredHole* hole = result.face.find(fmt::format("H{}", h + 1));
    ASSERT_NE(hole, nullptr);
    const Eigen::Vector2d error = hole->centre_mm - face.place(h);
    tally.squared_error += error.squaredNorm();
    tally.inside += error.dot(hole->centre_cov_mm2.ldlt().solve(error)) < limit ? 1 : 0;
    ++tally.holes;
  }
  for (const ReadingVerdict& v : result.readings) tally.rejected += v.rejected ? 1 : 0;
  tally.readings += static_cast<int>(result.readings.size());
  tally.bound += face.cramer_rao().trace();
  tally.p_values.push_back(result.chi2_p);
}

/// Largest distance between the empirical distribution of p and the uniform one, times sqrt(n).
double kolmogorov(std::vector<double> p) {
  std::sort(p.begin(), p.end());
  const auto n = static_cast<double>(p.size());
  double most = 0.0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const auto k = static_cast<double>(i);
    most = std::max({most, p[i] - k / n, (k + 1.0) / n - p[i]});
  }
  return std::sqrt(n) * most;
}

Tally run_faces(bool look_for_blunders) {
  Tally tally;
  std::mt19937_64 random(kSeed);
  SurveyOptions options;
  options.look_for_blunders = look_for_blunders;
  options.next_count = 0;
  for (int i = 0; i < test::trials(kFaces); ++i) {
    const int holes = 5 + static_cast<int>(random() % 56U);
    const test::SimulatedFace face = test::simulate_face(random, holes);
    count(face, test::must_adjust(face.readings, options), tally);
  }
  fmt::print(
      "faces {}, RMS / bound {:.4f}, in the 95 % ellipse {:.2f} %, sqrt(n) D {:.3f}, left out {} of {} "
      "readings\n",
      tally.p_values.size(), tally.rms_over_bound(), 100.0 * tally.coverage(), kolmogorov(tally.p_values),
      tally.rejected, tally.readings);
  return tally;
}

void expect_bound_and_coverage(const Tally& tally, const char* trial) {
  const int faces = static_cast<int>(tally.p_values.size());
  test::statistics(trial, "RMS error over the bound of Cramer and Rao")
      .trials(faces, "faces", kSeed)
      .near(tally.rms_over_bound(), 1.0, kEfficiencyLoss);
  test::statistics(trial, "holes within their 95 % ellipses")
      .trials(faces, "faces", kSeed)
      .between(tally.coverage(), kLeastCoverage, kMostCoverage);
}

TEST(SimulatedFacesStatistics, ReachTheBoundCoverAndAgreeAsClaimed) {
  const Tally tally = run_faces(false);
  if (!test::judge_frequencies()) return;
  const char* trial = "survey: simulated faces, truth drawn from the priors";
  expect_bound_and_coverage(tally, trial);
  test::statistics(trial, "p of the chi-square against uniform: sqrt(n) D (Kolmogorov, 1 %)")
      .trials(static_cast<int>(tally.p_values.size()), "faces", kSeed)
      .at_most(kolmogorov(tally.p_values), kKolmogorov1Percent);
}

TEST(SimulatedFacesStatistics, StillReachTheBoundWithTheSearchForBlunders) {
  const Tally tally = run_faces(true);
  if (!test::judge_frequencies()) return;
  expect_bound_and_coverage(tally, "survey: the same with the search for blunders");
}

// The covariance claimed is the inverse information, computed by a second method.
TEST(SimulatedFaces, ClaimTheCovarianceOfTheBound) {
  constexpr double kRelative = 2e-3;  // the claim is taken at the estimate, the bound at the truth
  std::mt19937_64 random(kSeed + 1);
  for (const int holes : {5, 12, 30}) {
    SCOPED_TRACE(holes);
    const test::SimulatedFace face = test::simulate_face(random, holes);
    const SurveyResult result =
        test::must_adjust(face.readings, {.look_for_blunders = false, .next_count = 0});
    const Eigen::MatrixXd bound = face.cramer_rao();
    Eigen::MatrixXd claimed(2 * holes, 2 * holes);
    // Holes stand in order of first mention.
    std::vector<int> at(static_cast<std::size_t>(holes));
    for (int i = 0; i < holes; ++i)
      at[static_cast<std::size_t>(std::stoi(result.face.holes[static_cast<std::size_t>(i)].id.substr(1)) -
                                  1)] = i;
    for (int i = 0; i < holes; ++i) {
      for (int j = 0; j < holes; ++j) {
        claimed.block<2, 2>(2 * i, 2 * j) = result.face.covariance_mm2.block<2, 2>(
            2 * at[static_cast<std::size_t>(i)], 2 * at[static_cast<std::size_t>(j)]);
      }
    }
    EXPECT_LT((claimed - bound).norm(), kRelative * bound.norm());
  }
}

}  // namespace
}  // namespace fairhole
