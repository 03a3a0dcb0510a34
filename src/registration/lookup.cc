// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "lookup.h"

#include <limits>

namespace fairhole {
namespace {

struct Box {
  Eigen::Vector2d low, high;
};

Box box_of(const std::vector<Eigen::Vector2d>& points_mm) {
  Box box{points_mm.front(), points_mm.front()};
  for (const Eigen::Vector2d& p : points_mm) {
    box.low = box.low.cwiseMin(p);
    box.high = box.high.cwiseMax(p);
  }
  return box;
}

}  // namespace

NominalGrid::NominalGrid(const std::vector<Eigen::Vector2d>& nominal_mm) {
  constexpr double kLeastCellMm = 10.0;
  constexpr double kMostCells = 128.0;  // along either edge
  if (nominal_mm.empty()) return;
  const Box box = box_of(nominal_mm);
  const Eigen::Vector2d extent_mm = box.high - box.low;
  low_mm_ = box.low;
  cell_mm_ = std::max(kLeastCellMm, extent_mm.maxCoeff() / kMostCells);
  columns_ = 1 + static_cast<int>(extent_mm.x() / cell_mm_);
  rows_ = 1 + static_cast<int>(extent_mm.y() / cell_mm_);
  std::vector<std::vector<int>> cells(static_cast<std::size_t>(columns_ * rows_));
  for (std::size_t a = 0; a < nominal_mm.size(); ++a) {
    const Eigen::Vector2d at = (nominal_mm[a] - low_mm_) / cell_mm_;
    cells[static_cast<std::size_t>(clamped(at.y(), rows_) * columns_ + clamped(at.x(), columns_))].push_back(
        static_cast<int>(a));
  }
  for (const std::vector<int>& cell : cells) {
    start_.push_back(static_cast<int>(holes_.size()));
    holes_.insert(holes_.end(), cell.begin(), cell.end());
  }
  start_.push_back(static_cast<int>(holes_.size()));
}

NearestNominal::NearestNominal(const std::vector<Eigen::Vector2d>& nominal_mm, double reach_mm) {
  constexpr double kFineMm = 2.0;
  constexpr double kMostCells = 5e5;  // 1 MB
  const Box box = box_of(nominal_mm);
  low_mm_ = box.low.array() - reach_mm;
  const Eigen::Vector2d extent_mm = box.high - box.low + Eigen::Vector2d::Constant(2.0 * reach_mm);
  const double cell_mm = std::max(kFineMm, std::sqrt(extent_mm.prod() / kMostCells));
  per_mm_ = 1.0 / cell_mm;
  columns_ = 1 + static_cast<int>(extent_mm.x() * per_mm_);
  rows_ = 1 + static_cast<int>(extent_mm.y() * per_mm_);
  const auto size = static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_);
  cells_.assign(size, -1);
  std::vector<float> nearest(size, std::numeric_limits<float>::max());
  for (std::size_t a = 0; a < nominal_mm.size(); ++a) {
    const Eigen::Vector2d at = (nominal_mm[a] - low_mm_) * per_mm_;
    const double reach = reach_mm * per_mm_ + 1.0;
    const auto index = [](double v, int count) { return std::clamp(static_cast<int>(v), 0, count - 1); };
    for (int r = index(at.y() - reach, rows_); r <= index(at.y() + reach, rows_); ++r) {
      for (int c = index(at.x() - reach, columns_); c <= index(at.x() + reach, columns_); ++c) {
        const auto far = static_cast<float>((Eigen::Vector2d(c + 0.5, r + 0.5) - at).squaredNorm());
        const auto cell =
            static_cast<std::size_t>(r) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(c);
        if (far >= nearest[cell] || far > reach * reach) continue;
        nearest[cell] = far;
        cells_[cell] = static_cast<std::int16_t>(a);
      }
    }
  }
}

std::size_t KeySet::slot_of(std::uint64_t key) const {
  const std::size_t mask = slots_.size() - 1;
  std::size_t slot = (key * 0x9E3779B97F4A7C15ULL >> 20) & mask;
  while (slots_[slot] != 0 && slots_[slot] != key) slot = (slot + 1) & mask;
  return slot;
}

void KeySet::insert(std::uint64_t key) {
  const std::size_t slot = slot_of(key);
  if (slots_[slot] != 0) return;
  slots_[slot] = key;
  if (2 * ++used_ < slots_.size()) return;
  std::vector<std::uint64_t> old(2 * slots_.size(), 0);
  old.swap(slots_);
  for (const std::uint64_t k : old) {
    if (k != 0) slots_[slot_of(k)] = k;
  }
}

}  // namespace fairhole
