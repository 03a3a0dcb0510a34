// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <utility>
#include <vector>

/// Where words go so that none covers another: along a line (ordinates) and about points (labels). Paper mm.
namespace fairhole::report {

struct Box {
  Eigen::Vector2d low_mm = Eigen::Vector2d::Zero();
  Eigen::Vector2d high_mm = Eigen::Vector2d::Zero();

  double width_mm() const { return high_mm.x() - low_mm.x(); }
  double height_mm() const { return high_mm.y() - low_mm.y(); }
  Eigen::Vector2d centre_mm() const { return 0.5 * (low_mm + high_mm); }
  Box grown(double by_mm) const;
  bool overlaps(const Box& other) const;  ///< touching is not overlapping
  bool holds(const Box& other) const;
  Eigen::Vector2d nearest(const Eigen::Vector2d& point_mm) const;  ///< the point of the box nearest to it
};

/// Places as near as can be to the wanted ones (ascending), in their order, at least `pitch_mm` apart and
/// within [low, high]; least squares, by pooling neighbours that are too close. Nothing when they do not fit.
std::optional<std::vector<double>> spread(const std::vector<double>& wanted_mm, double pitch_mm,
                                          double low_mm, double high_mm);

struct LabelRequest {
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();  ///< the point it names
  double keep_off_mm = 0.0;                         ///< radius about the point that belongs to its symbol
  double width_mm = 0.0, height_mm = 0.0;
};

struct PlacedLabel {
  Box box;
  bool leader = false;  ///< too far off to be read without a line from the symbol
  bool clear = true;    ///< false: there was no free place; it lies where it disturbs least
};

/// What labels must keep off (hard: boxes, discs) and should keep off (soft: segments).
struct Obstacles {
  Box region;  ///< labels stay inside
  std::vector<Box> boxes;
  std::vector<std::pair<Eigen::Vector2d, double>> discs;  ///< centre, radius
  std::vector<std::pair<Eigen::Vector2d, Eigen::Vector2d>> lines;
};

/// Labels about their points, most crowded first, then improved in rounds until none moves; beside their
/// points, not clear, where there is more text than paper. The same request gives the same places. In the
/// order of `requests`.
std::vector<PlacedLabel> place_labels(const std::vector<LabelRequest>& requests, const Obstacles& obstacles);

/// Does the segment a-b run through the box?
bool crosses(const Eigen::Vector2d& a_mm, const Eigen::Vector2d& b_mm, const Box& box);

}  // namespace fairhole::report
