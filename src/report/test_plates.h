// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "test_data.h"

/// Plates for the tests of DXF and template, and their truth for tests/checks.
namespace fairhole::report::test {

/// 200 holes of 12 mm in ten rows on a plate of 1200 x 350 mm: 58 mm apart along a row, 32 mm from row to
/// row.
inline PlateLayout dense_plate() {
  std::vector<HoleGroup> rows;
  for (int row = 0; row < 10; ++row) {
    const Finish finish = row % 2 == 0 ? Finish::kInPlace : Finish::kBench;
    rows.push_back({std::string(1, static_cast<char>('A' + row)),
                    {48.0, 30.0 + 32.0 * row},
                    {58.0, 0.0},
                    20,
                    12.0,
                    finish});
  }
  PlateLayout layout = plate_with(rows, {{0, 0}, {1200, 0}, {1200, 350}, {0, 350}}, {}, 21);
  layout.plate = "side plate";
  layout.hand = "LEFT";
  layout.marked_face = "outer";
  return layout;
}

/// 0: the crane's toe plate; 200: the dense plate; else that many holes at random.
inline PlateLayout plate_of(int holes) {
  if (holes == 0) return toe_plate("LEFT");
  return holes == 200 ? dense_plate() : random_plate(holes, 42);
}

/// The holes as tests/checks read them: straight from the layout, not from a drawing.
inline std::string truth_json(const PlateLayout& layout, double x_sign = 1.0) {
  std::string out = "[";
  for (const LaidHole& hole : layout.holes) {
    out += fmt::format("{}{{\"id\":\"{}\",\"x\":{},\"y\":{},\"d\":{}}}", out.size() > 1 ? "," : "", hole.id,
                       x_sign * hole.centre_mm.x(), hole.centre_mm.y(), hole.finish_mm);
  }
  return out + "]";
}

}  // namespace fairhole::report::test
