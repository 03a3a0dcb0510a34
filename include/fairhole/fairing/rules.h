// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "fairhole/fits/drills.h"
#include "fairhole/fits/spacing.h"

/// What the user may set: costs, limits, how the plate is drilled. Every default is common practice of the
/// trade unless a source is named, and the user's own figure replaces it.
namespace fairhole {

/// What each kind of trouble costs; only the ratios count. Kept in this order, dearest first.
struct CostWeights {
  double plug = 100.0;         ///< an old hole plugged and drilled afresh
  double bush = 40.0;          ///< an old hole opened for a bush
  double odd_size = 10.0;      ///< a hole reamed to another size than the most of its group
  double oversize = 3.0;       ///< each step of FastenerSpec::sizes_mm above the size the job asks for
  double metal_per_cm3 = 1.0;  ///< metal taken from old parts
};

/// Centre to edge and centre to centre. Where the direction of load is not known the larger of a rule's two
/// ratios counts.
struct EdgeRules {
  EdgeRule least = edge_rule(SpacingRule::kEn1993);        ///< never less
  EdgeRule wanted = edge_rule(SpacingRule::kOldPractice);  ///< warned below it
};
double least_edge_mm(const EdgeRule& rule, double fastener_mm, double hole_mm);
double least_pitch_mm(const EdgeRule& rule, double fastener_mm, double hole_mm);

/// How the new plate's holes come to their places.
enum class DrillingWay { kMarkedOut, kTemplate, kCnc };
const char* drilling_way_name(DrillingWay way);  ///< "marked out by hand", "template", "CNC"

/// Error of a new hole's centre, each axis: uniform rounding to a step, then two normal errors.
struct DrillingErrors {
  double rounding_step_mm = 0.5;  ///< marks are rounded to this: +- half of it, evenly spread
  double punch_sigma_mm = 0.2;    ///< scribing and punching, or pasting the template and punching through it
  double wander_sigma_mm = 0.15;  ///< the drill's wander from the punch mark

  double variance_mm2() const;  ///< of one axis, all three together
};

/// Common practice: marked out 0.2 mm punch and 0.15 mm wander with marks rounded to `mark_step_mm`; template
/// 0.15 mm and 0.15 mm, no rounding; CNC 0.02 mm in all.
DrillingErrors drilling_errors(DrillingWay way, double mark_step_mm = 0.5);

struct FairingRules {
  CostWeights costs;
  EdgeRules edges;
  DrillingErrors drilling;
  /// How sure each layer must be to clean up or pass before a size is taken: old holes are grown by the
  /// radius that holds their error with this probability. Lower it to gamble on smaller sizes.
  double confidence = 0.95;
  double setting_sigma_mm = 0.25;   ///< of a part's place at each of its two locating holes, each axis
  double round_enough_mm = 0.2;     ///< ovality up to which a fitted bolt may be turned to the hole as found
  double rivet_slack_mm = 0.8;      ///< a rivet still fills a hole this much over its proper size
  double clearance_slack_mm = 2.0;  ///< a clearance bolt's washer still covers a hole this much over size
  double clear_play_mm = 0.2;       ///< a shank passes when the way through is at least this much wider
  double thread_clearance_mm =
      1.5;  ///< new hole less screw, where a fitted kind meets a tapped or blind hole
  double tear_allowance_mm =
      1.0;  ///< a torn hole is opened out this far beyond what was measured, on diameter
  std::optional<double> bush_wall_mm;  ///< least wall of a bush; absent: least_bush_wall_mm of its bore
  std::vector<Drill> own_drills;       ///< of the shop, beside those of drill_list()
  double least_pilot_mm = 6.0;         ///< pilots are not drilled smaller
  double drawing_zone_mm = 1.0;        ///< position tolerance of a hole that is drilled to the drawing alone
  int draws = 10000;                   ///< Monte Carlo draws for the odds
  std::uint64_t seed = 20240229;       ///< fixed: the same job gives the same digits
};

/// Least wall of a bush of this bore.
double least_wall_mm(const FairingRules& rules, double bore_mm);

}  // namespace fairhole
