// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "glance.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>

namespace fairhole {
namespace {

constexpr std::size_t kBase = 2;  // holes that count as explained without a look

}  // namespace

double chance_of_few(std::size_t few, std::size_t drawn, std::size_t marked, std::size_t all) {
  const std::size_t plain = all - marked;
  const std::size_t least = drawn > plain ? drawn - plain : 0;  // the fewest there can be
  if (few >= std::min(drawn, marked)) return 1.0;
  if (few < least) return 0.0;
  const auto real = [](std::size_t n) { return static_cast<double>(n); };
  // Summed from `few` outwards, away from the mean, where terms fall off: nothing is lost to rounding.
  if (real(few) * real(all) > real(drawn) * real(marked))
    return 1.0 - chance_of_few(drawn - few - 1, drawn, plain, all);
  const auto log_choose = [&](std::size_t n, std::size_t k) {
    return std::lgamma(real(n) + 1.0) - std::lgamma(real(k) + 1.0) - std::lgamma(real(n - k) + 1.0);
  };
  double term = std::exp(log_choose(marked, few) + log_choose(plain, drawn - few) - log_choose(all, drawn));
  double sum = term;
  for (std::size_t k = few; k > least; --k) {
    term *= real(k) * real(plain + k - drawn) / (real(marked - k + 1) * real(drawn - k + 1));
    sum += term;
  }
  return sum;
}

Glance::Glance(const Scene& scene, const Gates& gates, const NearestNominal& nearest)
    : nominal_mm_(scene.points.nominal_mm),
      nearest_(nearest),
      gate_(gates.sigmas * gates.sigmas),
      reach_mm2_(gates.reach_mm * gates.reach_mm),
      taken_(scene.points.nominal_mm.size(), 0) {
  const std::size_t count = scene.points.measured_mm.size();
  std::vector<int> order(count);
  std::iota(order.begin(), order.end(), 0);
  std::mt19937 rng(1);
  for (std::size_t k = count; k > 1; --k) std::swap(order[k - 1], order[rng() % k]);
  for (const int i : order)
    holes_.push_back({scene.points.measured_mm[at(i)], gate_ * gates.variance_mm2[at(i)], i});
  explained_.reserve(count);
  ask_for(kBase);
}

void Glance::ask_for(std::size_t needed) {
  constexpr double kLost = 1e-6;
  constexpr double kFurther = 1.07;  // from one count to the next; some sixty on the largest part
  needed_ = needed;
  const std::size_t others = holes_.size() - kBase, marked = std::min(needed_ - kBase, others);
  least_.assign(others + 1, kBase);
  std::size_t few = 0;  // fewer than so many of the first n are too few
  for (std::size_t n = 1, next = 1; n <= others; ++n) {
    if (n == next) {
      while (few < n && chance_of_few(few, n, marked, others) < kLost) ++few;
      next = std::max(n + 1, static_cast<std::size_t>(kFurther * static_cast<double>(n)));
    }
    const std::size_t left = others - n;
    least_[n] = std::max(kBase + few, needed_ > left ? needed_ - left : 0);
  }
}

std::size_t Glance::operator()(const FastPose& pose, const Looseness& loose, std::span<const Pairing> base) {
  ++look_;
  explained_.assign(base.begin(), base.end());
  for (const Pairing& pair : base) taken_[at(pair.nominal)] = look_;
  const int one = base.empty() ? -1 : base.front().measured, other = base.empty() ? -1 : base.back().measured;
  const double shift_mm2 = gate_ * loose.shift_mm2, turn_rad2 = gate_ * loose.turn_rad2;
  std::size_t hits = kBase, looked = 0;
  for (const Hole& hole : holes_) {
    if (looked + 1 == least_.size()) break;
    if (hole.measured == one || hole.measured == other) continue;
    const double gate_mm2 =
        hole.gate_mm2 + shift_mm2 + turn_rad2 * (hole.p_mm - loose.middle_mm).squaredNorm();
    if (gate_mm2 > reach_mm2_) {
      ++hits;  // the pose is too loose to say
    } else {
      const Eigen::Vector2d q_mm = pose.to_pattern(hole.p_mm);
      const int a = nearest_(q_mm.x(), q_mm.y());
      if (a >= 0 && taken_[at(a)] != look_ && (nominal_mm_[at(a)] - q_mm).squaredNorm() <= gate_mm2) {
        taken_[at(a)] = look_;
        explained_.push_back({a, hole.measured});
        ++hits;
      }
    }
    if (hits < least_[++looked]) return 0;
  }
  return hits;
}

}  // namespace fairhole
