// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <Eigen/QR>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/non_central_f.hpp>
#include <cmath>

#include "distortion_model.h"
#include "fairhole/geometry/statistics.h"
#include "support/evidence.h"
#include "support/statistics.h"
#include "test_distortion.h"

namespace fairhole {
namespace {

constexpr std::array kAllTerms = {DistortionTerm::kScale, DistortionTerm::kShear, DistortionTerm::kAspect,
                                  DistortionTerm::kBow, DistortionTerm::kTwist};
constexpr double kScatterMm = 0.4;

/// Five holes a row, 76.2 mm apart, the outer row staggered by half: enough to tell all terms apart, few
/// enough that degrees of freedom matter.
std::vector<Eigen::Vector2d> staggered_rows() {
  std::vector<Eigen::Vector2d> holes;
  for (int i = 0; i < 5; ++i) {
    holes.emplace_back(38.1 + 76.2 * i, 31.75);
    holes.emplace_back(76.2 + 76.2 * i, 101.6);
  }
  return holes;
}

/// Shift of one coefficient, written down here again: closed forms of docs/distortion.md.
Eigen::VectorXd effect(DistortionTerm term, const std::vector<Eigen::Vector2d>& holes) {
  Eigen::Vector2d middle = Eigen::Vector2d::Zero(), low = holes.front(), high = low;
  for (const Eigen::Vector2d& p : holes) {
    middle += p / static_cast<double>(holes.size());
    low = low.cwiseMin(p);
    high = high.cwiseMax(p);
  }
  Eigen::VectorXd shift(2 * static_cast<Eigen::Index>(holes.size()));
  for (std::size_t i = 0; i < holes.size(); ++i) {
    const double t = holes[i].x() - middle.x(), v = holes[i].y() - middle.y();
    const double share = 2.0 * t / (high - low).x();
    const Eigen::Vector2d of[] = {
        {t, v}, {-v, 0.0}, {0.0, v}, {0.0, 1.0 - share * share}, {0.0, t * v / (high - low).y()}};
    shift.segment<2>(static_cast<Eigen::Index>(2 * i)) = of[static_cast<std::size_t>(term)];
  }
  return shift;
}

/// Squared length of what a rigid motion cannot take up of it.
double bare_effect2(const Eigen::VectorXd& shift, const std::vector<Eigen::Vector2d>& holes) {
  Eigen::MatrixXd rigid = Eigen::MatrixXd::Zero(shift.size(), 3);
  for (std::size_t i = 0; i < holes.size(); ++i) {
    const auto row = static_cast<Eigen::Index>(2 * i);
    rigid.block<2, 2>(row, 0).setIdentity();
    rigid.block<2, 1>(row, 2) = Eigen::Vector2d(-holes[i].y(), holes[i].x());
  }
  return (shift - rigid * rigid.colPivHouseholderQr().solve(shift)).squaredNorm();
}

/// Draws faces of one part: reading errors of a covariance, scatter, a distortion, the face lying anyhow.
struct Drawer {
  std::vector<Eigen::Vector2d> holes = staggered_rows();
  Eigen::MatrixXd readings_mm2 = Eigen::MatrixXd::Zero(20, 20);
  Eigen::MatrixXd stated_mm2 = {};  ///< what the finder is told; empty: the truth
  double scatter_mm = kScatterMm;
  Eigen::VectorXd shift_mm = Eigen::VectorXd::Zero(20);
  std::uint64_t seed = 1;
  std::mt19937_64 rng{seed};

  MatchedPoints draw(const Eigen::MatrixXd& root) {
    std::normal_distribution<double> normal;
    const auto unit = [&] { return normal(rng); };
    Eigen::VectorXd error = root * Eigen::VectorXd::NullaryExpr(20, unit);
    error += scatter_mm * Eigen::VectorXd::NullaryExpr(20, unit) + shift_mm;
    MatchedPoints points{holes, {}, stated_mm2.size() == 0 ? readings_mm2 : stated_mm2};
    for (std::size_t i = 0; i < holes.size(); ++i)
      points.measured_mm.emplace_back(holes[i] + error.segment<2>(static_cast<Eigen::Index>(2 * i)));
    return points;
  }
  Eigen::MatrixXd root() const {
    return Eigen::LLT<Eigen::MatrixXd>(readings_mm2 + 1e-12 * Eigen::MatrixXd::Identity(20, 20)).matrixL();
  }
};

/// Readings as a survey gives them: unequal own errors, a common shift, a tape (0.05 %) and a corner of 0.1
/// degree in all of them.
Eigen::MatrixXd surveyed(const std::vector<Eigen::Vector2d>& holes, double tape_sigma = 0.0005) {
  Eigen::MatrixXd cov = test::survey_covariance(10, 0.15, 0.2);
  for (Eigen::Index i = 0; i < 20; ++i) cov(i, i) += 0.02 * static_cast<double>(i % 5);
  const Eigen::VectorXd tape = effect(DistortionTerm::kScale, holes);
  const Eigen::VectorXd corner = effect(DistortionTerm::kShear, holes);
  cov += tape_sigma * tape_sigma * tape * tape.transpose();
  cov += 0.00175 * 0.00175 * corner * corner.transpose();
  return cov;
}

void expect_bare_test_keeps_its_level(Drawer drawer) {
  constexpr int kRuns = 20000;
  const int runs = test::trials(kRuns);
  const Eigen::MatrixXd root = drawer.root();
  std::array<int, kDistortionTerms> at_5 = {}, at_01 = {};
  for (int run = 0; run < runs; ++run) {
    const DistortionProblem problem = distortion_problem(drawer.draw(root), Motion{}, {});
    for (const DistortionTerm term : kAllTerms) {
      const ModelFit fit = fit_model(problem, {term});
      const double p = f_upper_tail(fit.f(term), 1.0, fit.fit.dof);
      at_5[static_cast<std::size_t>(term)] += p < 0.05 ? 1 : 0;
      at_01[static_cast<std::size_t>(term)] += p < 0.001 ? 1 : 0;
    }
  }
  if (!test::judge_frequencies()) return;
  for (const DistortionTerm term : kAllTerms) {
    SCOPED_TRACE(distortion_name(term));
    const double rate_5 = at_5[static_cast<std::size_t>(term)] / double{kRuns};
    const double rate_01 = at_01[static_cast<std::size_t>(term)] / double{kRuns};
    const char* trial = "distortion: no distortion, the bare F-test of five terms";
    test::statistics(trial, "rejects at 5 %")
        .trials(kRuns, "faces each", drawer.seed)
        .between(rate_5, 0.04, 0.06);
    test::statistics(trial, "rejects at 0.1 %")
        .trials(kRuns, "faces each", drawer.seed)
        .at_most(rate_01, 0.002);
  }
}

TEST(DistortionLevelStatistics, BareTestUnderScatterAlone) { expect_bare_test_keeps_its_level({}); }

TEST(DistortionLevelStatistics, BareTestUnderUnequalReadings) {
  Drawer drawer;
  drawer.readings_mm2 = surveyed(drawer.holes);
  drawer.rng.seed(drawer.seed = 2);
  expect_bare_test_keeps_its_level(drawer);
}

double share_of_false_claims(Drawer drawer, int full) {
  const int runs = test::trials(full);
  const Eigen::MatrixXd root = drawer.root();
  int claimed = 0;
  for (int run = 0; run < runs; ++run)
    claimed += DistortionFinder{}(drawer.draw(root), {}).accepted.empty() ? 0 : 1;
  testing::Test::RecordProperty("claimed", claimed);
  return claimed / static_cast<double>(runs);
}

constexpr double kStatedFalseClaims = 0.005;  // five tests of 0.1 % (Bonferroni)
constexpr double kWithin = 0.01;              // one point

TEST(DistortionLevelStatistics, WholeRuleUnderScatterAlone) {
  const double share = share_of_false_claims({}, 20000);
  if (!test::judge_frequencies()) return;
  test::statistics("distortion: no distortion, the whole rule", "false claims (0.5 % stated)")
      .trials(20000, "faces", 1)
      .at_most(share, kStatedFalseClaims + kWithin);
  EXPECT_GT(share, 0.0);
}

/// Tape and corner errors that the covariance carries are no stretch and no want of square.
TEST(DistortionLevelStatistics, WholeRuleUnderCommonTapeAndCornerErrors) {
  Drawer drawer;
  drawer.rng.seed(3);
  for (const auto& [scatter_mm, tape] : {std::pair(0.4, 0.0005), std::pair(0.05, 0.003)}) {
    SCOPED_TRACE(scatter_mm);
    drawer.scatter_mm = scatter_mm;
    drawer.readings_mm2 = surveyed(drawer.holes, tape);
    const double share = share_of_false_claims(drawer, 10000);
    if (!test::judge_frequencies()) continue;
    test::statistics("distortion: the same with tape and corner off", "false claims (0.5 % stated)")
        .trials(10000, "faces each", 3)
        .at_most(share, kStatedFalseClaims + kWithin);
  }
}

/// The same errors of a print, told to the finder as if each hole stood alone, pass for stretch: what the
/// full covariance is for, and the proof that the test above could fail.
TEST(DistortionLevelStatistics, CommonErrorsHeldForIndependentAreClaimed) {
  Drawer drawer;
  drawer.readings_mm2 = surveyed(drawer.holes, 0.003);
  drawer.stated_mm2 = drawer.readings_mm2.diagonal().asDiagonal();
  drawer.scatter_mm = 0.05;
  drawer.rng.seed(4);
  const double share = share_of_false_claims(drawer, 2000);
  if (!test::judge_frequencies()) return;
  EXPECT_GT(share, 0.2);
}

/// Reading errors alone exceed the size rule's two sigmas as often as a normal deviate does.
TEST(DistortionLevelStatistics, SizeRuleAlone) {
  constexpr int kRuns = 20000;
  Drawer drawer;
  drawer.scatter_mm = 0.0;
  drawer.readings_mm2 = surveyed(drawer.holes);
  drawer.rng.seed(5);
  const Eigen::MatrixXd root = drawer.root();
  const int runs = test::trials(kRuns);
  std::array<int, kDistortionTerms> beyond = {};
  for (int run = 0; run < runs; ++run) {
    const DistortionProblem problem = distortion_problem(drawer.draw(root), Motion{}, {});
    for (const DistortionTerm term : kAllTerms) {
      const ModelFit fit = fit_model(problem, {term});
      const double sigma = std::sqrt(fit.fit.reading_variance(3));
      beyond[static_cast<std::size_t>(term)] +=
          std::abs(fit.pose.coefficient[static_cast<std::size_t>(term)]) > 2.0 * sigma ? 1 : 0;
    }
  }
  if (!test::judge_frequencies()) return;
  const double chance = 2.0 * normal_cdf(-2.0);
  constexpr double kFourStandardErrors = 0.006;
  for (const DistortionTerm term : kAllTerms) {
    SCOPED_TRACE(distortion_name(term));
    EXPECT_NEAR(beyond[static_cast<std::size_t>(term)] / double{kRuns}, chance, kFourStandardErrors);
  }
}

/// Power of the whole rule for one distortion against noncentral F with lambda = effect^2 / scatter^2.
TEST(DistortionPowerStatistics, IsThatOfTheNoncentralF) {
  constexpr int kRuns = 2500;
  constexpr double kWithinPower = 0.03;
  Drawer drawer;
  drawer.rng.seed(6);
  drawer.readings_mm2 = 1e-4 * Eigen::MatrixXd::Identity(20, 20);  // readings small beside the scatter
  const Eigen::MatrixXd root = drawer.root();
  const double variance = kScatterMm * kScatterMm + 1e-4;
  const double dof = 20.0 - 4.0;
  const int runs = test::trials(kRuns);
  for (const DistortionTerm term : kAllTerms) {
    const Eigen::VectorXd unit = effect(term, drawer.holes);
    for (const double lambda : {12.0, 20.0, 35.0}) {
      SCOPED_TRACE(std::string(distortion_name(term)) + ", lambda " + std::to_string(lambda));
      drawer.shift_mm = unit * std::sqrt(lambda * variance / bare_effect2(unit, drawer.holes));
      int found = 0;
      for (int run = 0; run < runs; ++run)
        found += DistortionFinder{}(drawer.draw(root), {})[term].accepted ? 1 : 0;
      const double limit =
          boost::math::quantile(boost::math::complement(boost::math::fisher_f(1.0, dof), 0.001));
      const double power =
          boost::math::cdf(boost::math::complement(boost::math::non_central_f(1.0, dof, lambda), limit));
      if (!test::judge_frequencies()) continue;
      test::statistics("distortion: five terms of three sizes", "power, against the noncentral F")
          .trials(runs, "faces each", 6)
          .near(static_cast<double>(found) / runs, power, kWithinPower);
    }
  }
}

/// The 95 % intervals of the term that is there.
TEST(DistortionPowerStatistics, IntervalsHoldTheTruth) {
  constexpr int kRuns = 4000;
  Drawer drawer;
  drawer.rng.seed(7);
  drawer.readings_mm2 = surveyed(drawer.holes);
  const Eigen::MatrixXd root = drawer.root();
  const int runs = test::trials(kRuns);
  constexpr double kBowMm = 3.0;
  drawer.shift_mm = kBowMm * effect(DistortionTerm::kBow, drawer.holes);
  int held = 0;
  for (int run = 0; run < runs; ++run) {
    const TermEstimate bow = *DistortionFinder{}(drawer.draw(root), {})[DistortionTerm::kBow].estimate;
    held += bow.low < kBowMm && kBowMm < bow.high ? 1 : 0;
  }
  if (!test::judge_frequencies()) return;
  test::statistics("distortion: a bow of 3 mm", "95 % intervals hold the truth")
      .trials(runs, "faces", 7)
      .near(static_cast<double>(held) / runs, 0.95, 0.02);
}

}  // namespace
}  // namespace fairhole
