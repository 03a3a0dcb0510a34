// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <Eigen/LU>
#include <array>
#include <cmath>
#include <tuple>

#include "fairhole/registration/registration.h"
#include "random_cases.h"
#include "scene.h"
#include "support/evidence.h"
#include "support/statistics.h"
#include "test_cases.h"

namespace fairhole {
namespace {

using test::measured_part;
using test::strewn;
using test::survey_covariance;

/// Poses against the Cramer-Rao bound, in closed form for equal weights: var(turn) = s^2 / sum |p - pbar|^2,
/// var of the middle's image = s^2 / n an axis (planar rigid pose, worked out from the normal equations).
/// Nothing is known beforehand; every true hole is there.
TEST(PoseStatistics, CovarianceIsHonestAndReachesTheBound) {
  constexpr double kScatterMm = 0.5, kOwnMm = 0.3;
  constexpr int kHoles = 16;
  std::mt19937_64 rng(20);
  const Pattern pattern = strewn(kHoles, rng);
  const Motion truth{{5.0, 3.0}, Angle::degrees(-20.0), true};
  const Eigen::MatrixXd cov = kOwnMm * kOwnMm * Eigen::MatrixXd::Identity(2 * kHoles, 2 * kHoles);
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();
  for (const NominalHole& hole : pattern) middle += hole.centre_mm / kHoles;
  double spread = 0.0;
  for (const NominalHole& hole : pattern) spread += (hole.centre_mm - middle).squaredNorm();
  const double variance = kScatterMm * kScatterMm + kOwnMm * kOwnMm;

  const int runs = test::trials(20000);
  double nees = 0.0, turn2 = 0.0, middle2 = 0.0;
  for (int run = 0; run < runs; ++run) {
    const MeasuredFace face = measured_part(pattern, truth, kScatterMm, cov, rng);
    const auto got = Registrar{}(pattern, face);
    ASSERT_TRUE(got);
    ASSERT_TRUE(got->rivals.empty());
    const Motion& pose = got->face_from_pattern.motion;
    const Eigen::Vector3d error(pose.shift_mm.x() - truth.shift_mm.x(),
                                pose.shift_mm.y() - truth.shift_mm.y(),
                                pose.turn.radians() - truth.turn.radians());
    nees += error.dot(got->pose_cov.inverse() * error) / 3.0;
    turn2 += error.z() * error.z();
    middle2 += (pose * middle - truth * middle).squaredNorm();
  }
  if (!test::judge_frequencies()) return;
  // 20,000 runs: 3 standard errors of a mean square are 3 % (turn), 2.1 % (middle, two axes).
  const auto line = [](const char* quantity) {
    return test::statistics("registration: poses of 16 holes, equal weights", quantity);
  };
  line("variance of the turn over the bound")
      .trials(runs, "faces", 20)
      .near(turn2 / runs / (variance / spread), 1.0, 0.03);
  line("variance of the middle over the bound")
      .trials(runs, "faces", 20)
      .near(middle2 / runs / (2.0 * variance / kHoles), 1.0, 0.03);
  line("normalised squared error of the pose").trials(runs, "faces", 20).near(nees / runs, 1.0, 0.05);
}

/// The same where survey, scatter and weights differ from hole to hole and part to part: truth drawn from the
/// priors, errors that hang together, the normalised squared error of the pose 1 on average.
TEST(PoseStatistics, CovarianceIsHonestUnderCorrelatedErrors) {
  std::mt19937_64 rng(23);
  const int runs = test::trials(10000);
  double nees = 0.0;
  int counted = 0;
  for (int run = 0; run < runs; ++run) {
    const double scatter_mm = 0.5 * std::exp(kLogScatterSd * test::normal_pair(rng).x());
    const auto made = test::random_case(test::Shape::kStrewn, 6 + run % 12, {0.0, 0.0}, scatter_mm, rng);
    const auto got = Registrar{}(made.drawn.pattern, made.face);
    ASSERT_TRUE(got);
    if (!made.is_right(got->face_from_pattern.motion)) continue;
    const Motion& pose = got->face_from_pattern.motion;
    const Eigen::Vector3d error(
        pose.shift_mm.x() - made.truth.shift_mm.x(), pose.shift_mm.y() - made.truth.shift_mm.y(),
        std::remainder(pose.turn.radians() - made.truth.turn.radians(), 2.0 * std::numbers::pi));
    nees += error.dot(got->pose_cov.inverse() * error) / 3.0;
    ++counted;
  }
  if (!test::judge_frequencies()) return;
  EXPECT_GT(counted, 0.99 * runs);
  test::statistics("registration: poses under errors that hang together",
                   "normalised squared error of the pose")
      .trials(counted, "faces", 23)
      .near(nees / counted, 1.0, 0.05);
}

/// Odds of the true pose among the pattern's own symmetries about it: what somebody could know at best who is
/// told where to look.
double oracle_odds(const test::RandomCase& made) {
  const auto scene = make_scene(made.drawn.pattern, made.face, {}, Registrar{});
  const Eigen::Matrix3d tight = Eigen::Vector3d(0.1, 0.1, 1e-8).asDiagonal();
  TridiagonalForms forms(scene->points);
  const auto truth = refine(*scene, forms, first_pairs(*scene, made.truth, tight), made.truth);
  if (!truth || !made.is_right(truth->pose.face_from_pattern)) return 0.0;
  double sum = 1.0;
  std::vector<Motion> seen{truth->pose.face_from_pattern};
  for (const Motion& symmetry : made.drawn.symmetries) {
    const Motion there = made.truth * symmetry;
    const auto other = refine(*scene, forms, first_pairs(*scene, there, tight), there);
    if (!other) continue;
    const Motion& pose = other->pose.face_from_pattern;
    if (std::any_of(seen.begin(), seen.end(), [&](const Motion& m) { return alike(m, pose, *scene); }))
      continue;
    seen.push_back(pose);
    sum += std::exp(other->log_evidence - truth->log_evidence);
  }
  return 1.0 / sum;
}

/// Two thousand parts of every shape, up to 40 % of the holes missing and as many extra, either hand, nothing
/// known of the place.
TEST(CorrespondenceStatistics, TrueOneChosenOrListed) {
  std::mt19937_64 rng(21);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  const int cases = test::trials(2000);
  int unlisted = 0, sure = 0, alone = 0, wrong_alone = 0;
  for (int run = 0; run < cases; ++run) {
    SCOPED_TRACE(run);
    const int count = 3 + static_cast<int>(rng() % 58);
    const test::Lost lost{0.4 * unit(rng), 0.4 * unit(rng)};
    const double scatter_mm = 0.5 * std::exp(kLogScatterSd * test::normal_pair(rng).x());
    const auto made =
        test::random_case(static_cast<test::Shape>(run % test::kShapes), count, lost, scatter_mm, rng);
    const auto got = Registrar{}(made.drawn.pattern, made.face);
    ASSERT_TRUE(got);
    const bool right = made.is_right(got->face_from_pattern.motion, true);
    const bool listed = right || std::any_of(got->rivals.begin(), got->rivals.end(), [&](const Rival& rival) {
                          return made.is_right(rival.face_from_pattern.motion, true);
                        });
    unlisted += listed ? 0 : 1;
    wrong_alone += !right && got->rivals.empty() ? 1 : 0;
    if (oracle_odds(made) <= 0.999) continue;
    ++sure;
    alone += right && got->rivals.empty() ? 1 : 0;
  }
  RecordProperty("wrong_alone", wrong_alone);
  if (!test::judge_frequencies()) return;
  const char* trial = "registration: parts of every shape, 40 % missing, as many extra";
  test::statistics(trial, "true pose neither chosen nor listed")
      .trials(cases, "parts", 21)
      .at_most(unlisted, cases / 1000);
  test::statistics(trial, "claimed alone, of those an oracle is sure of")
      .trials(sure, "parts", 21)
      .at_least(static_cast<double>(alone) / sure, 0.95);
}

/// One pose that the registrar leaves open.
struct Open {
  Motion pose;
  double odds = 0.0;
  double pairs = 0.0;
  int true_pairs = 0;
};

std::vector<Open> open_poses(const Registration& got, const test::RandomCase& made) {
  std::vector<Open> open;
  const auto add = [&](const Motion& pose, const std::vector<Match>& matches, double odds) {
    open.push_back({pose, odds, static_cast<double>(matches.size()), made.true_pairs(matches)});
  };
  add(got.face_from_pattern.motion, got.matches, got.odds);
  for (const Rival& rival : got.rivals) add(rival.face_from_pattern.motion, rival.matches, rival.odds);
  return open;
}

/// The true one; where few holes are left two may lie near the truth: the one whose pairs are true, and of
/// those the nearer. The end where none is true.
std::vector<Open>::const_iterator true_one(const std::vector<Open>& open, const test::RandomCase& made) {
  const auto found = std::max_element(open.begin(), open.end(), [&](const Open& a, const Open& b) {
    const auto merit = [&](const Open& one) {
      return std::tuple(made.is_right(one.pose), one.true_pairs, -made.off_mm(one.pose));
    };
    return merit(a) < merit(b);
  });
  return made.is_right(found->pose) ? found : open.end();
}

/// Odds as claimed come true: parts drawn from the priors that docs/registration.md states, short regular
/// patterns that lie nearly upon themselves, so that rivals are common and seldom quite as good. Every pose
/// that is listed, in bins of its odds. And the true pose explains as many holes as the odds expect it to,
/// which is what the prior of missing and extra holes decides: the score of a gain per pair.
TEST(OddsStatistics, ComeTrueAsOftenAsClaimed) {
  constexpr int kBins = 10;
  constexpr double kUnevenMm = 0.7, kBeyondMm = 250.0;
  std::mt19937_64 rng(22);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  std::vector<double> claimed(kBins), variance(kBins), came_true(kBins), listed(kBins);
  double score = 0.0, score_variance = 0.0;
  const int cases = test::trials(30000);
  for (int run = 0; run < cases; ++run) {
    const int count = 5 + static_cast<int>(rng() % 12);
    // Beta(1, 3) and exponential
    const test::Lost lost{1.0 - std::cbrt(unit(rng)), -0.2 * std::log(unit(rng)), 0, kBeyondMm};
    const double scatter_mm = 0.5 * std::exp(kLogScatterSd * test::normal_pair(rng).x());
    const auto shape = std::array{test::Shape::kRow, test::Shape::kGrid, test::Shape::kStaggered,
                                  test::Shape::kTwoRows}[static_cast<std::size_t>(run % 4)];
    const auto made = test::random_case(shape, count, lost, scatter_mm, rng, kUnevenMm);
    if (made.kept.size() < 2) continue;
    RegistrationKnown known;
    known.mirrored = made.truth.mirrored;
    known.metal_mm2 = made.metal_mm2;
    const auto got = Registrar{}(made.drawn.pattern, made.face, known);
    if (!got) continue;  // the other hand by chance
    const std::vector<Open> open = open_poses(*got, made);
    const auto truth = true_one(open, made);
    double sum = 0.0, mean = 0.0, mean_square = 0.0;
    for (auto pose = open.begin(); pose != open.end(); ++pose) {
      const auto bin = static_cast<std::size_t>(std::min(kBins - 1, static_cast<int>(kBins * pose->odds)));
      listed[bin] += 1.0;
      claimed[bin] += pose->odds;
      variance[bin] += pose->odds * (1.0 - pose->odds);
      came_true[bin] += pose == truth ? 1.0 : 0.0;
      sum += pose->odds;
      mean += pose->odds * pose->pairs;
      mean_square += pose->odds * pose->pairs * pose->pairs;
    }
    if (truth == open.end()) continue;
    mean /= sum;
    score += truth->pairs - mean;
    score_variance += mean_square / sum - mean * mean;
  }
  if (!test::judge_frequencies()) return;
  const char* trial = "registration: odds of poses, parts drawn from the priors";
  for (std::size_t bin = 0; bin < kBins; ++bin) {
    if (listed[bin] == 0.0) continue;
    test::record_calibration("registration: a pose is the true one", claimed[bin] / listed[bin],
                             came_true[bin] / listed[bin], static_cast<int>(listed[bin]));
    test::statistics(trial, "came true less claimed, in sigmas, every tenth")
        .trials(cases, "parts", 22)
        .near((came_true[bin] - claimed[bin]) / std::sqrt(variance[bin]), 0.0, 3.0);
  }
  test::statistics(trial, "holes explained less expected, in sigmas")
      .trials(cases, "parts", 22)
      .near(score / std::sqrt(score_variance), 0.0, 3.0);
}

}  // namespace
}  // namespace fairhole
