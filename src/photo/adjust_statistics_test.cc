// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <Eigen/LU>
#include <cmath>
#include <ostream>
#include <random>

#include "fairhole/photo/adjust.h"
#include "support/statistics.h"
#include "test_boards.h"

// Measurements drawn from the model with truth drawn from the priors: the adjustment's covariance is then the
// Cramer-Rao bound (the model is all but linear over its errors), so errors scaled by it must be standard
// normal.

namespace fairhole::photo {
namespace {

constexpr double kEdgeSigma = 0.03, kModelSigma = 0.02;  // the second is the adjustment's own allowance
constexpr double kHoleSigma = 0.05;
constexpr double kBarSigma = 0.1, kLiftSigma = 0.1;
constexpr int kWidth = 4000, kHeight = 3000;

struct Draw {
  std::mt19937 random;
  double normal(double sigma) { return std::normal_distribution<double>(0.0, sigma)(random); }
  double uniform(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  }
};

struct Face {
  std::vector<test::LaidBoard> laid;
  std::vector<View> views;
  std::vector<Eigen::Vector2d> holes;
  PhotoOptions options;
  FocalHint focal;
};

/// Drawn from the priors, but for lenses that squeeze their own corners to less than half, which nobody
/// sells.
Lens draw_lens(Draw& draw) {
  constexpr double kCorner2 = 0.95;  // of this picture at the shortest focal length, squared
  Lens lens;
  do {
    lens.focal_px = 3000.0 * std::exp(draw.normal(0.03));
    lens.k1 = draw.normal(0.1);
    lens.k2 = draw.normal(0.05);
  } while (1.0 + 3.0 * lens.k1 * kCorner2 + 5.0 * lens.k2 * kCorner2 * kCorner2 < 0.5);
  lens.centre_px = {1999.5 + draw.normal(16.0), 1499.5 + draw.normal(16.0)};
  return lens;
}

/// Boards along a beam, one picture over each and between each two, holes on both sides.
Face draw_face(Draw& draw, int boards, bool oblique) {
  Face face;
  for (int b = 0; b < boards; ++b) {
    test::LaidBoard laid{.board = *make_board("A4", b)};
    laid.lift_mm = 0.1 + draw.normal(kLiftSigma);
    laid.scale = {1.0 + draw.normal(0.004), 1.0 + draw.normal(0.004)};
    if (b > 0) {
      laid.origin_mm = {600.0 * b + draw.uniform(-30.0, 30.0), draw.uniform(-30.0, 30.0)};
      laid.turn_rad = draw.uniform(-0.3, 0.3);
    }
    const auto& bars = laid.board.check_bars;
    face.options.bars.push_back({laid.board.name, bars[0].length_mm * laid.scale.x() + draw.normal(kBarSigma),
                                 bars[1].length_mm * laid.scale.y() + draw.normal(kBarSigma), kBarSigma});
    face.laid.push_back(laid);
  }
  face.focal = {3000.0, 0.03};
  const Lens lens = draw_lens(draw);
  for (int p = 0; p < 2 * boards - 1; ++p)
    face.views.push_back(test::look_at(lens, {105.0 + 300.0 * p, 148.0 + draw.uniform(-20.0, 20.0)},
                                       boards == 1 ? 620.0 : 950.0,
                                       oblique ? draw.uniform(0.3, 0.6) : draw.uniform(0.0, 0.12),
                                       draw.uniform(-3.1, 3.1), draw.uniform(-0.2, 0.2)));
  for (int i = 0; i < 3 + 5 * boards; ++i)
    face.holes.emplace_back(-120.0 + 110.0 * i + draw.uniform(-20.0, 20.0), i % 2 == 0 ? -60.0 : 360.0);
  return face;
}

bool in_picture(const Eigen::Vector2d& p) {
  return p.x() > 5.0 && p.y() > 5.0 && p.x() < kWidth - 6.0 && p.y() < kHeight - 6.0;
}

std::optional<Eigen::Vector2d> seen_at(const View& view, const test::LaidBoard& laid,
                                       const Eigen::Vector2d& designed) {
  const Eigen::Vector2d w =
      laid.origin_mm + Eigen::Rotation2Dd(laid.turn_rad) * laid.scale.cwiseProduct(designed);
  const auto p = project(view, {w.x(), w.y(), laid.lift_mm});
  return p && in_picture(*p) && undistort(view.lens, *p) ? p : std::nullopt;
}

BoardSights draw_sights(Draw& draw, const Face& face, std::size_t photo) {
  BoardSights sights{
      .name = "picture", .width_px = kWidth, .height_px = kHeight, .focal = face.focal, .camera = "one"};
  const View& view = face.views[photo];
  for (std::size_t b = 0; b < face.laid.size(); ++b) {
    const test::LaidBoard& laid = face.laid[b];
    for (const PrintedEdge& edge : printed_edges(laid.board)) {
      if (edge.feature >= kMarkersPerBoard) continue;
      const auto a = seen_at(view, laid, edge.a_mm), c = seen_at(view, laid, edge.b_mm);
      if (!a || !c) continue;
      sights.corners.push_back(
          {static_cast<int>(b), edge.a_mm, *a + Eigen::Vector2d(draw.normal(1.0), draw.normal(1.0))});
      const Eigen::Vector2d along = (*c - *a).normalized(), n(along.y(), -along.x());
      for (const double t : {0.25, 0.75}) {
        const Eigen::Vector2d designed = edge.a_mm + t * (edge.b_mm - edge.a_mm);
        const double error = draw.normal(std::hypot(kEdgeSigma, kModelSigma));
        sights.edges.push_back({static_cast<int>(b), edge.feature, designed,
                                *seen_at(view, laid, designed) + error * n, n, kEdgeSigma});
      }
    }
  }
  return sights;
}

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
                            *seen + Eigen::Vector2d(draw.normal(kHoleSigma), draw.normal(kHoleSigma)),
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
  RecordProperty("normalised", std::to_string(score.squares / score.holes));
  RecordProperty("joint", std::to_string(score.all / score.faces));
  RecordProperty("within", std::to_string(static_cast<double>(score.within) / score.holes));
  EXPECT_EQ(score.failed, 0);
  if (!fairhole::test::judge_frequencies()) return;
  EXPECT_GT(score.squares / score.holes, 0.7);
  EXPECT_LT(score.squares / score.holes, 1.4);
  EXPECT_GT(score.all / score.faces, 0.8);
  EXPECT_LT(score.all / score.faces, 1.25);
  const double within = static_cast<double>(score.within) / score.holes;
  EXPECT_GT(within, 0.92);
  EXPECT_LT(within, 0.98);
  std::printf("%d boards, oblique %d: normalised %.3f, joint %.3f, within 95 %%: %.3f\n", GetParam().boards,
              GetParam().oblique, score.squares / score.holes, score.all / score.faces, within);
}

INSTANTIATE_TEST_SUITE_P(Faces, AdjustStatistics,
                         ::testing::Values(Setting{1, false, 500}, Setting{1, true, 500},
                                           Setting{3, false, 200}));

}  // namespace
}  // namespace fairhole::photo
