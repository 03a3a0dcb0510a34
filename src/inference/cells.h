// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <vector>

namespace fairhole::inference {

/// Points of the plane in square cells: those near a point, or near a circle, without looking at all. Gives
/// what looking at all would give, in the same order.
class Cells {
 public:
  /// The points `which` of `points_mm`, about one to a cell. Both must outlive this.
  Cells(const std::vector<Eigen::Vector2d>& points_mm, const std::vector<int>& which);

  /// Up to `count` others nearest to point `of`, the nearer first, of equals the smaller index.
  std::vector<int> nearest(int of, std::size_t count) const;

  /// Those within `gate_mm` of the line of a circle, in the order of `which`.
  std::vector<int> on_circle(const Eigen::Vector2d& centre_mm, double radius_mm, double gate_mm) const;

 private:
  const Eigen::Vector2d& at(int point) const { return points_mm_[static_cast<std::size_t>(point)]; }
  int column(double x_mm) const { return index((x_mm - low_mm_.x()) / side_mm_, columns_); }
  int row(double y_mm) const { return index((y_mm - low_mm_.y()) / side_mm_, rows_); }
  static int index(double cells, int count);
  const std::vector<int>& cell(int column, int row) const {
    return ranks_[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_) +
                  static_cast<std::size_t>(column)];
  }

  const std::vector<Eigen::Vector2d>& points_mm_;
  const std::vector<int>& which_;
  Eigen::Vector2d low_mm_ = Eigen::Vector2d::Zero();
  double side_mm_ = 1.0;
  int columns_ = 1, rows_ = 1;
  std::vector<std::vector<int>> ranks_;  ///< of each cell: places in `which`
};

}  // namespace fairhole::inference
