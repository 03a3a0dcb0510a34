// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "fairhole/job/photo_files.h"

namespace fairhole::job {
namespace {

constexpr double kReachMm = 4.0;     // a finger on a picture hits a hole that near to its centre ...
constexpr double kReachShare = 0.6;  // ... or within its own bore

photo::PhotoHole* hole_at(std::vector<photo::PhotoHole>& holes, const Eigen::Vector2d& at_mm) {
  photo::PhotoHole* nearest = nullptr;
  double least = 0.0;
  for (photo::PhotoHole& hole : holes) {
    const double away = (hole.centre_mm - at_mm).norm();
    if (away > std::max(kReachMm, kReachShare * hole.bore_diameter_mm)) continue;
    if (nearest == nullptr || away < least) {
      nearest = &hole;
      least = away;
    }
  }
  return nearest;
}

/// An id that the search gave gives way to one that a person gave.
void make_way(std::vector<photo::PhotoHole>& holes, const HoleId& name) {
  for (photo::PhotoHole& hole : holes) {
    if (hole.id != name) continue;
    std::size_t number = holes.size();
    HoleId other;
    do other = fmt::format("H{}", ++number);
    while (other == name || std::ranges::count(holes, other, &photo::PhotoHole::id) > 0);
    hole.id = other;
  }
}

void take_as_hole(const HandMark& mark, photo::PhotoHole& hole, bool pictures_disagree, PhotoFiles& files) {
  if (!mark.name.empty() && hole.id != mark.name) {
    make_way(files.reading.holes, mark.name);
    hole.id = mark.name;
  }
  if (!mark.name.empty()) files.named.insert(mark.name);
  if (!hole.doubtful || pictures_disagree) return;
  hole.doubtful = false;
  files.reading.adjusted.warnings.push_back(
      fmt::format("{} is taken as a hole by hand, although: {}", hole.id, fmt::join(hole.reasons, "; ")));
}

}  // namespace

void apply_by_hand(const std::vector<HandMark>& marks, PhotoFiles& files) {
  std::vector<photo::PhotoHole>& holes = files.reading.holes;
  for (const HandMark& mark : marks) {
    photo::PhotoHole* hole = hole_at(holes, mark.at_mm);
    if (hole == nullptr) {
      if (mark.is_hole)
        files.reading.adjusted.warnings.push_back(fmt::format(
            "no rim is found at x {:.1f}, y {:.1f}, where {} was marked by hand: look again", mark.at_mm.x(),
            mark.at_mm.y(), mark.name.empty() ? std::string("a hole") : "hole " + mark.name));
    } else if (mark.is_hole) {
      const auto index = static_cast<std::size_t>(hole - holes.data());
      take_as_hole(mark, *hole, files.reading.adjusted.holes[index].disagrees, files);
    } else {
      hole->doubtful = true;
      hole->reasons.emplace_back(kNoHoleByHand);
    }
  }
}

}  // namespace fairhole::job
