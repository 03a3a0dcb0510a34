// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <functional>
#include <utility>
#include <vector>

namespace fairhole {

/// All pairs of drawn holes by the distance between them.
class LengthIndex {
 public:
  struct Entry {
    float length_mm;
    std::int32_t a, b;
  };
  explicit LengthIndex(const std::vector<Eigen::Vector2d>& nominal_mm);

  /// Calls `visit(a, b)` for every pair whose length lies within `slack_mm` of `length_mm`.
  template <class Visit>
  void matching(double length_mm, double slack_mm, Visit visit) const {
    for (std::size_t k = first(length_mm - slack_mm); k < entries_.size(); ++k) {
      if (entries_[k].length_mm > length_mm + slack_mm) break;
      visit(entries_[k].a, entries_[k].b);
    }
  }
  double count(double length_mm, double slack_mm) const;  ///< about how many those are

 private:
  std::size_t first(double length_mm) const;
  std::vector<Entry> entries_;
  std::vector<std::uint32_t> before_;  ///< entries shorter than so many bins
};

/// The order in which pairs of measured holes are tried. The holes stand in groups, at first one in each; a
/// step joins two groups and hands out every pair between them. A pose that explains two holes of one group
/// explains a pair that was tried; so every pose not yet found explains at most one hole of each group. While
/// single holes are joined that is the fewest pairs for the bound (Turan's theorem, 1941); later steps join
/// whole groups, the smallest first, and come close to it.
class EdgeOrder {
 public:
  static constexpr std::size_t kLarge = 300;  ///< measured holes

  /// `cost(i, j)`: how dear a pair is to try. The first half of the steps takes disjoint pairs. On a small
  /// part they stand about half its length apart, each the cheapest of a few partners, cheap pairs first:
  /// none is left to a short base, which would pose the far holes poorly. On a large part they are drawn at
  /// random, those closer than a quarter of its length last.
  EdgeOrder(const std::vector<Eigen::Vector2d>& holes_mm, const std::function<double(int, int)>& cost);

  /// Chance that a pose which explains a share `explained` of the holes explains no pair that was tried, over
  /// all ways the pairs may have been drawn; 1 on a small part. Leaving out the close pairs is allowed for by
  /// half of the chance of each.
  double chance_missed(double explained) const;

  const std::vector<std::pair<int, int>>& disjoint() const { return disjoint_; }
  /// Pairs of the next step; empty when all were handed out.
  std::vector<std::pair<int, int>> next();
  int most_explained() const { return static_cast<int>(groups_.size()); }  ///< by a pose not found so far

 private:
  void draw_at_random(const std::vector<Eigen::Vector2d>& holes_mm, const Eigen::Vector2d& axis);
  void choose_cheap(const std::vector<Eigen::Vector2d>& holes_mm, const Eigen::Vector2d& axis,
                    const std::function<double(int, int)>& cost);

  std::size_t random_ = 0;  ///< the first so many of `disjoint_` are a random draw
  std::vector<std::pair<int, int>> disjoint_;
  std::size_t step_ = 0;
  std::vector<std::vector<int>> groups_;
};

}  // namespace fairhole
