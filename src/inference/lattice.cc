// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "lattice.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>

namespace fairhole::inference {
namespace {

constexpr int kNeighbours = 3;     // a start's two holes: next but so many
constexpr int kPlacesBetween = 3;  // and so many pitches apart at most
constexpr std::size_t kLeast = 3;  // two holes have any spacing

/// Straight line u = start + k pitch through the members so far, kept up to date as members come in.
class Track {
 public:
  void add(int k, double u_mm) {
    n_ += 1.0;
    k_ += k;
    kk_ += static_cast<double>(k) * k;
    u_ += u_mm;
    ku_ += k * u_mm;
  }
  double pitch_mm() const { return (n_ * ku_ - k_ * u_) / det(); }
  double start_mm() const { return (u_ - pitch_mm() * k_) / n_; }
  /// Variance of a new hole's residual at place k, in scatter squared.
  double variance(double k) const { return 1.0 + 1.0 / n_ + (k - k_ / n_) * (k - k_ / n_) * n_ / det(); }

 private:
  double det() const { return n_ * kk_ - k_ * k_; }
  double n_ = 0.0, k_ = 0.0, kk_ = 0.0, u_ = 0.0, ku_ = 0.0;
};

/// Follows the track from one of its ends, hole by hole; the nearer of two holes at one place stays.
void follow(std::span<const double> u_mm, int from, int step, int last_k, const SpacingRules& rules,
            Track& track, std::vector<Member>& members) {
  int i = from;
  const int end = step > 0 ? static_cast<int>(u_mm.size()) : -1;
  while (i != end) {
    const double at = (u_mm[static_cast<std::size_t>(i)] - track.start_mm()) / track.pitch_mm();
    const int k = static_cast<int>(std::lround(at));
    const auto off_mm = [&](int hole) {
      return std::abs(u_mm[static_cast<std::size_t>(hole)] - track.start_mm() - k * track.pitch_mm());
    };
    const double gate_mm = kGateSigmas * rules.scatter_mm * std::sqrt(track.variance(k));
    if ((k - last_k) * step <= 0 || off_mm(i) > std::min(gate_mm, 0.4 * track.pitch_mm())) {
      i += step;
      continue;
    }
    int best = i;
    for (int j = i + step; j != end && off_mm(j) < off_mm(best); j += step) best = j;
    track.add(k, u_mm[static_cast<std::size_t>(best)]);
    members.push_back({best, k});
    last_k = k;
    i = best + step;
  }
}

/// Least squares over the members; false when a pitch came out too small.
bool settle(std::span<const double> u_mm, const SpacingRules& rules, Spacing& spacing) {
  Track track;
  for (const Member& m : spacing.members) track.add(m.k, u_mm[static_cast<std::size_t>(m.hole)]);
  spacing.pitch_mm = track.pitch_mm();
  spacing.start_mm = track.start_mm();
  return spacing.pitch_mm >= rules.least_pitch_mm;
}

double member_gain(std::span<const double> u_mm, const SpacingRules& rules, const Spacing& spacing,
                   const Member& m) {
  const double off =
      (u_mm[static_cast<std::size_t>(m.hole)] - spacing.start_mm - m.k * spacing.pitch_mm) / rules.scatter_mm;
  return rules.member_gain - 0.5 * off * off;
}

/// The run of members that is worth most, gaps between them paid for (largest sum of a run).
void trim(std::span<const double> u_mm, const SpacingRules& rules, Spacing& spacing) {
  const std::vector<Member>& all = spacing.members;
  double sum = 0.0, best = 0.0;
  std::size_t first = 0, best_first = 0, best_end = 0;
  for (std::size_t i = 0; i < all.size(); ++i) {
    const double gap = i > first ? kGapCost * (all[i].k - all[i - 1].k - 1) : 0.0;
    if (sum - gap <= 0.0) {
      sum = 0.0;
      first = i;
    } else {
      sum -= gap;
    }
    sum += member_gain(u_mm, rules, spacing, all[i]);
    if (sum > best) {
      best = sum;
      best_first = first;
      best_end = i + 1;
    }
  }
  spacing.members.assign(all.begin() + static_cast<std::ptrdiff_t>(best_first),
                         all.begin() + static_cast<std::ptrdiff_t>(best_end));
}

std::optional<Spacing> grow(std::span<const double> u_mm, int i, int j, int between,
                            const SpacingRules& rules) {
  Track track;
  track.add(0, u_mm[static_cast<std::size_t>(i)]);
  track.add(between, u_mm[static_cast<std::size_t>(j)]);
  Spacing spacing;
  std::vector<Member> below, above;
  follow(u_mm, i + 1, 1, 0, rules, track, above);
  follow(u_mm, i - 1, -1, 0, rules, track, below);
  spacing.members.assign(below.rbegin(), below.rend());
  spacing.members.push_back({i, 0});
  spacing.members.insert(spacing.members.end(), above.begin(), above.end());
  if (spacing.members.size() < kLeast || !settle(u_mm, rules, spacing)) return std::nullopt;
  trim(u_mm, rules, spacing);
  if (spacing.members.size() < kLeast) return std::nullopt;
  const int first = spacing.members.front().k;
  for (Member& m : spacing.members) m.k -= first;
  if (!settle(u_mm, rules, spacing)) return std::nullopt;
  spacing.gain = -kGapCost * spacing.gaps();
  for (const Member& m : spacing.members) spacing.gain += member_gain(u_mm, rules, spacing, m);
  return spacing;
}

}  // namespace

Eigen::Matrix2d spacing_covariance(std::span<const Member> members, double half) {
  Eigen::Matrix2d normal = Eigen::Matrix2d::Zero();
  for (const Member& m : members) {
    if (m.strayed) continue;
    const Eigen::Vector2d row(1.0, m.k + half);
    normal += row * row.transpose();
  }
  return normal.inverse();
}

std::optional<Spacing> best_spacing(std::span<const double> u_mm, const SpacingRules& rules) {
  std::optional<Spacing> best;
  const int n = static_cast<int>(u_mm.size());
  for (int i = 0; i < n; ++i) {
    for (int j = i + 1; j < std::min(n, i + 1 + kNeighbours); ++j) {
      const double apart_mm = u_mm[static_cast<std::size_t>(j)] - u_mm[static_cast<std::size_t>(i)];
      for (int between = 1; between <= kPlacesBetween; ++between) {
        if (apart_mm / between < rules.least_pitch_mm) break;
        std::optional<Spacing> found = grow(u_mm, i, j, between, rules);
        if (found && (!best || found->gain > best->gain)) best = std::move(found);
      }
    }
  }
  return best;
}

}  // namespace fairhole::inference
