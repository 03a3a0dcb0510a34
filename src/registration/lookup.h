// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "fairhole/geometry/pose.h"

namespace fairhole {

/// The drawn holes in square cells: who lies within a distance of a point of the pattern's frame.
class NominalGrid {
 public:
  NominalGrid() = default;
  explicit NominalGrid(const std::vector<Eigen::Vector2d>& nominal_mm);

  /// Calls `visit(index)` for every hole in the cells that a circle touches: all inside it and some beyond.
  template <class Visit>
  void near(const Eigen::Vector2d& q_mm, double radius_mm, Visit visit) const {
    const auto column = [&](double x) { return clamped((x - low_mm_.x()) / cell_mm_, columns_); };
    const auto row = [&](double y) { return clamped((y - low_mm_.y()) / cell_mm_, rows_); };
    for (int r = row(q_mm.y() - radius_mm); r <= row(q_mm.y() + radius_mm); ++r) {
      const auto line = static_cast<std::size_t>(r) * static_cast<std::size_t>(columns_);
      const auto first = line + static_cast<std::size_t>(column(q_mm.x() - radius_mm));
      const auto last = line + static_cast<std::size_t>(column(q_mm.x() + radius_mm));
      for (int k = start_[first]; k < start_[last + 1]; ++k) visit(holes_[static_cast<std::size_t>(k)]);
    }
  }

 private:
  static int clamped(double cell, int count) {
    return static_cast<int>(std::clamp(cell, 0.0, static_cast<double>(count - 1)));
  }
  Eigen::Vector2d low_mm_ = Eigen::Vector2d::Zero();
  double cell_mm_ = 1.0;
  int columns_ = 1, rows_ = 1;
  std::vector<int> start_, holes_;
};

/// The nearest drawn hole of a point, one memory access each: a raster of the pattern painted with the index
/// of the hole nearest to each cell's middle. Near the border between two holes it may name the other, which
/// is then nearer than a cell's diagonal to being the nearest.
class NearestNominal {
 public:
  NearestNominal(const std::vector<Eigen::Vector2d>& nominal_mm, double reach_mm);

  /// -1 where none lies within the reach.
  int operator()(double x_mm, double y_mm) const {
    const double column = (x_mm - low_mm_.x()) * per_mm_, row = (y_mm - low_mm_.y()) * per_mm_;
    if (!(column >= 0.0 && row >= 0.0 && column < columns_ && row < rows_)) return -1;
    return cells_[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_) +
                  static_cast<std::size_t>(column)];
  }

 private:
  Eigen::Vector2d low_mm_;
  double per_mm_ = 1.0;
  int columns_ = 0, rows_ = 0;
  std::vector<std::int16_t> cells_;  ///< small, to stay in the cache: a part has at most 3,000 holes
};

/// A set of 64-bit keys, for poses already seen. Deterministic, grows by doubling.
class KeySet {
 public:
  KeySet() : slots_(1024, 0) {}
  bool contains(std::uint64_t key) const { return slots_[slot_of(key)] != 0; }
  void insert(std::uint64_t key);

 private:
  std::size_t slot_of(std::uint64_t key) const;
  std::vector<std::uint64_t> slots_;  ///< 0 is free
  std::size_t used_ = 0;
};

}  // namespace fairhole
