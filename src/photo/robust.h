// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>
#include <vector>

namespace fairhole::photo {

/// The middle value (the upper of two); 0 of none.
inline double middle_of(std::vector<double> values) {
  if (values.empty()) return 0.0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// 1.4826 times the median distance from the median: the standard deviation of normal values, deaf to a
/// minority of strays.
inline double robust_sd(std::vector<double> values) {
  const double centre = middle_of(values);
  for (double& value : values) value = std::abs(value - centre);
  return 1.4826 * middle_of(std::move(values));
}

}  // namespace fairhole::photo
