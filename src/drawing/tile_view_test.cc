// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "tile_view.h"

#include <gtest/gtest.h>

#include <cmath>
#include <utility>

namespace fairhole::drawing {
namespace {

using Eigen::Vector2d;

constexpr double kRoundingMm = 1e-9;  // a few hundred mm in doubles

/// A view without strips or shift: one tile whose window corner is the drawing's origin.
Shape carried(const Shape& shape, double scale_x, double scale_y, bool mirror) {
  TileOptions options{.paper = *paper_from_name("A3")};
  options.scale_x = scale_x;
  options.scale_y = scale_y;
  options.mirrored = mirror;
  const TileLayout layout{.tiles = {}, .rows = 1, .columns = 1, .paper = options.paper};
  const Tile tile{.x_mm = mirror ? -200.0 : 0.0, .width_mm = 200.0, .height_mm = 200.0, .name = "A1"};
  return TileView(tile, layout, options)(shape);
}

const Vector2d kWindowLow(12.0 + kLeftStripMm, 12.0 + kFootStripMm);

// The scaled circle has the points (sx r cos t, sy r sin t): they must satisfy the ellipse we draw.
TEST(TileView, CirclesBecomeTheScaledEllipse) {
  for (const auto& [sx, sy] : {std::pair(0.97, 1.02), {1.02, 0.97}}) {
    const Shape shape = carried(Circle{{30.0, 40.0}, 11.0}, sx, sy, false);
    const auto& e = std::get<Ellipse>(shape);
    EXPECT_NEAR((e.centre_mm - kWindowLow - Vector2d(30.0 * sx, 40.0 * sy)).norm(), 0.0, kRoundingMm);
    for (double t = 0.0; t < 6.3; t += 0.1) {
      const Vector2d p(sx * 11.0 * std::cos(t), sy * 11.0 * std::sin(t));
      const Vector2d along(std::cos(e.angle_rad), std::sin(e.angle_rad));
      const double u = p.dot(along) / e.major_mm;
      const double v = (p.y() * along.x() - p.x() * along.y()) / e.minor_mm;
      EXPECT_NEAR(u * u + v * v, 1.0, kRoundingMm);
    }
  }
}

TEST(TileView, TurnedEllipsesKeepTheirPoints) {
  const Ellipse before{{30.0, 40.0}, 12.0, 5.0, 0.7};
  const auto after = std::get<Ellipse>(carried(before, 0.97, 1.02, true));
  for (double t = 0.0; t < 6.3; t += 0.1) {
    const double x = 12.0 * std::cos(t) * std::cos(0.7) - 5.0 * std::sin(t) * std::sin(0.7);
    const double y = 12.0 * std::cos(t) * std::sin(0.7) + 5.0 * std::sin(t) * std::cos(0.7);
    const Vector2d p(-0.97 * x, 1.02 * y);
    const Vector2d along(std::cos(after.angle_rad), std::sin(after.angle_rad));
    const double u = p.dot(along) / after.major_mm;
    const double v = (p.y() * along.x() - p.x() * along.y()) / after.minor_mm;
    EXPECT_NEAR(u * u + v * v, 1.0, kRoundingMm);
  }
}

TEST(TileView, MirroredArcsCoverTheMirroredPoints) {
  const Arc before{{30.0, 40.0}, 10.0, 0.2, 1.2};
  const auto arc = std::get<Arc>(carried(before, 1.0, 1.0, true));
  // The middle of the arc goes to (-cos, sin).
  const double middle = (arc.start_rad + arc.end_rad) / 2;
  EXPECT_NEAR(std::cos(middle), -std::cos(0.7), kRoundingMm);
  EXPECT_NEAR(std::sin(middle), std::sin(0.7), kRoundingMm);
  EXPECT_NEAR(arc.end_rad - arc.start_rad, 1.0, kRoundingMm);
}

TEST(TileView, UnevenlyScaledArcsStayWithinTheirChords) {
  constexpr double kSagittaMm = 0.0011;  // 0.001 mm, scaled
  const auto line = std::get<Polyline>(carried(Arc{{30.0, 40.0}, 10.0, 5.9, 1.2}, 0.97, 1.02, false));
  const auto off = [&](const Vector2d& p) {
    const Vector2d q = (p - kWindowLow).cwiseQuotient(Vector2d(0.97, 1.02)) - Vector2d(30.0, 40.0);
    return std::abs(q.norm() - 10.0);
  };
  for (std::size_t i = 1; i < line.points_mm.size(); ++i) {
    EXPECT_LT(off(line.points_mm[i]), kRoundingMm);
    EXPECT_LT(off((line.points_mm[i] + line.points_mm[i - 1]) / 2), kSagittaMm);
  }
}

TEST(TileView, MirroredTextStaysReadableOverTheSamePlace) {
  const Text before{.at_mm = {30.0, 40.0}, .text = "LEFT", .align = Align::kLeft, .angle_rad = 0.3};
  const Box box = bounds(before);
  const Box after = bounds(carried(before, 1.0, 1.0, true));
  const Vector2d low = kWindowLow + Vector2d(-box.high_mm.x(), box.low_mm.y());
  EXPECT_NEAR((after.low_mm - low).norm(), 0.0, kRoundingMm);
  EXPECT_EQ(std::get<Text>(carried(before, 1.0, 1.0, true)).text, "LEFT");
}

}  // namespace
}  // namespace fairhole::drawing
