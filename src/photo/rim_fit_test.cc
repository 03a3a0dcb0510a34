// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "rim_fit.h"

#include <gtest/gtest.h>

#include "mouth_account.h"
#include "support/evidence.h"
#include "support/statistics.h"
#include "test_hole_render.h"

namespace fairhole::photo {
namespace {

constexpr int kSize = 150;
const Eigen::Vector2d kMiddle(74.3, 75.6);  // the picture's: no whole pixel

RimFit fitted(const Picture& picture, const View& view, const Mouth& start, const RimFitOptions& options) {
  const auto fit = fit_rim(picture, view, start, options);
  EXPECT_TRUE(fit);
  return fit.value_or(RimFit{});
}

TEST(RimModel, DerivativesAreThoseOfTheProjection) {
  const View view = test::look_at(3000.0, {10.0, -20.0}, 500.0, 0.7, 0.4, kMiddle);
  const Mouth mouth{{11.0, -19.0}, 8.0, 0.2, -0.1, 0.7, 0.5};
  for (const Edge edge : {Edge::kBore, Edge::kRim}) {
    const EdgePoint point = *edge_point(view, mouth, edge, 1.1);
    for (int k = 0; k < kMouthUnknowns; ++k) {
      constexpr double kStep = 1e-5;
      const MouthVector step = kStep * MouthVector::Unit(k);
      const Eigen::Vector2d slope = (edge_point(view, mouth.plus(step), edge, 1.1)->pixel -
                                     edge_point(view, mouth.plus(-step), edge, 1.1)->pixel) /
                                    (2.0 * kStep);
      EXPECT_LT((slope - point.by_unknown.col(k)).norm(), 1e-6) << k;  // central differences: step^2
    }
    const Eigen::Vector2d along = (edge_point(view, mouth, edge, 1.1 + 1e-5)->pixel -
                                   edge_point(view, mouth, edge, 1.1 - 1e-5)->pixel) /
                                  2e-5;
    EXPECT_LT((along - point.along).norm(), 1e-5);
  }
}

// The centre of the circle's picture is not the picture of its centre; at 60 degrees the difference is
// 2 px here, and nothing of it may remain. Noise-free; light drawn by rays.
TEST(RimFit, NoPerspectiveBiasAtSixtyDegrees) {
  const View view = test::look_at(2600.0, {0.0, 0.0}, 300.0, std::numbers::pi / 3.0, 0.5, kMiddle);
  const test::DrawnHole hole{.centre_mm = {0.13, -0.21}, .bore_mm = 11.0, .wall = 0.05, .bench = 0.05};
  const Picture picture = test::draw_hole(view, hole, {.blur_px = 0.9, .noise = 0.0, .rays = 16}, kSize);
  const RimFit fit = fitted(picture, view, {{0.3, -0.1}, 5.4}, {.chamfer = false, .most_steps = 40});
  const Eigen::Vector2d off = *project(view, {fit.mouth.centre_mm.x(), fit.mouth.centre_mm.y(), 0.0}) -
                              *project(view, {hole.centre_mm.x(), hole.centre_mm.y(), 0.0});
  EXPECT_LT(off.norm(), 0.002);
}

// A blurred rim's steepest place lies b^2 / 2R nearer its centre (0.05 px at R = 10, b = 1).
TEST(RimFit, NoRadiusBiasAboveTenPixels) {
  for (const double radius_px : {10.0, 14.0, 25.0, 45.0}) {
    const View view = test::look_at(3000.0, {0.0, 0.0}, 600.0, 0.0, 0.0, kMiddle);  // 5 px per mm
    const test::DrawnHole hole{.bore_mm = 2.0 * radius_px / 5.0, .wall = 0.05, .bench = 0.05};
    const Picture picture = test::draw_hole(view, hole, {.blur_px = 1.0, .noise = 0.0, .rays = 16}, kSize);
    const RimFit fit =
        fitted(picture, view, {{0.1, 0.05}, radius_px / 5.0 - 0.1}, {.chamfer = false, .most_steps = 40});
    EXPECT_NEAR(5.0 * fit.mouth.radius_mm, radius_px, 0.01);
  }
}

TEST(RimFit, BoreAndRimAboutOneAxis) {
  const View view = test::look_at(3000.0, {0.0, 0.0}, 600.0, 0.5, 2.0, kMiddle);
  const test::DrawnHole hole{
      .centre_mm = {0.2, 0.1}, .bore_mm = 17.0, .chamfer_mm = 0.8, .oval_mm = 0.6, .oval_axis_rad = 0.7};
  const Picture picture = test::draw_hole(view, hole, {.noise = 0.0, .rays = 8}, kSize);
  const RimFit fit = fitted(picture, view, {{0.1, 0.2}, 8.45, 0.0, 0.0, 0.7, 0.7}, {});
  EXPECT_LT((fit.mouth.centre_mm - hole.centre_mm).norm(), 0.01);  // mm: 0.05 px; the drawing's steps
  EXPECT_NEAR(2.0 * fit.mouth.radius_mm, 17.0, 0.01);
  EXPECT_NEAR(fit.mouth.width_mm, 0.8, 0.01);
  EXPECT_NEAR(fit.mouth.depth_mm, 0.8, 0.03);
  EXPECT_NEAR(4.0 * std::hypot(fit.mouth.oval_c_mm, fit.mouth.oval_s_mm), 0.6, 0.02);
  EXPECT_NEAR(0.5 * std::atan2(fit.mouth.oval_s_mm, fit.mouth.oval_c_mm), 0.7, 0.02);
}

// The bound for a disc of radius R, blur b, noise q and contrast A: sd(xc) = (q/A) sqrt(2 b / (sqrt(pi) R)),
// integrated over the picture from the derivative of the blurred edge (a circle seen squarely).
TEST(RimFitStatistics, NearTheCramerRaoBound) {
  const View view = test::look_at(3000.0, {0.0, 0.0}, 600.0, 0.0, 0.0, kMiddle);
  constexpr double kRadiusPx = 30.0, kBlur = 1.0, kNoise = 0.01, kContrast = 0.45;
  const double bound =
      kNoise / kContrast * std::sqrt(2.0 * kBlur / (std::sqrt(std::numbers::pi) * kRadiusPx));
  const int trials = fairhole::test::trials(100);
  double sum = 0.0, claimed = 0.0;
  const test::DrawnHole hole{.bore_mm = 2.0 * kRadiusPx / 5.0, .wall = 0.05, .bench = 0.05};
  const Picture clean = test::draw_hole(view, hole, {.blur_px = kBlur, .noise = 0.0, .rays = 16}, kSize);
  for (int k = 0; k < trials; ++k) {
    const Picture picture = test::with_noise(clean, kNoise, static_cast<unsigned>(k));
    const RimFit fit = fitted(picture, view, {{0.05, 0.05}, 5.95}, {.chamfer = false});
    sum += 25.0 * fit.mouth.centre_mm.squaredNorm();
    claimed += 25.0 * fit.covariance.topLeftCorner<2, 2>().trace();
  }
  const double sd = std::sqrt(sum / (2.0 * trials));
  if (!fairhole::test::judge_frequencies()) return;
  // Nothing beats the bound: below 0.8 the trial itself would be unsound.
  fairhole::test::statistics("photo: rim of a disc, blurred and noisy",
                             "scatter of the centre over the bound of Cramer and Rao")
      .trials(trials, "pictures", 0)
      .between(sd / bound, 0.8, 1.5);
  // Of the noise alone the covariance claims two thirds; what a hole's shape leaves open is added later.
  EXPECT_GT(claimed / sum, 0.5);
  EXPECT_LT(claimed / sum, 1.35);
}

// Twelve sectors of 24 are better by 0.4, twelve worse by 0.2: the mean is 1/3 of the scatter, so that 24
// sectors of their own are 1/3 sqrt(23) = 1.599 standard deviations off: ln(0.9450 / 0.0550). In runs of six
// they are alike 2/3 at the next sector and 1/3 at the one after: 1 + 2 (2/3 2/3 + 1/3 1/3) = 19/9 the
// variance, 1.100 standard deviations: ln(0.8644 / 0.1356).
TEST(LnOdds, SectorsThatErrAlikeTellLess) {
  Account none = {}, alternating = {}, in_runs = {};
  for (std::size_t k = 0; k < none.size(); ++k) {
    alternating[k] = k % 2 == 0 ? 0.4 : -0.2;
    in_runs[k] = k / 6 % 2 == 0 ? 0.4 : -0.2;
  }
  const Mouth mouth{{0.0, 0.0}, 8.0, 0.0, 0.0, 0.7, 0.7};
  EXPECT_NEAR(ln_odds(alternating, mouth, none, mouth), 2.845, 0.001);
  EXPECT_NEAR(ln_odds(in_runs, mouth, none, mouth), 1.852, 0.001);
  EXPECT_NEAR(ln_odds(none, mouth, in_runs, mouth), -1.852, 0.001);
}

}  // namespace
}  // namespace fairhole::photo
