// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "fairhole/base/angle.h"
#include "fairhole/base/result.h"
#include "fairhole/geometry/pose.h"
#include "fairhole/pattern/hole.h"

namespace fairhole {

/// One hole of the drawing, in the pattern's frame (a plate's frame once placed).
struct NominalHole {
  HoleId id;
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  std::optional<double> diameter_mm;
};

using Pattern = std::vector<NominalHole>;

/// How a draughtsman states holes. Lengths in mm, pattern frame. `prefix` and `first` number them: A1, A2,
/// ... A row on a gauge line: holes at `start + i * pitch` in direction `direction`.
struct Row {
  std::string prefix;
  int first = 1;
  Eigen::Vector2d start_mm = Eigen::Vector2d::Zero();
  Angle direction;
  double pitch_mm = 0.0;
  int count = 0;
};

/// Rows side by side, `gauge_mm` apart to the left of `direction`; `stagger_mm` shifts every second row
/// along.
struct Grid {
  Row row;
  double gauge_mm = 0.0;
  int rows = 1;
  double stagger_mm = 0.0;
};

/// A bolt circle or an arc of one: the first hole at `start`, then every `step`.
struct BoltCircle {
  std::string prefix;
  int first = 1;
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double radius_mm = 0.0;
  Angle start;
  Angle step;
  int count = 0;
};

using PatternItem = std::variant<NominalHole, Row, Grid, BoltCircle>;

/// The holes of a drawing, in the order stated. `diameter_mm`, if given, goes to every hole without its own.
/// A grid is numbered row by row. `where` names the place of the list; problems add the item, counted from 1.
/// Problems (all of them, not the first alone): an id twice, a count below 1 or more than 10,000 holes in an
/// item, two holes on one spot (closer than 0.01 mm), non-finite numbers, a diameter that is not above 0.
Result<Pattern> expand(const std::vector<PatternItem>& items, std::optional<double> diameter_mm,
                       const std::string& where);

/// The other hand: every hole reflected in the pattern's x axis (y -> -y), ids kept.
Pattern other_hand(const Pattern& pattern);

/// Every hole carried by a motion (a placed pattern).
Pattern placed(const Pattern& pattern, const Motion& motion);

namespace codes {
inline constexpr Code kPatternBadCount{260};
inline constexpr Code kPatternIdTwice{261};
inline constexpr Code kPatternSameSpot{262};
inline constexpr Code kPatternNotFinite{263};
inline constexpr Code kPatternBadDiameter{264};
}  // namespace codes

}  // namespace fairhole
