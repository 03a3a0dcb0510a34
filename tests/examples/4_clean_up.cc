// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Two old holes of one stack, 20.6 and 21.0 mm, 1.2 mm apart. The reamer that cleans both up needs
// 20.6/2 + 21.0/2 + 1.2 = 22.0 mm; a bolt that passes both may have 20.6/2 + 21.0/2 - 1.2 = 19.6 mm.
#include <fmt/format.h>

#include <array>

#include "fairhole/geometry/circle.h"

int main() {
  using namespace fairhole;
  const std::array holes = {Circle{{0.0, 0.0}, 10.3}, Circle{{1.2, 0.0}, 10.5}};
  const SupportedCircle reamer = smallest_enclosing(holes), bolt = largest_passing(holes);
  fmt::print("cleans up at {:.2f} mm, centre {:.2f} mm from the first\n", 2.0 * reamer.circle.radius_mm,
             reamer.circle.centre_mm.norm());
  fmt::print("passes {:.2f} mm\n", 2.0 * bolt.circle.radius_mm);
}
