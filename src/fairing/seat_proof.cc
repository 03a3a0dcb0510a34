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

/// A stack's centre is free, so its pushes must cancel; what the solver left is spread over the discs that
/// push, least on those far away, where a little push counts for much; on those that tie stacks together only
/// where there are no others. A disc's weight is at least its push.
void balance(const SeatModel& model, int stack, std::span<Eigen::Vector3d> pushes) {
  const std::span<const SeatDisc> discs = model.discs(stack);
  const std::size_t first = model.first_disc(stack);
  Eigen::Vector2d left = Eigen::Vector2d::Zero();
  double total = 0.0;
  bool tied_only = true;
  for (std::size_t i = 0; i < pushes.size(); ++i)
    tied_only = tied_only && (pushes[i].isZero(0.0) || model.is_linked(first + i));
  const auto share = [&](std::size_t i) {
    const bool none = pushes[i].isZero(0.0) || (model.is_linked(first + i) && !tied_only);
    return none ? 0.0 : 1.0 / (1.0 + discs[i].centre_mm.squaredNorm());
  };
  for (std::size_t i = 0; i < pushes.size(); ++i) left += pushes[i].tail<2>(), total += share(i);
  for (std::size_t i = 0; i < pushes.size(); ++i) {
    if (share(i) == 0.0) continue;
    pushes[i].tail<2>() -= share(i) / total * left;
    pushes[i][0] = std::max(pushes[i][0], pushes[i].tail<2>().norm());
  }
}

}  // namespace

double SeatProof::excess_mm(std::span<const double> room_mm) const {
  double held = 0.0;
  for (std::size_t i = 0; i < weight.size(); ++i) {
    if (weight[i] > 0.0) held += weight[i] * room_mm[i];
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

std::vector<Eigen::Vector3d> with_pins(const SeatModel& model, std::span<const double> room_mm,
                                       std::vector<Eigen::Vector3d> multipliers) {
  const std::vector<SeatDisc>& discs = model.joint().discs;
  std::vector<Eigen::Vector2d> on_centre(model.joint().parts.size(), Eigen::Vector2d::Zero());
  for (std::size_t i = 0; i < discs.size(); ++i) {
    if (discs[i].pins) continue;
    for (const SeatFollow& follow : discs[i].follows) {
      on_centre[static_cast<std::size_t>(follow.part)] +=
          follow.by_shift.transpose() * multipliers[i].tail<2>();
    }
  }
  for (std::size_t i = 0; i < discs.size(); ++i) {
    if (!discs[i].pins || room_mm[i] == kNoLimit) continue;
    const Eigen::Vector2d& carried = on_centre[static_cast<std::size_t>(discs[i].follows.front().part)];
    multipliers[i] = {carried.norm(), -carried.x(), -carried.y()};
  }
  return multipliers;
}

// With y the push on a disc (sum 0 in each stack) and w >= |y| its weight, R the room it needs and z the
// stack's centre: w R >= |y| |c - z| >= y (c - z). Summed over all discs the centres z fall out.
SeatProof proof_of(const SeatModel& model, const TurnBox& box, std::span<const Eigen::Vector3d> multipliers) {
  SeatProof proof;
  std::vector<PartPush> on_part(model.joint().parts.size());
  std::vector<Eigen::Vector3d> pushes(multipliers.begin(), multipliers.end());
  for (int s = 0; s < model.stacks(); ++s)
    balance(model, s, std::span(pushes).subspan(model.first_disc(s), model.discs(s).size()));
  double floor = 0.0;
  double total = 0.0;
  for (std::size_t i = 0; i < pushes.size(); ++i) {
    const SeatDisc& disc = model.joint().discs[i];
    const Eigen::Vector2d y = -pushes[i].tail<2>();
    for (const SeatFollow& follow : disc.follows) {
      PartPush& push = on_part[static_cast<std::size_t>(follow.part)];
      push.shift += follow.by_shift.transpose() * y;
      push.sine += follow.by_sine_mm.dot(y);
      push.versine += follow.by_versine_mm.dot(y);
    }
    floor += y.dot(disc.centre_mm);
    proof.weight.push_back(pushes[i][0]);
    if (!disc.pins) total += pushes[i][0];
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
