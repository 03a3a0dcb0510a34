// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <vector>

#include "fairhole/registration/distortion.h"
#include "test_cases.h"

namespace fairhole::test {

using Shape = std::function<Eigen::Vector2d(const Eigen::Vector2d&)>;

/// Rows 30 and 70 mm from the datum edge (y = 0), seven holes each at 100 mm from x = 0; the inner row first.
inline std::vector<Eigen::Vector2d> two_rows_on_the_face() {
  std::vector<Eigen::Vector2d> holes;
  for (const double y : {30.0, 70.0}) {
    for (int i = 0; i < 7; ++i) holes.emplace_back(100.0 * i, y);
  }
  return holes;
}

}  // namespace fairhole::test
