// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "neighbours.h"

#include <fmt/core.h>

#include <algorithm>

namespace fairhole::detail {
namespace {

/// The widest of a stack's holes in the metal that the other has too: its own, or the seat of a bush in a
/// part of both.
double widest_beside_mm(const Stack& own, const Stack& other, double hole_mm, double bush_outside_mm,
                        const std::vector<int>& bushed) {
  const auto shared = [&](int index) {
    const std::string& joint = own.layers[static_cast<std::size_t>(index)].joint;
    return std::any_of(other.layers.begin(), other.layers.end(),
                       [&joint](const OldLayer& layer) { return layer.joint == joint; });
  };
  const bool seat = std::any_of(bushed.begin(), bushed.end(), shared);
  return seat ? bush_outside_mm : hole_mm;
}

double pitch_mm(const Stack& own, const Stack& other, double widest_mm, const FairingRules& rules) {
  const double shank = std::max(own.fastener.diameter_mm, other.fastener.diameter_mm);
  return least_pitch_mm(rules.edges.least, shank, widest_mm);
}

}  // namespace

double pitch_asked_mm(const Stack& own, const Option& option, const Stack& other, const FairingRules& rules) {
  if (option.method == Method::kUndecided || option.method == Method::kLeaveOut) return 0.0;
  const double widest = widest_beside_mm(own, other, option.finish_mm, option.bush_outside_mm, option.bushed);
  return pitch_mm(own, other, widest, rules);
}

bool drawn_too_near(const Stack& a, const Stack& b, const FairingRules& rules) {
  const double asked = std::max(asked_finish_mm(a.fastener), asked_finish_mm(b.fastener));
  return (a.nominal_mm - b.nominal_mm).norm() < pitch_mm(a, b, asked, rules);
}

Limit pitch_limit(const Stack& own, const StackCase::Neighbour& beside, double hole_mm,
                  double bush_outside_mm, const std::vector<int>& bushed, const FairingRules& rules) {
  const double widest = widest_beside_mm(own, *beside.stack, hole_mm, bush_outside_mm, bushed);
  const double need = std::max(beside.least_mm, pitch_mm(own, *beside.stack, widest, rules));
  return {beside.normal, beside.offset_mm, need, fmt::format("hole {}", beside.stack->id)};
}

void keep_apart(StackCase& a, const Eigen::Vector2d& a_mm, StackCase& b, const Eigen::Vector2d& b_mm,
                double pitch_mm) {
  const Eigen::Vector2d along = (b_mm - a_mm).normalized();
  const double spare = (b_mm - a_mm).norm() - pitch_mm;
  const double of_a = along.dot(a_mm) + spare / 2.0, of_b = along.dot(b_mm) - spare / 2.0;
  a.neighbours.push_back({b.stack, -along, -of_b, pitch_mm});
  b.neighbours.push_back({a.stack, along, of_a, pitch_mm});
}

}  // namespace fairhole::detail
