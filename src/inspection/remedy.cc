// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>

#include "fairhole/base/length.h"
#include "fairhole/geometry/circle.h"
#include "steps.h"

namespace fairhole::inspection {
namespace {

std::string mm(double value_mm) { return format_mm(value_mm, 2); }

/// The circle that would clean up the hole as drilled and every old one that is reamed with it.
Circle cleaning_circle(const PlannedHole& planned, const HoleVerdict& hole) {
  std::vector<Circle> discs{{planned.centre_mm + *hole.offset_mm, hole.diameter_mm.value_or(0.0) / 2.0}};
  for (const MatingHole& mate : planned.mates) {
    if (mate.reamed && mate.diameter_mm) discs.push_back({mate.centre_mm, *mate.diameter_mm / 2.0});
  }
  return smallest_enclosing(discs).circle;
}

bool is_reamed_with_old(const PlannedHole& planned) {
  return std::any_of(planned.mates.begin(), planned.mates.end(),
                     [](const MatingHole& mate) { return mate.reamed && mate.diameter_mm; });
}

/// Off its place: solved again with the hole where it is.
std::string move_words(const PlannedHole& planned, const HoleVerdict& hole) {
  std::string text = fmt::format("It stands {} mm off, and {} mm is allowed. ", mm(hole.offset_mm->norm()),
                                 mm(hole.limits.zone_mm));
  if (!is_reamed_with_old(planned)) {
    if (planned.mates.empty()) return text + "Plug it and drill it afresh, or let the part be moved to suit.";
    return text + fmt::format(
                      "The old hole of {} does not guide a tool true through it: plug it and drill it "
                      "through the old part.",
                      planned.mates.front().part);
  }
  const Circle circle = cleaning_circle(planned, hole);
  const double needed_mm = 2.0 * circle.radius_mm;
  if (needed_mm <= planned.finish_mm) {
    return text + fmt::format(
                      "{} mm still cleans all layers up about x {}, y {}: set the reamer there, by a "
                      "bush or a guide, and tell the plan.",
                      mm(planned.finish_mm), mm(circle.centre_mm.x()), mm(circle.centre_mm.y()));
  }
  if (needed_mm <= planned.finished.max_mm) {
    return text + fmt::format(
                      "All layers clean up at {} mm or more about x {}, y {}: take the next size, or "
                      "plug the new hole and drill it afresh.",
                      mm(needed_mm), mm(circle.centre_mm.x()), mm(circle.centre_mm.y()));
  }
  return text + fmt::format(
                    "All layers would clean up at {} mm only, and {} mm is the most: plug the new hole "
                    "and drill it afresh.",
                    mm(needed_mm), mm(planned.finished.max_mm));
}

std::string size_words(const HoleVerdict& hole, Stage stage) {
  if (*hole.diameter_mm < hole.limits.min_mm) {
    return fmt::format("It is {} mm and must be {} mm at least: {}.", mm(*hole.diameter_mm),
                       mm(hole.limits.min_mm),
                       stage == Stage::kPilot ? "drill it to its pilot size" : "open it out");
  }
  return fmt::format(
      "It is {} mm and may be {} mm at most: run the plan again with this hole pinned to a larger "
      "size, or bush or plug it.",
      mm(*hole.diameter_mm), mm(hole.limits.max_mm));
}

/// How well it would have to be measured for an answer.
std::string measure_words(const HoleVerdict& hole) {
  std::string text;
  if (!hole.offset_mm) return "It was not measured: measure it.";
  if (hole.position == Verdict::kCannotSay) {
    const double room_mm = std::abs(hole.limits.zone_mm - hole.offset_mm->norm());
    const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> eigen(hole.offset_cov_mm2, Eigen::EigenvaluesOnly);
    text = fmt::format(
        "Its place is known to {} mm (1 sigma), too little at {} mm from the zone's rim: measure it "
        "again, to {} mm or better.",
        mm(std::sqrt(std::max(eigen.eigenvalues()[1], 0.0))), mm(room_mm),
        format_mm(room_mm / kGuardSigmas, 3));
  }
  if (hole.diameter == Verdict::kCannotSay) {
    if (!text.empty()) text += " ";
    if (!hole.diameter_mm) return text + "Its diameter was not measured: take it with a caliper, twice.";
    const double room_mm = std::min(std::abs(*hole.diameter_mm - hole.limits.min_mm),
                                    std::abs(hole.limits.max_mm - *hole.diameter_mm));
    text += fmt::format(
        "Its diameter is known to {} mm (1 sigma) and stands {} mm from a limit: gauge it more "
        "closely.",
        format_mm(hole.diameter_sigma_mm, 3), format_mm(room_mm, 3));
  }
  return text;
}

}  // namespace

std::string remedy_for(const PlannedHole& planned, const HoleVerdict& hole, Stage stage) {
  if (hole.verdict == Verdict::kConforming) return {};
  if (hole.verdict == Verdict::kCannotSay) return measure_words(hole);
  std::string text;
  if (hole.position == Verdict::kNotConforming) text = move_words(planned, hole);
  if (hole.diameter == Verdict::kNotConforming) text += (text.empty() ? "" : " ") + size_words(hole, stage);
  return text;
}

}  // namespace fairhole::inspection
