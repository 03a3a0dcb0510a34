// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

namespace fairhole::photo {

/// A step blurred by a Gaussian, at `t` blurs beyond it.
struct BlurredStep {
  double share = 0.0;  ///< Phi(t): how much of the step is done
  double bell = 0.0;   ///< its slope, the standard normal density
};

/// Cubic between nodes 1/32 apart from values and slopes: both right to 3e-8 (h^4/384 of the fourth
/// derivative; of the density, h^4/384 and less than 3). erfc() and exp() were a third of all fitting.
class BlurredSteps {
 public:
  BlurredSteps() {
    for (std::size_t k = 0; k < nodes_.size(); ++k) {
      const double t = static_cast<double>(k) / kPerUnit - kFarthest;
      nodes_[k] = {0.5 * std::erfc(-t / std::numbers::sqrt2),
                   std::exp(-0.5 * t * t) * std::numbers::inv_sqrtpi / std::numbers::sqrt2};
    }
  }
  BlurredStep at(double t) const {
    if (t >= kFarthest - 0.1) return {1.0, 0.0};
    if (t <= -kFarthest + 0.1) return {0.0, 0.0};
    const double place = (t + kFarthest) * kPerUnit;
    const auto k = static_cast<std::size_t>(place);
    const double u = place - static_cast<double>(k), v = 1.0 - u;
    const BlurredStep &a = nodes_[k], &b = nodes_[k + 1];
    // Hermite's cubic; the density's own slope is -t times it.
    const double ha = v * v * (1.0 + 2.0 * u), hb = u * u * (1.0 + 2.0 * v);
    const double sa = u * v * v / kPerUnit, sb = -u * u * v / kPerUnit;
    const double ta = t - u / kPerUnit, tb = ta + 1.0 / kPerUnit;
    return {ha * a.share + hb * b.share + sa * a.bell + sb * b.bell,
            (ha - sa * ta) * a.bell + (hb - sb * tb) * b.bell};
  }

 private:
  static constexpr double kPerUnit = 32.0, kFarthest = 6.5;
  std::array<BlurredStep, 2 * 208 + 2> nodes_;
};

inline BlurredStep blurred_step(double t) {
  static const BlurredSteps steps;
  return steps.at(t);
}

}  // namespace fairhole::photo
