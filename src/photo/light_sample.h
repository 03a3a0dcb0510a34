// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>

#include "fairhole/photo/picture.h"

namespace fairhole::photo {

/// Pixels that must lie between a sampled point and the picture's border.
inline constexpr double kSampleMargin = 2.0;

/// Light between the pixels by cubic convolution (Keys 1981, a = -1/2: exact for quadratics, hardly widens
/// the blur, which bilinear sampling does by up to a quarter of a pixel squared).
inline double sample_light(const Picture& picture, double x, double y) {
  const int column = static_cast<int>(x), row = static_cast<int>(y);
  const auto weights = [](double t) {
    const double t2 = t * t, t3 = t2 * t;
    return std::array<double, 4>{-0.5 * t3 + t2 - 0.5 * t, 1.5 * t3 - 2.5 * t2 + 1.0,
                                 -1.5 * t3 + 2.0 * t2 + 0.5 * t, 0.5 * t3 - 0.5 * t2};
  };
  const auto across = weights(x - column), down = weights(y - row);
  const auto stride = static_cast<std::ptrdiff_t>(picture.width_px);
  const float* p = picture.light.data() + (row - 1) * stride + (column - 1);
  double sum = 0.0;
  for (std::size_t j = 0; j < 4; ++j, p += stride)
    sum += down[j] * (across[0] * static_cast<double>(p[0]) + across[1] * static_cast<double>(p[1]) +
                      across[2] * static_cast<double>(p[2]) + across[3] * static_cast<double>(p[3]));
  return sum;
}

/// The same by the plane through four pixels: quicker, for searching.
inline double sample_coarsely(const Picture& picture, double x, double y) {
  const int column = static_cast<int>(x), row = static_cast<int>(y);
  const double u = x - column, v = y - row;
  const auto stride = static_cast<std::ptrdiff_t>(picture.width_px);
  const float* p = picture.light.data() + row * stride + column;
  return (1.0 - v) * ((1.0 - u) * static_cast<double>(p[0]) + u * static_cast<double>(p[1])) +
         v * ((1.0 - u) * static_cast<double>(p[stride]) + u * static_cast<double>(p[stride + 1]));
}

}  // namespace fairhole::photo
