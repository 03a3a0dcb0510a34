// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <cmath>
#include <ostream>

#include "fairhole/photo/adjust.h"
#include "support/evidence.h"
#include "support/statistics.h"
#include "test_drawn_faces.h"

// Measurements drawn from the model with truth drawn from the priors: the adjustment's covariance is then the
// Cramer-Rao bound (the model is all but linear over its errors), so errors scaled by it must be standard
// normal.

namespace fairhole::photo {
namespace {

using test::Draw;
using test::draw_face;
using test::draw_sights;
using test::Face;
using test::in_picture;

constexpr double kHoleSigma = 0.05;

struct Score {
  double squares = 0.0;  // normalised, a hole
  int within = 0, holes = 0;
  double all = 0.0;  // normalised over all holes of a face, a degree of freedom
  int faces = 0, failed = 0;
};

void try_once(unsigned seed, int boards, bool oblique, Score& score) {
  Draw draw{std::mt19937(seed)};
  const Face face = draw_face(draw, boards, oblique);
  std::vector<Board> layouts;
  for (const test::LaidBoard& laid : face.laid) layouts.push_back(laid.board);
  std::vector<BoardSights> sights;
  for (std::size_t p = 0; p < face.views.size(); ++p) sights.push_back(draw_sights(draw, face, p));
  std::vector<HoleTie> ties;
  std::vector<Eigen::Vector2d> truth;
  for (const Eigen::Vector2d& hole : face.holes) {
    HoleTie tie;
    for (std::size_t p = 0; p < face.views.size(); ++p)
      if (const auto seen = project(face.views[p], {hole.x(), hole.y(), 0.0});
          seen && in_picture(*seen) && undistort(face.views[p].lens, *seen))
        tie.seen.push_back({static_cast<int>(p),
                            *seen + Eigen::Vector2d{draw.normal(kHoleSigma), draw.normal(kHoleSigma)},
                            kHoleSigma * kHoleSigma * Eigen::Matrix2d::Identity()});
    if (tie.seen.empty()) continue;
    ties.push_back(tie);
    truth.push_back(hole);
  }
  const Result<AdjustedPhotos> result = adjust_photos(layouts, sights, ties, face.options);
  if (!result) {
    ++score.failed;
    return;
  }
  Eigen::VectorXd errors(2 * static_cast<Eigen::Index>(truth.size()));
  for (std::size_t h = 0; h < truth.size(); ++h) {
    const auto row = 2 * static_cast<Eigen::Index>(h);
    const Eigen::Vector2d e = result->holes[h].centre_mm - truth[h];
    errors.segment<2>(row) = e;
    const double square = e.dot(result->covariance_mm2.block<2, 2>(row, row).inverse() * e);
    score.squares += square / 2.0;
    score.within += square < 5.991 ? 1 : 0;  // chi-square, 2 degrees of freedom, 95 %
    ++score.holes;
  }
  score.all += errors.dot(result->covariance_mm2.ldlt().solve(errors)) / static_cast<double>(errors.size());
  ++score.faces;
}

struct Setting {
  int boards;
  bool oblique;
  int trials;
};

void PrintTo(const Setting& s, std::ostream* to) {
  *to << s.boards << " boards, " << (s.oblique ? "oblique" : "from above");
}

class AdjustStatistics : public ::testing::TestWithParam<Setting> {};

TEST_P(AdjustStatistics, ErrorsAreWhatTheCovarianceSays) {
  Score score;
  const int count = fairhole::test::trials(GetParam().trials);
  for (int i = 0; i < count; ++i)
    try_once(1000U + static_cast<unsigned>(i), GetParam().boards, GetParam().oblique, score);
  EXPECT_EQ(score.failed, 0);
  if (!fairhole::test::judge_frequencies()) return;
  const auto line = [](const char* quantity) {
    return fairhole::test::statistics(
        fmt::format("photo: faces drawn from the model, {}", testing::PrintToString(GetParam())), quantity);
  };
  line("normalised squared error of a hole")
      .trials(count, "faces", 1000)
      .between(score.squares / score.holes, 0.7, 1.4);
  line("the same over the full covariance")
      .trials(count, "faces", 1000)
      .between(score.all / score.faces, 0.8, 1.25);
  line("holes within their 95 % ellipses")
      .trials(count, "faces", 1000)
      .between(static_cast<double>(score.within) / score.holes, 0.92, 0.98);
}

INSTANTIATE_TEST_SUITE_P(Faces, AdjustStatistics,
                         ::testing::Values(Setting{1, false, 500}, Setting{1, true, 500},
                                           Setting{3, false, 200}));

}  // namespace
}  // namespace fairhole::photo
