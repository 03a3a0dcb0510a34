// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "edges.h"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace fairhole {
namespace {

constexpr double kBinsPerMm = 2.0;

std::size_t bin_of(double length_mm) {
  return static_cast<std::size_t>(std::max(0.0, length_mm * kBinsPerMm));
}

}  // namespace

LengthIndex::LengthIndex(const std::vector<Eigen::Vector2d>& nominal_mm) {
  const std::size_t n = nominal_mm.size();
  std::vector<Entry> all;
  all.reserve(n * (n - 1) / 2);
  float longest_mm = 0.0F;
  for (std::size_t a = 0; a < n; ++a) {
    for (std::size_t b = a + 1; b < n; ++b) {
      const auto length_mm = static_cast<float>((nominal_mm[b] - nominal_mm[a]).norm());
      longest_mm = std::max(longest_mm, length_mm);
      all.push_back({length_mm, static_cast<std::int32_t>(a), static_cast<std::int32_t>(b)});
    }
  }
  // Counting sort by bin: one pass over half a million pairs instead of twenty.
  before_.assign(bin_of(longest_mm) + 2, 0);
  for (const Entry& entry : all) ++before_[bin_of(entry.length_mm) + 1];
  for (std::size_t bin = 1; bin < before_.size(); ++bin) before_[bin] += before_[bin - 1];
  std::vector<std::uint32_t> at = before_;
  entries_.resize(all.size());
  for (const Entry& entry : all) entries_[at[bin_of(entry.length_mm)]++] = entry;
  for (std::size_t bin = 0; bin + 1 < before_.size(); ++bin) {
    std::sort(entries_.begin() + before_[bin], entries_.begin() + before_[bin + 1],
              [](const Entry& x, const Entry& y) {
                return std::tie(x.length_mm, x.a, x.b) < std::tie(y.length_mm, y.a, y.b);
              });
  }
}

std::size_t LengthIndex::first(double length_mm) const {
  const std::size_t bin = std::min(bin_of(length_mm), before_.size() - 1);
  std::size_t k = before_[bin];
  while (k < entries_.size() && entries_[k].length_mm < length_mm) ++k;
  return k;
}

double LengthIndex::count(double length_mm, double slack_mm) const {
  const auto at = [&](double mm) { return before_[std::min(bin_of(mm), before_.size() - 1)]; };
  return static_cast<double>(at(length_mm + slack_mm) - at(length_mm - slack_mm));
}

void EdgeOrder::choose_disjoint(std::vector<Edge> edges, int holes) {
  std::sort(edges.begin(), edges.end(), [](const Edge& x, const Edge& y) {
    return std::tie(x.cost, x.i, x.j) < std::tie(y.cost, y.i, y.j);
  });
  std::vector<bool> taken(static_cast<std::size_t>(holes), false);
  for (const Edge& edge : edges) {
    const auto i = static_cast<std::size_t>(edge.i), j = static_cast<std::size_t>(edge.j);
    if (taken[i] || taken[j]) continue;
    taken[i] = taken[j] = true;
    disjoint_.emplace_back(edge.i, edge.j);
  }
}

std::vector<std::pair<int, int>> EdgeOrder::next() {
  if (groups_.size() < 2) return {};
  std::size_t one = 0, two = 1;
  if (step_ < disjoint_.size()) {
    const auto [i, j] = disjoint_[step_];
    const auto holds = [&](int hole) {
      return static_cast<std::size_t>(
          std::find_if(groups_.begin(), groups_.end(),
                       [&](const std::vector<int>& g) { return g.size() == 1 && g.front() == hole; }) -
          groups_.begin());
    };
    one = holds(i);
    two = holds(j);
  } else {
    std::stable_sort(groups_.begin(), groups_.end(),
                     [](const auto& x, const auto& y) { return x.size() < y.size(); });
  }
  ++step_;
  std::vector<std::pair<int, int>> pairs;
  for (const int i : groups_[one]) {
    for (const int j : groups_[two]) pairs.emplace_back(i, j);
  }
  groups_[one].insert(groups_[one].end(), groups_[two].begin(), groups_[two].end());
  groups_.erase(groups_.begin() + static_cast<std::ptrdiff_t>(two));
  return pairs;
}

}  // namespace fairhole
