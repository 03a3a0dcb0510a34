// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/fairing/assembly.h"
#include "fairhole/fairing/plan.h"
#include "fairhole/fits/catalogue.h"

/// The drilling layout of one new plate: pure data that drawings, sheet and report all read.
namespace fairhole {

/// What the marks are rounded to.
struct MarkOptions {
  double step_mm = 0.5;  ///< 0.5 mm, or 25.4/64 for 1/64 in
  bool inches = false;   ///< ordinates also written as inch fractions
};

struct LaidHole {
  std::string id;             ///< stack id
  Eigen::Vector2d centre_mm;  ///< plate frame, unrounded: what DXF and template use
  Eigen::Vector2d mark_mm;    ///< rounded ordinates, for the sheet only
  double rounding_mm = 0.0;   ///< |mark - centre|
  double finish_mm = 0.0;
  Finish finish = Finish::kBench;
  std::optional<double> pilot_mm;      ///< where finished in place
  double witness_mm = 0.0;             ///< diameter of the witness circle to scribe
  double pop_mm = 0.0;                 ///< width of the centre pop
  std::vector<DrillStep> bench_steps;  ///< pop mark apart: pilot, step drills, final drill, reamer
  std::vector<DrillStep> in_place_steps;
  int order = 0;          ///< 1, 2, ... in which to drill
  bool locating = false;  ///< drill and bolt first
  double odds = 0.0;
  Method method = Method::kUndecided;
  State state = State::kSettled;
  std::string note;
};

/// A distance to measure across the marked plate before drilling.
struct CheckDiagonal {
  std::string from, to;
  double length_mm = 0.0;     ///< between the rounded marks
  double tolerance_mm = 0.0;  ///< beyond it, look for a mistake: 3 sigma of marking and tape
};

/// Another plate that is drilled clamped to this one.
struct DrilledWith {
  std::string plate;
  bool other_hand = true;        ///< back to back; else one on the other the same way up
  std::vector<std::string> ids;  ///< holes that both get
};

struct PlateLayout {
  std::string plate;
  std::string hand;         ///< "LEFT", "RIGHT" or empty
  std::string marked_face;  ///< "outer"
  double thickness_mm = 0.0;
  std::string material;
  std::vector<Eigen::Vector2d> outline_mm;
  std::vector<KeepOut> keep_outs;
  std::optional<std::pair<Eigen::Vector2d, Eigen::Vector2d>> joint_line_mm;  ///< to the old plate
  std::vector<LaidHole> holes;                                               ///< in drilling order
  std::vector<CheckDiagonal> diagonals;
  MarkOptions marks;
  std::optional<DrilledWith> drilled_with;
};

/// What the plan does not know of a plate.
struct PlateFacts {
  std::string hand;         ///< "LEFT", "RIGHT" or empty
  std::string marked_face;  ///< "outer"
  std::string material;
  std::optional<std::pair<Eigen::Vector2d, Eigen::Vector2d>> joint_line_mm;
};

struct LayoutOptions {
  MarkOptions marks;
  DrillUnit drills = DrillUnit::kAny;
  Catalogue own = {};          ///< the shop's own drills, beside those of the list, and reamers
  double mark_sigma_mm = 0.2;  ///< of a scribed and punched mark, each axis; common practice
  double tape_sigma_mm = 0.3;  ///< of a distance read over two pops; resolution and centring, common practice
  int most_diagonals = 6;
};

/// The layout of one plate. Undecided and left out stacks have no place in it: nothing may be drilled there.
/// Order: the locating holes of each seat first, then what is finished on the bench, then what is finished in
/// place; within each by group, then x, then y. Problem: kLayoutNoPlate when the assembly has no such plate;
/// those of the drill chain.
Result<PlateLayout> lay_out(const Assembly& assembly, const Plan& plan, const std::string& plate,
                            const PlateFacts& facts = {}, const LayoutOptions& options = {});

/// Nearest mark: a multiple of the step from the datum corner in x and in y.
Eigen::Vector2d rounded_mark(const Eigen::Vector2d& centre_mm, const MarkOptions& marks);

/// Distances to check before drilling: the longest first, each next one the longest whose direction or ends
/// the ones before do not cover. They run from hole to hole, so they need no edge. Tolerance 3 sigma of two
/// marks and one tape reading.
std::vector<CheckDiagonal> check_diagonals(const std::vector<LaidHole>& holes, const LayoutOptions& options);

namespace codes {
inline constexpr Code kLayoutNoPlate{320};
}  // namespace codes

}  // namespace fairhole
