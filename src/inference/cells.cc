// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "cells.h"

#include <algorithm>
#include <cmath>

namespace fairhole::inference {

using Eigen::Vector2d;

Cells::Cells(const std::vector<Vector2d>& points_mm, const std::vector<int>& which)
    : points_mm_(points_mm), which_(which), ranks_(1) {
  if (which.empty()) return;
  Vector2d high_mm = low_mm_ = at(which.front());
  for (const int point : which) {
    low_mm_ = low_mm_.cwiseMin(at(point));
    high_mm = high_mm.cwiseMax(at(point));
  }
  const Vector2d size_mm = high_mm - low_mm_;
  const double count = static_cast<double>(which.size());
  // Points all but on one line make a strip of cells.
  side_mm_ = std::max({std::sqrt(size_mm.x() * size_mm.y() / count), size_mm.maxCoeff() / count, 1e-3});
  columns_ = static_cast<int>(size_mm.x() / side_mm_) + 1;
  rows_ = static_cast<int>(size_mm.y() / side_mm_) + 1;
  ranks_.resize(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_));
  for (std::size_t rank = 0; rank < which.size(); ++rank) {
    const Vector2d& p = at(which[rank]);
    const std::size_t place = static_cast<std::size_t>(row(p.y())) * static_cast<std::size_t>(columns_) +
                              static_cast<std::size_t>(column(p.x()));
    ranks_[place].push_back(static_cast<int>(rank));
  }
}

int Cells::index(double cells, int count) {
  return static_cast<int>(std::clamp(std::floor(cells), 0.0, static_cast<double>(count - 1)));
}

std::vector<int> Cells::nearest(int of, std::size_t count) const {
  std::vector<std::pair<double, int>> found;  // squared distance and point
  const Vector2d& middle = at(of);
  const int own_column = column(middle.x()), own_row = row(middle.y());
  for (int ring = 0; ring < std::max(columns_, rows_); ++ring) {
    for (int r = std::max(0, own_row - ring); r <= std::min(rows_ - 1, own_row + ring); ++r) {
      const bool whole = std::abs(r - own_row) == ring;  // else its two ends alone
      for (int c = own_column - ring; c <= own_column + ring; c += whole || ring == 0 ? 1 : 2 * ring) {
        if (c < 0 || c >= columns_) continue;
        for (const int rank : cell(c, r)) {
          const int other = which_[static_cast<std::size_t>(rank)];
          if (other != of) found.emplace_back((at(other) - middle).squaredNorm(), other);
        }
      }
    }
    // Whatever lies outside the rings so far is at least so many cells away.
    if (found.size() < count) continue;
    std::sort(found.begin(), found.end());
    if (std::sqrt(found[count - 1].first) < ring * side_mm_) break;
  }
  std::sort(found.begin(), found.end());
  found.resize(std::min(found.size(), count));
  std::vector<int> points;
  for (const auto& [distance2, point] : found) points.push_back(point);
  return points;
}

std::vector<int> Cells::on_circle(const Vector2d& centre_mm, double radius_mm, double gate_mm) const {
  std::vector<int> ranks;
  const double outer_mm = radius_mm + gate_mm, inner_mm = radius_mm - gate_mm;
  const auto look = [&](double from_mm, double to_mm, int r) {
    for (int c = column(from_mm); c <= column(to_mm); ++c) {
      for (const int rank : cell(c, r)) {
        const Vector2d& p = at(which_[static_cast<std::size_t>(rank)]);
        if (std::abs((p - centre_mm).norm() - radius_mm) <= gate_mm) ranks.push_back(rank);
      }
    }
  };
  // A strip of cells meets the ring in two pieces, or in one where it does not reach the ring's inside. Cells
  // at the ends are looked at whole, and one more beyond: rounding decides nothing.
  const double spare_mm = 1e-6 * (1.0 + outer_mm);
  for (int r = row(centre_mm.y() - outer_mm - spare_mm); r <= row(centre_mm.y() + outer_mm + spare_mm); ++r) {
    const double below_mm = low_mm_.y() + r * side_mm_ - centre_mm.y(), above_mm = below_mm + side_mm_;
    const double nearest_mm = below_mm > 0.0 ? below_mm : std::min(above_mm, 0.0);
    const double farthest_mm = std::max(std::abs(below_mm), std::abs(above_mm));
    const double out_mm = std::sqrt(std::max(outer_mm * outer_mm - nearest_mm * nearest_mm, 0.0)) + spare_mm;
    const double in2_mm2 = inner_mm > 0.0 ? inner_mm * inner_mm - farthest_mm * farthest_mm : 0.0;
    const double in_mm = in2_mm2 > 0.0 ? std::sqrt(in2_mm2) - spare_mm : 0.0;
    if (column(centre_mm.x() - in_mm) + 1 >= column(centre_mm.x() + in_mm)) {
      look(centre_mm.x() - out_mm, centre_mm.x() + out_mm, r);
    } else {
      look(centre_mm.x() - out_mm, centre_mm.x() - in_mm, r);
      look(centre_mm.x() + in_mm, centre_mm.x() + out_mm, r);
    }
  }
  std::sort(ranks.begin(), ranks.end());
  for (int& rank : ranks) rank = which_[static_cast<std::size_t>(rank)];
  return ranks;
}

}  // namespace fairhole::inference
