// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <Eigen/LU>
#include <cmath>

#include "fairhole/registration/registration.h"
#include "support/statistics.h"
#include "test_cases.h"

namespace fairhole {
namespace {

using test::drawn_prior;
using test::keep;
using test::measured_part;
using test::strewn;
using test::survey_covariance;
using test::two_rows;

/// Poses against the closed form for equal weights: var(turn) = s^2 / sum |p - pbar|^2, var of the middle's
/// image = s^2 / n an axis (planar rigid pose, worked out from the normal equations).
TEST(PoseStatistics, CovarianceIsHonestAndReachesTheBound) {
  constexpr double kScatterMm = 0.5, kOwnMm = 0.3;
  const Pattern pattern = two_rows(16);
  const Motion truth{{5.0, 3.0}, Angle::degrees(-20.0), false};
  const Eigen::MatrixXd cov = kOwnMm * kOwnMm * Eigen::MatrixXd::Identity(32, 32);
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();
  for (const NominalHole& hole : pattern) middle += hole.centre_mm / 16.0;
  double spread = 0.0;
  for (const NominalHole& hole : pattern) spread += (hole.centre_mm - middle).squaredNorm();
  const double variance = kScatterMm * kScatterMm + kOwnMm * kOwnMm;

  std::mt19937_64 rng(20);
  const int runs = test::trials(10000);
  double nees = 0.0, turn2 = 0.0, middle2 = 0.0;
  for (int run = 0; run < runs; ++run) {
    const MeasuredFace face = measured_part(pattern, truth, kScatterMm, cov, rng);
    // The gate wide open: this is about the adjustment of known pairs, and one true pair in a thousand would
    // be lost.
    const auto got =
        Registrar{}(pattern, face, drawn_prior(truth, {3.0, 3.0, 0.005}, middle, rng));
    ASSERT_TRUE(got);
    ASSERT_EQ(got->matches.size(), 16u);
    const Motion& pose = got->face_from_pattern.motion;
    const Eigen::Vector3d error(pose.shift_mm.x() - truth.shift_mm.x(),
                                pose.shift_mm.y() - truth.shift_mm.y(),
                                pose.turn.radians() - truth.turn.radians());
    nees += error.dot(got->pose_cov.inverse() * error) / 3.0;
    turn2 += error.z() * error.z();
    middle2 += (pose * middle - truth * middle).squaredNorm();
  }
  if (!test::judge_frequencies()) return;
  // 10,000 runs: 3 standard errors of a mean square are 4 % (turn), 3 % (middle, two axes), 2.5 % (three).
  EXPECT_NEAR(turn2 / runs / (variance / spread), 1.0, 0.04);
  EXPECT_NEAR(middle2 / runs / (2.0 * variance / 16.0), 1.0, 0.03);
  EXPECT_NEAR(nees / runs, 1.0, 0.05);
}

/// Right correspondence from a seat that is off by millimetres, with holes missing and extra ones of old
/// repairs.
TEST(CorrespondenceStatistics, RightFromTheSeat) {
  std::mt19937_64 rng(21);
  const int cases = test::trials(1000);
  int wrong = 0, unlisted = 0;
  for (int run = 0; run < cases; ++run) {
    SCOPED_TRACE(run);
    const int count = 4 + static_cast<int>(rng() % 27);
    const Pattern pattern = run % 2 == 0 ? two_rows(count) : strewn(count, rng);
    const Motion truth{20.0 * test::normal_pair(rng), Angle::degrees(static_cast<double>(rng() % 360)),
                       rng() % 2 == 0};
    MeasuredFace face = measured_part(pattern, truth, 0.4, survey_covariance(count, 0.3, 0.2), rng);
    std::vector<int> kept;
    for (int i = 0; i < count; ++i) {
      if (rng() % 10 >= 2) kept.push_back(i);
    }
    if (kept.size() < 3) kept = {0, 1, 2};
    for (int& i : kept) {  // one in ten turns into an extra hole, well off any other
      if (rng() % 10 == 0 && kept.size() > 4) {
        face.holes[static_cast<std::size_t>(i)].centre_mm += Eigen::Vector2d(18.0, 0.0);
        face.holes[static_cast<std::size_t>(i)].id = "X" + std::to_string(i);
      }
    }
    face = keep(face, kept);
    const auto got =
        Registrar{}(pattern, face, drawn_prior(truth, {3.0, 3.0, 0.01}, pattern[0].centre_mm, rng));
    ASSERT_TRUE(got);
    const auto right = [](const std::vector<Match>& matches) {
      return std::all_of(matches.begin(), matches.end(),
                         [](const Match& m) { return m.measured.substr(1) == m.nominal.substr(1); });
    };
    if (right(got->matches)) continue;
    ++wrong;
    const bool listed = std::any_of(got->rivals.begin(), got->rivals.end(),
                                    [&](const Rival& rival) { return right(rival.matches); });
    unlisted += listed ? 0 : 1;
  }
  if (!test::judge_frequencies()) return;
  RecordProperty("wrong", wrong);
  EXPECT_LE(unlisted, 1) << "of " << cases << "; wrong but listed: " << wrong - unlisted;
}

}  // namespace
}  // namespace fairhole
