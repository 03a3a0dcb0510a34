// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "tile_joints.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace fairhole::drawing {
namespace {

using Eigen::Vector2d;

/// The parts of the line that no circle touches.
std::vector<std::pair<Vector2d, Vector2d>> clear_pieces(const Vector2d& start, const Vector2d& end,
                                                        const std::vector<Circle>& circles) {
  const double length = (end - start).norm();
  const Vector2d along = (end - start) / length;
  std::vector<std::pair<double, double>> gaps;
  for (const Circle& circle : circles) {
    const Vector2d d = circle.centre_mm - start;
    const double beside = std::abs(along.x() * d.y() - along.y() * d.x());
    if (beside >= circle.radius_mm) continue;
    const double half = std::sqrt(circle.radius_mm * circle.radius_mm - beside * beside);
    gaps.emplace_back(d.dot(along) - half, d.dot(along) + half);
  }
  std::sort(gaps.begin(), gaps.end());
  std::vector<std::pair<Vector2d, Vector2d>> pieces;
  double from = 0.0;
  const auto keep = [&](double to) {
    if (to > from) pieces.emplace_back(start + from * along, start + std::min(to, length) * along);
  };
  for (const auto& [low, high] : gaps) {
    if (low >= length) break;
    keep(low);
    from = std::max(from, high);
  }
  if (from < length) keep(length);
  return pieces;
}

/// The place nearest to `wanted` along the line where a match mark touches no circle.
std::optional<Vector2d> clear_place(const Vector2d& wanted, const Vector2d& along, double reach_mm,
                                    const std::vector<Circle>& circles) {
  static constexpr double kStepMm = 1.0;
  static constexpr double kAirMm = 0.5;
  const auto clear = [&](const Vector2d& place) {
    return std::all_of(circles.begin(), circles.end(), [&](const Circle& circle) {
      return (circle.centre_mm - place).norm() >= circle.radius_mm + kMatchArmMm + kAirMm;
    });
  };
  const int steps = static_cast<int>(reach_mm / kStepMm);
  for (int i = 0; i <= steps; ++i) {
    for (const double sign : {1.0, -1.0}) {
      const Vector2d place = wanted + sign * i * kStepMm * along;
      if (clear(place)) return place;
    }
  }
  return std::nullopt;
}

Joint make_joint(const TileLayout& layout, std::size_t under, std::size_t over, const TileOptions& options,
                 const std::vector<Circle>& circles) {
  const Tile& tile = layout.tiles[under];
  Joint joint{.under = under, .over = over, .upright = layout.tiles[over].row == tile.row};
  const double half = options.overlap_mm / 2;
  if (joint.upright) {
    const double x = options.mirrored ? tile.x_mm + half : tile.x_mm + tile.width_mm - half;
    joint.start_mm = {x, tile.y_mm};
    joint.end_mm = {x, tile.y_mm + tile.height_mm};
  } else {
    const double y = tile.y_mm + tile.height_mm - half;
    joint.start_mm = {tile.x_mm, y};
    joint.end_mm = {tile.x_mm + tile.width_mm, y};
  }
  joint.pieces_mm = clear_pieces(joint.start_mm, joint.end_mm, circles);
  const Vector2d run = joint.end_mm - joint.start_mm;
  for (const double share : {0.2, 0.5, 0.8}) {
    const auto place =
        clear_place(joint.start_mm + share * run, run.normalized(), 0.12 * run.norm(), circles);
    if (place) joint.marks_mm.push_back(*place);
  }
  return joint;
}

}  // namespace

std::vector<Joint> find_joints(const TileLayout& layout, const TileOptions& options,
                               const std::vector<Circle>& keep_clear_mm) {
  std::vector<Joint> joints;
  const auto columns = static_cast<std::size_t>(layout.columns);
  for (std::size_t i = 0; i < layout.tiles.size(); ++i) {
    if (layout.tiles[i].column > 0) joints.push_back(make_joint(layout, i - 1, i, options, keep_clear_mm));
    if (layout.tiles[i].row > 0) joints.push_back(make_joint(layout, i - columns, i, options, keep_clear_mm));
  }
  return joints;
}

}  // namespace fairhole::drawing
