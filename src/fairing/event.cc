// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>

#include "fairhole/fairing/decision.h"
#include "fairhole/geometry/circle.h"
#include "fairhole/geometry/statistics.h"
#include "limits.h"

namespace fairhole {
namespace {

// Gauss rules of three points: uniform over +-1, and standard normal.
constexpr std::array<double, 3> kUniformNode{-0.7745966692414834, 0.0, 0.7745966692414834};
constexpr std::array<double, 3> kUniformWeight{5.0 / 18.0, 8.0 / 18.0, 5.0 / 18.0};
constexpr std::array<double, 3> kNormalNode{-1.7320508075688772, 0.0, 1.7320508075688772};
constexpr std::array<double, 3> kNormalWeight{1.0 / 6.0, 2.0 / 3.0, 1.0 / 6.0};

// Chance that a centre off by `offset` stays within a radius that is itself uncertain; `drilling` null when
// the new hole's own error does not enter.
double chance_within(const Eigen::Vector2d& offset, Eigen::Matrix2d cov, double radius, double radius_sigma,
                     const DrillingErrors* drilling) {
  double half_step = 0.0;
  if (drilling != nullptr) {
    half_step = drilling->rounding_step_mm / 2.0;
    cov += (drilling->variance_mm2() - half_step * half_step / 3.0) * Eigen::Matrix2d::Identity();
  }
  const std::size_t uniform_nodes = half_step > 0.0 ? 3 : 1;
  const std::size_t normal_nodes = radius_sigma > 0.0 ? 3 : 1;
  double chance = 0.0;
  for (std::size_t i = 0; i < uniform_nodes; ++i) {
    for (std::size_t j = 0; j < uniform_nodes; ++j) {
      for (std::size_t k = 0; k < normal_nodes; ++k) {
        const Eigen::Vector2d rounding =
            half_step > 0.0 ? Eigen::Vector2d(half_step * kUniformNode[i], half_step * kUniformNode[j])
                            : Eigen::Vector2d::Zero();
        const double weight = (half_step > 0.0 ? kUniformWeight[i] * kUniformWeight[j] : 1.0) *
                              (radius_sigma > 0.0 ? kNormalWeight[k] : 1.0);
        const double grown = radius + (radius_sigma > 0.0 ? radius_sigma * kNormalNode[k] : 0.0);
        chance += weight * probability_in_circle(offset + rounding, cov, grown);
      }
    }
  }
  return chance;
}

Eigen::Vector2d nearest_axis_point(const LayerEvent& layer, const Eigen::Vector2d& shift,
                                   const Eigen::Vector2d& p) {
  const Eigen::Vector2d c = layer.centre_mm + shift;
  return detail::nearest_on_segment(p, c - layer.half_axis_mm, c + layer.half_axis_mm);
}

// The old hole that guides the finishing tool, if one does.
int guide_of(const StackEvent& event) {
  const auto guide = std::find_if(event.layers.begin(), event.layers.end(),
                                  [](const LayerEvent& layer) { return layer.role == Role::kGuides; });
  return guide == event.layers.end() ? -1 : static_cast<int>(guide - event.layers.begin());
}

// Chance that an enclosed layer does not clean up: both end discs must lie inside. The circle stands about
// the new hole as drilled, or about the hole that guides.
double enclosing_failure(const StackEvent& event, std::size_t index, const std::vector<Eigen::Matrix2d>& covs,
                         const DrillingErrors& drilling) {
  const LayerEvent& layer = event.layers[index];
  const int guide = guide_of(event);
  const double room = layer.opened_mm / 2.0 - layer.radius_mm;
  Eigen::Vector2d about = event.centre_mm;
  Eigen::Matrix2d cov = covs[index];
  if (guide >= 0) {
    about = event.layers[static_cast<std::size_t>(guide)].centre_mm;
    cov += covs[static_cast<std::size_t>(guide)];
  }
  const Eigen::Vector2d offset = layer.centre_mm - about;
  const auto failure = [&](const Eigen::Vector2d& at) {
    return 1.0 - chance_within(at, cov, room, layer.radius_sigma_mm, guide >= 0 ? nullptr : &drilling);
  };
  if (layer.half_axis_mm.isZero()) return failure(offset);
  return failure(offset + layer.half_axis_mm) + failure(offset - layer.half_axis_mm);
}

// Chances that the shank does not pass. With one old hole the shank finds its own place: it passes when the
// centres are no farther apart than both slacks together. With more, the shank is taken to stand where it was
// planned, and the new hole must reach it there.
double passing_failure(const StackEvent& event, const std::vector<Eigen::Matrix2d>& cov,
                       const DrillingErrors& drilling) {
  const auto passed = std::count_if(event.layers.begin(), event.layers.end(),
                                    [](const LayerEvent& layer) { return layer.role == Role::kPassed; });
  if (passed == 0) return 0.0;
  const double new_slack = event.new_hole_mm ? (*event.new_hole_mm - event.shank_mm) / 2.0 : 0.0;
  const bool alone = passed == 1 && event.new_hole_mm.has_value();
  const bool tight = event.new_hole_mm.has_value() && new_slack <= 0.0;
  double failure = 0.0;
  for (std::size_t i = 0; i < event.layers.size(); ++i) {
    const LayerEvent& layer = event.layers[i];
    if (layer.role != Role::kPassed) continue;
    const Eigen::Vector2d offset =
        nearest_axis_point(layer, Eigen::Vector2d::Zero(), event.centre_mm) - event.centre_mm;
    const double slack = layer.radius_mm - event.shank_mm / 2.0 + (alone ? new_slack : 0.0);
    failure += 1.0 - chance_within(offset, cov[i], slack, layer.radius_sigma_mm,
                                   alone || tight ? &drilling : nullptr);
  }
  if (!alone && !tight && event.new_hole_mm) {
    failure +=
        1.0 - chance_within(Eigen::Vector2d::Zero(), Eigen::Matrix2d::Zero(), new_slack, 0.0, &drilling);
  }
  return failure;
}

bool encloses(const LayerEvent& layer, const Eigen::Vector2d& offset, double radius) {
  const double room = layer.opened_mm / 2.0 - radius;
  return (offset + layer.half_axis_mm).norm() <= room && (offset - layer.half_axis_mm).norm() <= room;
}

}  // namespace

bool event_holds(const StackEvent& event, const std::vector<Eigen::Vector2d>& layer_shift_mm,
                 const Eigen::Vector2d& drill_shift_mm, const std::vector<double>& radius_error_mm) {
  const Eigen::Vector2d drilled = event.centre_mm + drill_shift_mm;
  const int guide = guide_of(event);
  const auto guiding = static_cast<std::size_t>(std::max(guide, 0));
  const Eigen::Vector2d opened =
      guide < 0 ? drilled : Eigen::Vector2d(event.layers[guiding].centre_mm + layer_shift_mm[guiding]);
  std::vector<Circle> way;
  for (std::size_t i = 0; i < event.layers.size(); ++i) {
    const LayerEvent& layer = event.layers[i];
    const double radius = layer.radius_mm + radius_error_mm[i];
    const Eigen::Vector2d& shift = layer_shift_mm[i];
    if (layer.role == Role::kEnclosed && !encloses(layer, layer.centre_mm + shift - opened, radius)) {
      return false;
    }
    if (layer.role == Role::kIgnored || layer.role == Role::kEnclosed) continue;
    const Eigen::Vector2d nearest = nearest_axis_point(layer, shift, drilled);
    if (layer.role == Role::kGuides && (nearest - drilled).norm() + event.pilot_mm / 2.0 > radius)
      return false;
    if (layer.role == Role::kPassed) way.push_back({nearest, std::max(radius, 0.0)});
  }
  if (way.empty()) return true;
  if (event.new_hole_mm) way.push_back({drilled, *event.new_hole_mm / 2.0});
  constexpr double kRoundingMm = 1e-9;  // a shank exactly as wide as its hole passes
  return largest_passing(way).circle.radius_mm >= event.shank_mm / 2.0 - kRoundingMm;
}

double event_lower_bound(const StackEvent& event, const std::vector<Eigen::Matrix2d>& layer_cov_mm2,
                         const DrillingErrors& drilling) {
  double failure = passing_failure(event, layer_cov_mm2, drilling);
  for (std::size_t i = 0; i < event.layers.size(); ++i) {
    const LayerEvent& layer = event.layers[i];
    if (layer.role == Role::kEnclosed) failure += enclosing_failure(event, i, layer_cov_mm2, drilling);
    if (layer.role == Role::kGuides) {
      const Eigen::Vector2d offset = layer.centre_mm - event.centre_mm;
      failure += 1.0 - chance_within(offset, layer_cov_mm2[i], layer.radius_mm - event.pilot_mm / 2.0,
                                     layer.radius_sigma_mm, &drilling);
    }
  }
  return std::clamp(1.0 - failure, 0.0, 1.0);
}

}  // namespace fairhole
