// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/geometry/circle.h"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <limits>
#include <optional>

namespace fairhole {
namespace {

using Eigen::Vector2d;

/// Below this share of the circle's size two radii are one: the smaller set of supports is named.
constexpr double kTie = 1e-14;
/// A disc left out by more than this share of the circle's size is left out indeed, not by rounding.
constexpr double kLoose = 1e-12;

/// Radius of the smallest circle about `centre` that encloses every disc.
double reach(const Vector2d& centre_mm, std::span<const Circle> discs) {
  double radius_mm = 0.0;
  for (const Circle& disc : discs) {
    radius_mm = std::max(radius_mm, (disc.centre_mm - centre_mm).norm() + disc.radius_mm);
  }
  return radius_mm;
}

/// Two discs, neither inside the other, seen from midway between their centres: p at (-c, 0), q at (c, 0).
/// The centres of the circles that touch both from outside lie on the branch (a cosh, b sinh) of a hyperbola
/// with p and q as its foci, because |x - p| - |x - q| = r_q - r_p.
struct Pair {
  Vector2d middle_mm, along;
  double a_mm = 0.0, b_mm = 0.0, c_mm = 0.0;
  double mean_radius_mm = 0.0;

  double cosh_at(double y_mm) const { return std::hypot(1.0, y_mm / b_mm); }
  Vector2d local_at(double y_mm) const { return {a_mm * cosh_at(y_mm), y_mm}; }
  double radius_at(double y_mm) const { return c_mm * cosh_at(y_mm) + mean_radius_mm; }
  Vector2d across() const { return {-along.y(), along.x()}; }
  Vector2d to_local(const Vector2d& p_mm) const {
    const Vector2d d_mm = p_mm - middle_mm;
    return {along.dot(d_mm), across().dot(d_mm)};
  }
  /// The circle that touches both discs from outside, with its centre at height `y_mm` of the branch.
  Circle circle_at(double y_mm) const {
    const Vector2d p_mm = local_at(y_mm);
    return {middle_mm + along * p_mm.x() + across() * p_mm.y(), radius_at(y_mm)};
  }
};

/// None when one disc lies inside the other.
std::optional<Pair> make_pair_of(const Circle& p, const Circle& q) {
  const Vector2d d_mm = q.centre_mm - p.centre_mm;
  const double c_mm = d_mm.norm() / 2;
  const double a_mm = (q.radius_mm - p.radius_mm) / 2;
  if (c_mm <= std::abs(a_mm)) return std::nullopt;
  return Pair{
      p.centre_mm + d_mm / 2,         d_mm / (2 * c_mm), a_mm, std::sqrt((c_mm - a_mm) * (c_mm + a_mm)), c_mm,
      (p.radius_mm + q.radius_mm) / 2};
}

/// The circle that three discs hold (the Apollonius circle around them), or none where fewer hold it.
/// When all three are needed, its centre lies inside the triangle of their centres, so on the branch of
/// `base` between its vertex and the third centre's height. On that stretch the third disc's reach less the
/// pair's always falls: with t the branch's parameter, |x - k| + r_k grows by at most |a| sinh t, the pair's
/// radius by c sinh t > |a| sinh t. Bisection therefore finds the one crossing, and keeps full accuracy where
/// the usual quadratic loses it: three centres almost in line.
std::optional<Circle> held_by_three(const Pair& base, const Circle& third) {
  Vector2d k_mm = base.to_local(third.centre_mm);
  const double side = k_mm.y() < 0.0 ? -1.0 : 1.0;
  k_mm.y() *= side;
  const auto short_of_third = [&](double y_mm) {
    return (base.local_at(y_mm) - k_mm).norm() + third.radius_mm > base.radius_at(y_mm);
  };
  if (!short_of_third(0.0) || short_of_third(k_mm.y())) return std::nullopt;
  double low_mm = 0.0;
  double high_mm = k_mm.y();
  constexpr int kMostHalvings = 200;  // 53 settle a double; more only near zero
  for (int i = 0; i < kMostHalvings && high_mm - low_mm > std::numeric_limits<double>::epsilon() * high_mm;
       ++i) {
    const double y_mm = (low_mm + high_mm) / 2;
    (short_of_third(y_mm) ? low_mm : high_mm) = y_mm;
  }
  return base.circle_at(side * high_mm);
}

/// Keeps the best circle offered. Each candidate is judged by what its centre needs to enclose all discs, so
/// a poorly computed one can only lose, never be wrong. A candidate whose own circle leaves a disc out is
/// loose: it may have the right centre by chance (concentric discs), but not the reason for it.
class Contest {
 public:
  explicit Contest(std::span<const Circle> discs) : discs_(discs) {}

  void offer(const Circle& own, std::vector<int> support) {
    const double radius_mm = reach(own.centre_mm, discs_);
    const bool loose = radius_mm - own.radius_mm > kLoose * radius_mm;
    const double tie_mm = support.size() > best_.support.size() ? kTie * radius_mm : 0.0;
    const bool better = loose == loose_ ? radius_mm < best_.circle.radius_mm - tie_mm : loose_;
    if (!better && !best_.support.empty()) return;
    best_ = {{own.centre_mm, radius_mm}, std::move(support)};
    loose_ = loose;
  }
  SupportedCircle best() && { return std::move(best_); }

 private:
  std::span<const Circle> discs_;
  SupportedCircle best_;
  bool loose_ = true;
};

/// The best of every single, pair and triple.
SupportedCircle best_of_all(std::span<const Circle> discs) {
  const int n = static_cast<int>(discs.size());
  const auto disc = [&](int i) -> const Circle& { return discs[static_cast<std::size_t>(i)]; };
  Contest contest(discs);
  for (int i = 0; i < n; ++i) contest.offer(disc(i), {i});
  for (int i = 0; i < n; ++i) {
    for (int j = i + 1; j < n; ++j) {
      const std::optional<Pair> pair = make_pair_of(disc(i), disc(j));
      if (pair) contest.offer(pair->circle_at(0.0), {i, j});
    }
  }
  for (int i = 0; i < n; ++i) {
    for (int j = i + 1; j < n; ++j) {
      const std::optional<Pair> pair = make_pair_of(disc(i), disc(j));
      for (int k = j + 1; pair && k < n; ++k) {
        const std::optional<Circle> circle = held_by_three(*pair, disc(k));
        if (circle) contest.offer(*circle, {i, j, k});
      }
    }
  }
  return std::move(contest).best();
}

/// Exchanges supports: the circle of at most four discs, then its supports and the disc farthest outside it,
/// and so on. The circle grows each time, so no supports come twice. None where rounding hides the growth.
std::optional<SupportedCircle> by_exchange(std::span<const Circle> discs) {
  std::vector<int> kept = {0};
  for (double before_mm = -1.0;;) {
    std::vector<Circle> few;
    for (const int i : kept) few.push_back(discs[static_cast<std::size_t>(i)]);
    SupportedCircle found = best_of_all(few);
    for (int& i : found.support) i = kept[static_cast<std::size_t>(i)];
    const Circle& circle = found.circle;
    const auto outside_mm = [&](const Circle& d) {
      return (d.centre_mm - circle.centre_mm).norm() + d.radius_mm - circle.radius_mm;
    };
    const auto farthest = std::max_element(discs.begin(), discs.end(), [&](const Circle& a, const Circle& b) {
      return outside_mm(a) < outside_mm(b);
    });
    if (outside_mm(*farthest) <= kLoose * circle.radius_mm) {
      found.circle.radius_mm = reach(circle.centre_mm, discs);
      return found;
    }
    if (circle.radius_mm <= before_mm) return std::nullopt;
    before_mm = circle.radius_mm;
    kept = found.support;
    const int entering = static_cast<int>(farthest - discs.begin());
    kept.insert(std::upper_bound(kept.begin(), kept.end(), entering), entering);
  }
}

}  // namespace

SupportedCircle smallest_enclosing(std::span<const Circle> discs) {
  assert(!discs.empty());
  assert(std::all_of(discs.begin(), discs.end(), [](const Circle& d) {
    return d.centre_mm.allFinite() && std::isfinite(d.radius_mm) && d.radius_mm >= 0.0;
  }));
  constexpr std::size_t kFew = 4;  // three supports and one disc more
  if (discs.size() > kFew) {
    if (std::optional<SupportedCircle> found = by_exchange(discs)) return *std::move(found);
  }
  return best_of_all(discs);
}

SupportedCircle largest_passing(std::span<const Circle> discs) {
  assert(!discs.empty());
  double largest_mm = 0.0;
  for (const Circle& disc : discs) largest_mm = std::max(largest_mm, disc.radius_mm);
  std::vector<Circle> complements(discs.begin(), discs.end());
  for (Circle& disc : complements) disc.radius_mm = largest_mm - disc.radius_mm;
  SupportedCircle passing = smallest_enclosing(complements);
  passing.circle.radius_mm = largest_mm - passing.circle.radius_mm;
  return passing;
}

}  // namespace fairhole
