// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "seat_search.h"

namespace fairhole::detail {
namespace {

/// What the pushes come to on one part.
struct PartPush {
  Eigen::Vector2d shift = Eigen::Vector2d::Zero();
  double sine = 0.0;
  double versine = 0.0;
};

double least_on_range(double slope, const SeatRange& range) {
  return std::min(slope * range.least, slope * range.most);
}

/// A stack's centre is free, so its pushes must cancel; what the solver left is spread evenly. A disc's
/// weight is at least its push.
void balance(std::span<Eigen::Vector3d> pushes) {
  Eigen::Vector2d mean = Eigen::Vector2d::Zero();
  for (const Eigen::Vector3d& push : pushes) mean += push.tail<2>() / static_cast<double>(pushes.size());
  for (Eigen::Vector3d& push : pushes) {
    push.tail<2>() -= mean;
    push[0] = std::max(push[0], push.tail<2>().norm());
  }
}

}  // namespace

double SeatProof::excess_mm(std::span<const double> limit_radius_mm) const {
  double held = 0.0;
  for (std::size_t s = 0; s < weight.size(); ++s) {
    if (weight[s] > 0.0) held += weight[s] * limit_radius_mm[s];
  }
  return floor_mm - held;
}

double least_on_arc(double a, double b, const SeatRange& range) {
  const auto value = [&](double t) {
    const double half_sine = std::sin(t / 2.0);
    return a * std::sin(t) + b * 2.0 * half_sine * half_sine;
  };
  const double bottom = std::atan2(-a, b);
  const double ends = std::min(value(range.least), value(range.most));
  return bottom > range.least && bottom < range.most ? std::min(ends, b - std::hypot(a, b)) : ends;
}

// With y the push on a disc (sum 0 in each stack) and w >= |y| its weight, R the stack's clean-up radius and
// z its centre: w (R - r) >= |y| |c - z| >= -y (c - z). Summed over all discs the centres z fall out.
SeatProof proof_of(const SeatModel& model, const TurnBox& box, std::span<const Eigen::Vector3d> multipliers) {
  SeatProof proof;
  proof.weight.assign(static_cast<std::size_t>(model.stacks()), 0.0);
  std::vector<PartPush> on_part(model.joint().parts.size());
  std::vector<Eigen::Vector3d> pushes(multipliers.begin(), multipliers.end());
  double floor = 0.0;
  double total = 0.0;
  std::size_t at = 0;
  for (int s = 0; s < model.stacks(); ++s) {
    const std::span<const SeatDisc> discs = model.discs(s);
    const std::span<Eigen::Vector3d> own(pushes.data() + at, discs.size());
    at += discs.size();
    balance(own);
    for (std::size_t i = 0; i < discs.size(); ++i) {
      const Eigen::Vector2d y = -own[i].tail<2>();
      PartPush& push = on_part[static_cast<std::size_t>(discs[i].part)];
      push.shift += discs[i].by_shift.transpose() * y;
      push.sine += discs[i].by_sine_mm.dot(y);
      push.versine += discs[i].by_versine_mm.dot(y);
      floor += y.dot(discs[i].centre_mm) + own[i][0] * discs[i].radius_mm;
      proof.weight[static_cast<std::size_t>(s)] += own[i][0];
      total += own[i][0];
    }
  }
  for (std::size_t p = 0; p < on_part.size(); ++p) {
    const SeatPlay& play = model.joint().parts[p];
    floor += least_on_range(on_part[p].shift.x(), play.dx_mm) +
             least_on_range(on_part[p].shift.y(), play.dy_mm) +
             least_on_arc(on_part[p].sine, on_part[p].versine, box[p]);
  }
  if (!(total > 0.0)) {
    proof.floor_mm = -kNoLimit;
    return proof;
  }
  for (double& w : proof.weight) w /= total;
  proof.floor_mm = floor / total;
  return proof;
}

}  // namespace fairhole::detail
