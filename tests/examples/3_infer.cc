// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// The drawing is lost: seven holes of a row 3 in apart, as measured. What was drawn?
#include <fmt/format.h>

#include <array>

#include "fairhole/inference/inference.h"

int main() {
  using namespace fairhole;
  constexpr std::array kScatterMm = {0.2, -0.1, -0.3, 0.1, 0.3, 0.0, -0.2};  // old holes are not exact
  MeasuredFace face;
  for (std::size_t i = 0; i < 7; ++i) {
    MeasuredHole& hole = face.holes.emplace_back();
    hole.id = fmt::format("H{}", i + 1);
    hole.centre_mm = {38.1 + 76.2 * static_cast<double>(i) + kScatterMm[i], 57.15 - kScatterMm[6 - i]};
    hole.centre_cov_mm2 = 0.01 * Eigen::Matrix2d::Identity();
  }

  const auto seen = PatternInference{}(face);
  if (!seen) return exit_status(seen.problems());
  const Row& row = std::get<Row>(seen->items.at(0).item);
  fmt::print("{} holes, pitch {}, first at {}, gauge {}\n", row.count, format_inches(row.pitch_mm),
             format_inches(row.start_mm.x()), format_inches(row.start_mm.y()));
}
