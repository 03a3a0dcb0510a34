// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "rivals.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace fairhole {
namespace {

constexpr double kSameMm = 4.0;  // a rival's shift is a whole number of pitches to the scatter of old holes

/// The shortest step from a drawn hole to another in the direction of `shift_mm`; 0 where there is none.
double pitch_mm(const Eigen::Vector2d& shift_mm, const std::vector<Eigen::Vector2d>& nominal_mm) {
  constexpr std::size_t kMostHoles = 400;  // a longer list repeats itself
  const Eigen::Vector2d along = shift_mm.normalized();
  const std::size_t n = std::min(nominal_mm.size(), kMostHoles);
  double shortest = 0.0;
  for (std::size_t a = 0; a < n; ++a) {
    for (std::size_t b = 0; b < n; ++b) {
      const Eigen::Vector2d step = nominal_mm[b] - nominal_mm[a];
      const double length = along.dot(step);
      if (length < kSameMm || length > shift_mm.norm() + kSameMm) continue;
      if (std::abs(along.x() * step.y() - along.y() * step.x()) > 0.5) continue;
      if (shortest == 0.0 || length < shortest) shortest = length;
    }
  }
  return shortest;
}

std::string direction_words(const Eigen::Vector2d& shift_mm) {
  if (std::abs(shift_mm.x()) >= std::abs(shift_mm.y()))
    return shift_mm.x() > 0.0 ? "further along" : "back along";
  return shift_mm.y() > 0.0 ? "further across" : "back across";
}

std::string shift_words(const Eigen::Vector2d& shift_mm, const std::vector<Eigen::Vector2d>& nominal_mm) {
  const double length_mm = shift_mm.norm();
  const double least = std::min(std::abs(shift_mm.x()), std::abs(shift_mm.y()));
  if (least > kSameMm) {
    return fmt::format("{:.1f} mm {} and {:.1f} mm {}", std::abs(shift_mm.x()),
                       direction_words({shift_mm.x(), 0.0}), std::abs(shift_mm.y()),
                       direction_words({0.0, shift_mm.y()}));
  }
  const double pitch = pitch_mm(shift_mm, nominal_mm);
  const double count = pitch > 0.0 ? std::round(length_mm / pitch) : 0.0;
  if (count < 1.0 || std::abs(count * pitch - length_mm) > kSameMm)
    return fmt::format("{:.1f} mm {}", length_mm, direction_words(shift_mm));
  if (count == 1.0) return fmt::format("one pitch, {:.1f} mm, {}", pitch, direction_words(shift_mm));
  return fmt::format("{:.0f} pitches, {:.1f} mm, {}", count, count * pitch, direction_words(shift_mm));
}

std::string turn_words(double turn_deg, double same_deg) {
  const double size = std::abs(turn_deg);
  if (size <= same_deg) return {};
  if (180.0 - size <= same_deg) return "turned half round";
  if (std::abs(size - 90.0) <= same_deg) return "turned a quarter round";
  return fmt::format("turned by {:.1f} degrees", turn_deg);
}

}  // namespace

Difference difference(const Candidate& best, const Motion& rival,
                      const std::vector<Eigen::Vector2d>& nominal_mm) {
  const Motion drawn_from_drawn = best.pose.face_from_pattern.inverse() * rival;
  Eigen::Vector2d low = nominal_mm.front(), high = low, middle_mm = Eigen::Vector2d::Zero();
  for (const Eigen::Vector2d& p : nominal_mm) {
    low = low.cwiseMin(p);
    high = high.cwiseMax(p);
  }
  for (const Pairing& pair : best.pairs)
    middle_mm += nominal_mm[static_cast<std::size_t>(pair.nominal)] / static_cast<double>(best.pairs.size());
  const double radius_mm = std::max(0.5 * (high - low).norm(), kSameMm);
  const double same_deg = std::min(10.0, Angle::radians(kSameMm / radius_mm).degrees());
  const double turn_deg = std::remainder(drawn_from_drawn.turn.degrees(), 360.0);
  std::vector<std::string> parts;
  if (drawn_from_drawn.mirrored) parts.emplace_back("seen from the other side");
  if (const std::string words = turn_words(turn_deg, same_deg); !words.empty()) parts.push_back(words);
  const bool in_place = parts.empty();
  const Eigen::Vector2d shift_mm = drawn_from_drawn * middle_mm - middle_mm;
  if (in_place || shift_mm.norm() > kSameMm) parts.push_back(shift_words(shift_mm, nominal_mm));
  Difference out;
  for (std::size_t k = 0; k < parts.size(); ++k)
    out.how += (k == 0 ? "" : k + 1 == parts.size() ? " and " : ", ") + parts[k];
  out.tell_apart = drawn_from_drawn.mirrored ? "say which side was measured"
                   : in_place                ? "measure the end distance or name one hole"
                                             : "name one hole";
  return out;
}

std::vector<Swap> find_swaps(const Scene& scene, const Candidate& best, const Pattern& pattern,
                             const MeasuredFace& face, double least) {
  std::map<int, int> measured_of, nominal_of;
  for (const Pairing& pair : best.pairs) {
    measured_of[pair.nominal] = pair.measured;
    nominal_of[pair.measured] = pair.nominal;
  }
  TridiagonalForms forms(scene.points);
  std::vector<Swap> swaps;
  for (const Gain& gain : gated_gains(scene, best.pose.face_from_pattern, best.pose.cov, best.pose.scatter_mm,
                                      best.pairs.size())) {
    const Pairing& pair = gain.pair;
    const auto own = nominal_of.find(pair.measured);
    const auto other = measured_of.find(pair.nominal);
    if (other != measured_of.end() && other->second == pair.measured) continue;
    std::map<int, int> swapped = measured_of;
    if (own != nominal_of.end()) {
      swapped.erase(own->second);
      // The hole that stands there now takes the place that comes free.
      if (other != measured_of.end()) swapped[own->second] = other->second;
    }
    swapped[pair.nominal] = pair.measured;
    std::vector<Pairing> pairs;
    for (const auto& [nominal, measured] : swapped) pairs.push_back({nominal, measured});
    const auto candidate = with_pairs(scene, forms, std::move(pairs), best.pose.face_from_pattern);
    if (!candidate) continue;
    const double odds = 1.0 / (1.0 + std::exp(best.log_pairs - candidate->log_pairs));
    if (odds <= least) continue;
    swaps.push_back({face.holes[static_cast<std::size_t>(pair.measured)].id,
                     own == nominal_of.end() ? HoleId() : pattern[static_cast<std::size_t>(own->second)].id,
                     pattern[static_cast<std::size_t>(pair.nominal)].id, odds});
  }
  return swaps;
}

}  // namespace fairhole
