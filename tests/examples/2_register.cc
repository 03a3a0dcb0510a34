// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Which hole is which: a part measured from its back (mirrored), turned by 90 degrees, one hole missing.
#include <fmt/format.h>

#include "fairhole/registration/registration.h"

int main() {
  using namespace fairhole;
  const Pattern drawn = {
      {"1", {0, 0}, {}}, {"2", {80, 0}, {}}, {"3", {200, 0}, {}}, {"4", {200, 60}, {}}, {"5", {0, 90}, {}}};
  // The part: every drawn point with y turned round, then a quarter turn, then shifted to (300, 100).
  const Motion face_from_pattern{{300, 100}, Angle::degrees(90), true};
  MeasuredFace face;
  for (const NominalHole& hole : drawn) {
    if (hole.id == "3") continue;
    MeasuredHole& measured = face.holes.emplace_back();
    measured.id = "M" + hole.id;
    measured.centre_mm = face_from_pattern * hole.centre_mm;
    measured.centre_cov_mm2 = 0.04 * Eigen::Matrix2d::Identity();  // 0.2 mm, 1 sigma
  }

  const auto found = Registrar{}(drawn, face);
  if (!found) return exit_status(found.problems());
  const Motion& pose = found->face_from_pattern.motion;
  fmt::print("turned {:.1f} degrees, {}, origin at {:.1f}, {:.1f}\n", pose.turn.degrees(),
             pose.mirrored ? "mirrored" : "as drawn", pose.shift_mm.x(), pose.shift_mm.y());
  for (const Match& match : found->matches) fmt::print("{} is {}\n", match.measured, match.nominal);
  for (const HoleId& id : found->missing) fmt::print("{} is missing\n", id);
}
