// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <cmath>
#include <numbers>
#include <ostream>

#include "edge_fit.h"
#include "sights.h"
#include "support/evidence.h"
#include "support/statistics.h"
#include "test_boards.h"

namespace fairhole::photo {
namespace {

// What a rendered board's corners must agree to (the renderer's own grid is 1/8 px, averaged along each
// edge).
constexpr double kRmsPx = 0.03;
constexpr double kShiftPx = 0.005;  // a convention off by half a pixel is a hundred times this

/// A straight blurred step in closed form: Phi(distance / blur), paper on the left of a -> b.
Picture step_picture(const EdgeGuess& edge, double offset_px, double blur_px) {
  Picture picture;
  picture.width_px = 120;
  picture.height_px = 100;
  const Eigen::Vector2d n = towards_light(edge);
  for (int y = 0; y < picture.height_px; ++y)
    for (int x = 0; x < picture.width_px; ++x) {
      const double d = (Eigen::Vector2d(x, y) - edge.a_px).dot(n) - offset_px;
      picture.light.push_back(
          static_cast<float>(0.05 + 0.7 * 0.5 * std::erfc(-d / blur_px / std::numbers::sqrt2)));
    }
  return picture;
}

EdgeGuess guess_at(double turn_rad) {
  const Eigen::Vector2d middle(58.3, 47.6), half(30.0 * std::cos(turn_rad), 30.0 * std::sin(turn_rad));
  return {.a_px = middle - half, .b_px = middle + half, .clear_px = 9.0, .search_px = 3.0};
}

TEST(EdgeFit, FindsAStepInClosedForm) {
  constexpr double kTol = 1e-4;  // the model is exact; float pixels and the end of the iteration remain
  for (double turn = 0.0; turn < 6.3; turn += 0.37)
    for (const double offset : {-1.7, -0.5, 0.0, 0.31, 1.2})
      for (const double blur : {0.6, 0.9, 1.5}) {
        const EdgeGuess guess = guess_at(turn);
        const auto fit = fit_edge(step_picture(guess, offset, blur), guess);
        ASSERT_TRUE(fit) << turn << " " << offset;
        EXPECT_NEAR(fit->first.offset_px, offset, kTol);
        EXPECT_NEAR(fit->second.offset_px, offset, kTol);
        EXPECT_NEAR(fit->blur_px, blur, 1e-3);
        EXPECT_NEAR(fit->contrast, 0.7, 1e-3);
      }
}

TEST(EdgeFit, RefusesWhatIsNoEdge) {
  const EdgeGuess guess = guess_at(0.3);
  Picture flat = step_picture(guess, 0.0, 0.9);
  std::ranges::fill(flat.light, 0.5F);
  EXPECT_FALSE(fit_edge(flat, guess));
  EdgeGuess turned = guess;
  std::swap(turned.a_px, turned.b_px);  // ink where paper should be
  EXPECT_FALSE(fit_edge(step_picture(guess, 0.0, 0.9), turned));
  EdgeGuess at_border = guess;
  at_border.a_px = {0.0, 40.0};
  EXPECT_FALSE(fit_edge(step_picture(guess, 0.0, 0.9), at_border));
}

TEST(EdgeFitStatistics, SigmaIsWhatItsErrorsShow) {
  const EdgeGuess guess = guess_at(0.4);
  const Picture clean = step_picture(guess, 0.2, 0.9);
  std::mt19937 random(7);
  std::normal_distribution<double> noise(0.0, 0.02);
  double first = 0.0, product = 0.0;
  const int count = fairhole::test::trials(2000);
  for (int i = 0; i < count; ++i) {
    Picture noisy = clean;
    for (float& light : noisy.light) light += static_cast<float>(noise(random));
    const auto fit = fit_edge(noisy, guess);
    ASSERT_TRUE(fit);
    const double a = (fit->first.offset_px - 0.2) / fit->first.sigma_px;
    const double b = (fit->second.offset_px - 0.2) / fit->second.sigma_px;
    first += (a * a + b * b) / 2.0;
    product += a * b;
  }
  if (!fairhole::test::judge_frequencies()) return;
  // 4 standard errors: of a mean of 2 x 2000 squares 0.09, of 2000 products 0.09.
  fairhole::test::statistics("photo: edges of a printed cross, noisy", "normalised squared error")
      .trials(count, "pictures", 7)
      .near(first / count, 1.0, 0.09);
  EXPECT_NEAR(product / count, 0.0, 0.09);
}

struct Agreement {
  double rms_px = 0.0;
  double growth_px = 0.0;                              // mean, towards the light
  Eigen::Vector2d shift_px = Eigen::Vector2d::Zero();  // of all edges together
  std::size_t count = 0;
};

Agreement agreement(const View& view, const test::LaidBoard& laid, const std::vector<EdgeSight>& edges) {
  Agreement out;
  Eigen::Matrix2d normal = Eigen::Matrix2d::Zero();
  Eigen::Vector2d right = Eigen::Vector2d::Zero();
  for (const EdgeSight& edge : edges) {
    const Eigen::Vector2d w =
        laid.origin_mm + Eigen::Rotation2Dd(laid.turn_rad) * laid.scale.cwiseProduct(edge.board_mm);
    const double misfit = (edge.pixel - *project(view, {w.x(), w.y(), laid.lift_mm})).dot(edge.normal);
    out.rms_px += misfit * misfit;
    out.growth_px += misfit;
    normal += edge.normal * edge.normal.transpose();
    right += misfit * edge.normal;
  }
  out.count = edges.size();
  out.rms_px = std::sqrt(out.rms_px / static_cast<double>(out.count));
  out.growth_px /= static_cast<double>(out.count);
  out.shift_px = normal.inverse() * right;
  return out;
}

struct RenderedCase {
  double tilt_rad, roll_rad, blur_px, k1;
};

void PrintTo(const RenderedCase& c, std::ostream* to) {
  *to << "tilt " << c.tilt_rad << " roll " << c.roll_rad << " blur " << c.blur_px << " k1 " << c.k1;
}

class RenderedBoard : public ::testing::TestWithParam<RenderedCase> {};

TEST_P(RenderedBoard, IsMeasuredWhereItIs) {
  const RenderedCase c = GetParam();
  const test::LaidBoard laid{.board = *make_board("A4", 3), .lift_mm = 0.1, .scale = {0.99, 1.004}};
  const Lens lens{1500.0, {640.3, 478.9}, c.k1, 0.02, 0.0, 0.0};
  const View view = test::look_at(lens, {104.0, 149.0}, 560.0, c.tilt_rad, 0.8, c.roll_rad);
  const Picture picture =
      test::render(view, {laid}, {.width_px = 1280, .height_px = 960, .blur_px = c.blur_px});
  const std::vector<Board> boards{laid.board};

  const Result<BoardSights> sights = sight_boards(picture, boards);
  ASSERT_TRUE(sights);
  EXPECT_EQ(sights->corners.size(), 4U * kMarkersPerBoard);
  // Without the lens known, sides bowed by it are taken as straight: that alone may add a little.
  EXPECT_LT(agreement(view, laid, sights->edges).rms_px, 2.0 * kRmsPx);

  const ExpectedBoard expected{0, &boards[0], laid.scale.asDiagonal().toDenseMatrix(), laid.origin_mm,
                               laid.lift_mm};
  const std::vector<EdgeSight> edges = measure_edges(picture, view, {&expected, 1});
  // Blurred more than a pixel, or seen slantwise, the crosses' sides of 19 px are too short to be fitted.
  const bool sharp = c.blur_px < 1.0;
  EXPECT_GE(edges.size(), sharp ? 2U * printed_edges(laid.board).size() : 2U * 4U * kMarkersPerBoard);
  const Agreement found = agreement(view, laid, edges);
  EXPECT_LT(found.rms_px, kRmsPx);
  EXPECT_LT(std::abs(found.growth_px), kShiftPx);
  EXPECT_LT(found.shift_px.norm(), kShiftPx);
}

INSTANTIATE_TEST_SUITE_P(Views, RenderedBoard,
                         ::testing::Values(RenderedCase{0.0, 0.0, 0.8, 0.0},
                                           RenderedCase{0.05, 0.3, 0.9, -0.12},
                                           RenderedCase{0.6, 2.0, 1.1, 0.06},
                                           RenderedCase{0.4, -1.2, 1.6, -0.05}));

}  // namespace
}  // namespace fairhole::photo
