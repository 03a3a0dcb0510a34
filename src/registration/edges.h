// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <cstdint>
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
/// explains a pair that was tried; so every pose not yet found explains at most one hole of each group. The
/// groups stay as even as they can: by Turan's theorem (1941) no smaller set of pairs gives that bound.
class EdgeOrder {
 public:
  /// `cost(i, j)`: how dear a pair is to try; the first half of the steps takes the cheapest disjoint pairs.
  template <class Cost>
  EdgeOrder(int holes, Cost cost) {
    std::vector<Edge> edges;
    edges.reserve(static_cast<std::size_t>(holes) * static_cast<std::size_t>(holes) / 2);
    for (int i = 0; i < holes; ++i) {
      groups_.push_back({i});
      for (int j = i + 1; j < holes; ++j) edges.push_back({static_cast<float>(cost(i, j)), i, j});
    }
    choose_disjoint(std::move(edges), holes);
  }

  /// Pairs of the next step; empty when all were handed out.
  std::vector<std::pair<int, int>> next();
  int most_explained() const { return static_cast<int>(groups_.size()); }  ///< by a pose not found so far

 private:
  struct Edge {
    float cost;
    std::int32_t i, j;
  };
  void choose_disjoint(std::vector<Edge> edges, int holes);

  std::vector<std::pair<int, int>> disjoint_;
  std::size_t step_ = 0;
  std::vector<std::vector<int>> groups_;
};

}  // namespace fairhole
