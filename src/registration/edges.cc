// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "edges.h"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>
#include <tuple>

namespace fairhole {
namespace {

constexpr double kBinsPerMm = 2.0;

/// What is farther than any part is long, a gate of a hostile covariance say, is as far as that.
std::size_t bin_of(double length_mm) {
  constexpr double kFarMm = 1e9;
  return static_cast<std::size_t>(std::min(kFarMm, std::max(0.0, length_mm)) * kBinsPerMm);
}

/// Direction in which the holes spread most.
Eigen::Vector2d long_axis(const std::vector<Eigen::Vector2d>& holes_mm) {
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();
  for (const Eigen::Vector2d& p : holes_mm) middle += p / static_cast<double>(holes_mm.size());
  Eigen::Matrix2d spread = Eigen::Matrix2d::Zero();
  for (const Eigen::Vector2d& p : holes_mm) spread += (p - middle) * (p - middle).transpose();
  Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> axes;
  axes.computeDirect(spread);
  return axes.eigenvectors().col(1);
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

EdgeOrder::EdgeOrder(const std::vector<Eigen::Vector2d>& holes_mm,
                     const std::function<double(int, int)>& cost) {
  for (std::size_t i = 0; i < holes_mm.size(); ++i) groups_.push_back({static_cast<int>(i)});
  const Eigen::Vector2d axis = long_axis(holes_mm);
  if (holes_mm.size() >= kLarge) {
    draw_at_random(holes_mm, axis);
  } else {
    choose_cheap(holes_mm, axis, cost);
  }
}

double EdgeOrder::chance_missed(double explained) const {
  const auto tried = static_cast<double>(std::min(step_, random_));
  return std::pow(1.0 - 0.5 * explained * explained, tried);
}

void EdgeOrder::draw_at_random(const std::vector<Eigen::Vector2d>& holes_mm, const Eigen::Vector2d& axis) {
  constexpr double kLeastShare = 0.25;
  const auto place = [&](int i) -> const Eigen::Vector2d& { return holes_mm[static_cast<std::size_t>(i)]; };
  std::vector<int> order(holes_mm.size());
  std::iota(order.begin(), order.end(), 0);
  double low = axis.dot(holes_mm.front()), high = low;
  for (const Eigen::Vector2d& p : holes_mm) {
    low = std::min(low, axis.dot(p));
    high = std::max(high, axis.dot(p));
  }
  std::mt19937 rng(2);
  for (std::size_t k = order.size(); k > 1; --k) std::swap(order[k - 1], order[rng() % k]);
  for (std::size_t k = 0; k + 1 < order.size(); k += 2) disjoint_.emplace_back(order[k], order[k + 1]);
  const auto close = std::stable_partition(disjoint_.begin(), disjoint_.end(), [&](const auto& pair) {
    return (place(pair.first) - place(pair.second)).norm() >= kLeastShare * (high - low);
  });
  random_ = static_cast<std::size_t>(close - disjoint_.begin());
}

void EdgeOrder::choose_cheap(const std::vector<Eigen::Vector2d>& holes_mm, const Eigen::Vector2d& axis,
                             const std::function<double(int, int)>& cost) {
  constexpr std::size_t kPartners = 12;
  std::vector<int> along(holes_mm.size());
  std::iota(along.begin(), along.end(), 0);
  std::stable_sort(along.begin(), along.end(), [&](int i, int j) {
    return axis.dot(holes_mm[static_cast<std::size_t>(i)]) < axis.dot(holes_mm[static_cast<std::size_t>(j)]);
  });
  const std::size_t half = along.size() / 2;
  std::vector<int> partners(along.begin() + static_cast<std::ptrdiff_t>(half), along.end());
  std::vector<std::pair<double, std::pair<int, int>>> chosen;
  for (std::size_t k = 0; k < half; ++k) {
    // `partners` holds those not taken yet, in order; the first few are about half a length away.
    const auto end = partners.begin() + static_cast<std::ptrdiff_t>(std::min(kPartners, partners.size()));
    const auto best = std::min_element(partners.begin(), end,
                                       [&](int i, int j) { return cost(along[k], i) < cost(along[k], j); });
    chosen.push_back({cost(along[k], *best), {along[k], *best}});
    partners.erase(best);
  }
  std::sort(chosen.begin(), chosen.end());
  for (const auto& [price, pair] : chosen) disjoint_.push_back(pair);
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
