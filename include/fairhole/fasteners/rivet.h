// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fairhole/fasteners/head.h"
#include "fairhole/fasteners/stack.h"

namespace fairhole::fasteners {

struct RivetOrder {
  GripStack stack;
  double rivet_mm = 0.0;  ///< cold
  double hole_min_mm = 0.0;
  double hole_max_mm = 0.0;
  std::string made_head = "snap";     ///< the one it comes with, names of rivet_heads.csv
  std::string closing_head = "snap";  ///< the one formed on the work
};

/// Force to close a rivet with a press: 150 000 lbf/in^2 on the cold rivet's section for a hot one, twice
/// that cold (Marks' Handbook, 6th ed. 1958, p. 8-4 as quoted by a smiths' page). An estimate: head form,
/// heat and dwell move it.
struct PressForce {
  double newton = 0.0;
  double tonnes() const { return newton / 9806.65; }
  double long_tons() const { return newton / 9964.016; }  ///< of 2240 lbf
};
PressForce closing_force(double rivet_mm, bool hot = true);

struct RivetDesign {
  std::string stack;
  double rivet_mm = 0.0;
  Grip grip;
  HeadSize made_head, closing_head;
  /// To cut it to: under the made head; over all where that is countersunk. By volume: the shank fills the
  /// hole over the whole grip, and the closing head. For the mean hole, rounded to 0.5 mm, and for the hole's
  /// limits and grip's.
  double length_mm = 0.0;
  double least_length_mm = 0.0;
  double most_length_mm = 0.0;
  double rule_short_mm = 0.0;  ///< a maker's rule for snap heads: 1.1 grip + 1.3 d
  double rule_long_mm = 0.0;   ///< another's: grip + 1.5 d
  std::optional<Cup> cup;      ///< for a snap closing head
  PressForce hot, cold;
  std::vector<std::string> notes;  ///< plain sentences: what to do, and what speaks against it
};

/// Problems: kBadGrip; kBadRivet for a rivet or hole that cannot be; kNotInCatalogue for a head.
Result<RivetDesign> design_rivet(const RivetOrder& order, const Catalogue& catalogue);

namespace codes {
inline constexpr Code kBadRivet{451};  ///< a rivet that does not go into its hole, or no size at all
}  // namespace codes

}  // namespace fairhole::fasteners
