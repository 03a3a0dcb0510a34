// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "fairhole/report/report_html.h"
#include "fairhole/report/sheets.h"
#include "words.h"

/// Invented plates for the tests: the wharf crane's toe plates and rows of holes at random.
namespace fairhole::report::test {

inline SheetTitle crane_title() {
  return {"Wharf crane No. 7 at Aldersey Basin", "2026-03-14", "4be1c07a92d3"};
}

struct HoleGroup {
  std::string prefix;
  Eigen::Vector2d start_mm, step_mm;
  int count = 0;
  double finish_mm = 0.0;
  Finish finish = Finish::kInPlace;
  double scatter_mm = 0.6;  ///< old holes stray so far from their row, 1 sigma
};

inline std::vector<DrillStep> bench_chain(const LaidHole& hole) {
  const double last = hole.pilot_mm.value_or(hole.finish_mm);
  return {{ToolKind::kPilot, 6.0, "6 mm"},
          {ToolKind::kStepDrill, 13.0, "13 mm"},
          {ToolKind::kFinalDrill, last, size_mm(last) + " mm"}};
}

inline LaidHole laid_hole(const std::string& id, const Eigen::Vector2d& centre_mm, const HoleGroup& group,
                          const MarkOptions& marks) {
  LaidHole hole;
  hole.id = id;
  hole.centre_mm = centre_mm;
  hole.mark_mm = (centre_mm / marks.step_mm).array().round() * marks.step_mm;
  hole.rounding_mm = (hole.mark_mm - hole.centre_mm).norm();
  hole.finish_mm = group.finish_mm;
  hole.finish = group.finish;
  if (group.finish == Finish::kInPlace) {
    hole.pilot_mm = std::floor(group.finish_mm - 1.5);
    hole.in_place_steps = {{ToolKind::kReamer, group.finish_mm, size_mm(group.finish_mm) + " mm"}};
  }
  hole.bench_steps = bench_chain(hole);
  hole.witness_mm = group.finish_mm + 6.0;
  hole.method = group.finish == Finish::kInPlace ? Method::kOpenOut : Method::kTransfer;
  hole.odds = 0.97;
  return hole;
}

inline std::vector<CheckDiagonal> diagonals_of(const PlateLayout& layout) {
  std::vector<CheckDiagonal> checks;
  const std::size_t n = layout.holes.size();
  for (std::size_t i = 0; i + 1 < n && checks.size() < 6; i += n / 6 + 1) {
    const LaidHole& a = layout.holes[i];
    const LaidHole& b = layout.holes[n - 1 - i / 2];
    checks.push_back({a.id, b.id, (a.mark_mm - b.mark_mm).norm(), 1.1});
  }
  return checks;
}

inline PlateLayout plate_with(const std::vector<HoleGroup>& groups,
                              const std::vector<Eigen::Vector2d>& outline_mm, const MarkOptions& marks,
                              std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::normal_distribution<double> normal;
  PlateLayout layout;
  layout.outline_mm = outline_mm;
  layout.marks = marks;
  layout.thickness_mm = 12.0;
  layout.material = "mild steel";
  for (const HoleGroup& group : groups) {
    for (int i = 0; i < group.count; ++i) {
      const Eigen::Vector2d stray{normal(random), normal(random)};
      layout.holes.push_back(laid_hole(fmt::format("{}{}", group.prefix, i + 1),
                                       group.start_mm + i * group.step_mm + group.scatter_mm * stray, group,
                                       marks));
    }
  }
  int order = 0;
  for (LaidHole& hole : layout.holes) hole.order = ++order;
  layout.diagonals = diagonals_of(layout);
  return layout;
}

/// A toe plate of the crane, 900 x 420: corner angle at the toe, two brackets, bearing guides, saddle.
inline PlateLayout toe_plate(const std::string& hand, const MarkOptions& marks = {}) {
  const double s = 22.225;
  PlateLayout layout =
      plate_with({{"A", {57.2, 63.5}, {0.0, 73.0}, 5, s},
                  {"B", {190.0, 345.0}, {76.2, 0.0}, 3, 20.6375, Finish::kBench},
                  {"C", {190.0, 285.0}, {76.2, 0.0}, 3, 20.6375, Finish::kBench},
                  {"G", {470.0, 100.0}, {0.0, 88.9}, 4, 19.05},
                  {"H", {560.0, 100.0}, {0.0, 88.9}, 4, 19.05},
                  {"S", {660.0, 60.0}, {57.15, 0.0}, 4, s},
                  {"T", {660.0, 130.0}, {57.15, 0.0}, 4, s}},
                 {{0, 0}, {900, 0}, {900, 420}, {120, 420}, {0, 300}}, marks, hand == "LEFT" ? 11 : 12);
  layout.holes.erase(layout.holes.begin() + 4);  // the fifth angle hole would stand in the chamfer
  layout.plate = hand == "LEFT" ? "toe plate, left" : "toe plate, right";
  layout.hand = hand;
  layout.marked_face = "outer";
  layout.joint_line_mm = {{900.0, 0.0}, {900.0, 420.0}};
  layout.keep_outs = {{"weld", {{860, 0}, {900, 0}, {900, 420}, {860, 420}}}};
  layout.holes[0].locating = layout.holes[3].locating = true;
  layout.holes[1].state = State::kLookAgain;
  layout.holes[1].odds = 0.41;
  layout.holes[1].note = "torn in the far angle; look before you ream";
  layout.holes[5].state = State::kPinned;
  layout.holes[20].note = "through plate and casting";
  return layout;
}

/// `count` holes in rows at random, no two closer than 2.5 diameters, on a plate 800 to 1200 mm long.
inline PlateLayout random_plate(int count, std::uint64_t seed, const MarkOptions& marks = {}) {
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> unit;
  const auto between = [&](double low, double high) { return low + (high - low) * unit(random); };
  const double length = between(800.0, 1200.0);
  const double depth = between(400.0, 600.0);
  PlateLayout layout = plate_with({}, {{0, 0}, {length, 0}, {length, depth}, {0, depth}}, marks, seed);
  layout.plate = "plate";
  layout.hand = "RIGHT";
  layout.marked_face = "inner";
  char letter = 'A';
  while (static_cast<int>(layout.holes.size()) < count) {
    const HoleGroup row{std::string(1, letter),
                        {between(30.0, length - 30.0), between(30.0, depth - 30.0)},
                        unit(random) < 0.5 ? Eigen::Vector2d{between(60.0, 100.0), between(-1.0, 1.0)}
                                           : Eigen::Vector2d{between(-1.0, 1.0), between(60.0, 100.0)},
                        6,
                        unit(random) < 0.5 ? 22.225 : 19.05,
                        unit(random) < 0.7 ? Finish::kInPlace : Finish::kBench};
    bool used = false;
    for (int i = 0; i < row.count && static_cast<int>(layout.holes.size()) < count; ++i) {
      const Eigen::Vector2d at =
          row.start_mm + i * row.step_mm + Eigen::Vector2d{between(-1, 1), between(-1, 1)};
      bool free = at.x() > 30.0 && at.y() > 30.0 && at.x() < length - 30.0 && at.y() < depth - 30.0;
      for (const LaidHole& hole : layout.holes) free = free && (hole.centre_mm - at).norm() > 2.5 * 22.225;
      if (!free) continue;
      layout.holes.push_back(laid_hole(fmt::format("{}{}", letter, i + 1), at, row, marks));
      used = true;
    }
    if (used) letter = letter == 'Z' ? 'a' : static_cast<char>(letter + 1);
  }
  layout.diagonals = diagonals_of(layout);
  return layout;
}

inline SeatPlan seat(const std::string& part, const std::string& face, const std::string& plate, double x_mm,
                     double y_mm, double turn_deg, const std::string& a, const std::string& b) {
  SeatPlan plan;
  plan.part = part;
  plan.face = face;
  plan.joint = part + " on " + plate;
  plan.plate = plate;
  plan.nominal.motion = {{x_mm - 0.8, y_mm + 0.4}, Angle{}, false};
  plan.plate_from_face.motion = {{x_mm, y_mm}, Angle::degrees(turn_deg), false};
  plan.along_mm = 0.8;
  plan.across_mm = -0.4;
  plan.turn = Angle::degrees(turn_deg);
  plan.locating_a = a;
  plan.locating_b = b;
  plan.set_x_mm = x_mm;
  plan.set_y_mm = y_mm;
  return plan;
}

inline std::vector<SeatPlan> toe_seats(const std::string& plate) {
  return {seat("corner angle, near", "plate leg", plate, 12.3, 8.4, 0.11, "A1", "A4"),
          seat("corner angle, far", "plate leg", plate, 12.0, 8.9, -0.06, "A1", "A4"),
          seat("winch bracket", "foot", plate, 160.0, 255.5, 0.0, "B1", "C3"),
          seat("bearing guide", "back", plate, 440.0, 62.0, 0.21, "G1", "G4")};
}

}  // namespace fairhole::report::test
