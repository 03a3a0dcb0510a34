// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <opencv2/core.hpp>
#include <vector>

#include "fairhole/photo/picture.h"

/// A picture small enough to be searched as a whole.
namespace fairhole::photo {

/// How many pixels of the picture make one of the reduced one (1 or more). A reduced pixel (x, y) lies at
/// (x + 0.5) * factor - 0.5 of the picture.
double reduction_of(const Picture& picture);

/// The picture's light as averages over the areas of fewer pixels.
cv::Mat reduced_light(const Picture& picture, cv::Size size);

/// Square root of the light (so that dark edges count as well), averaged and slightly smoothed.
cv::Mat reduced_tone(const Picture& picture, double factor);

/// 255 within the polygons, which are given in pixels of the full picture.
cv::Mat mask_of(cv::Size size, const std::vector<std::vector<Eigen::Vector2d>>& polygons, double factor);

}  // namespace fairhole::photo
