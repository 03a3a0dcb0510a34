// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "reduced_picture.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace fairhole::photo {
namespace {

constexpr double kWorkingWidthPx = 1400.0;  // of the reduced picture's longer side

}  // namespace

double reduction_of(const Picture& picture) {
  return std::max(1.0, std::max(picture.width_px, picture.height_px) / kWorkingWidthPx);
}

cv::Mat reduced_light(const Picture& picture, cv::Size size) {
  cv::Mat light(picture.height_px, picture.width_px, CV_32F, const_cast<float*>(picture.light.data()));
  // Two by two first, which is quick and leaves a quarter for the other ratio.
  const bool halves = picture.width_px % 2 == 0 && picture.height_px % 2 == 0;
  if (halves && picture.width_px > 2 * size.width && picture.height_px > 2 * size.height) {
    cv::Mat half;
    cv::resize(light, half, {picture.width_px / 2, picture.height_px / 2}, 0, 0, cv::INTER_AREA);
    light = half;
  }
  cv::Mat small;  // a strip a few pixels wide keeps one
  cv::resize(light, small, {std::max(size.width, 1), std::max(size.height, 1)}, 0, 0, cv::INTER_AREA);
  return small;
}

cv::Mat reduced_tone(const Picture& picture, double factor) {
  cv::Mat tone = reduced_light(
      picture, {static_cast<int>(picture.width_px / factor), static_cast<int>(picture.height_px / factor)});
  cv::sqrt(cv::max(tone, 0.0F), tone);
  cv::GaussianBlur(tone, tone, {}, 0.8);
  return tone;
}

cv::Mat mask_of(cv::Size size, const std::vector<std::vector<Eigen::Vector2d>>& polygons, double factor) {
  cv::Mat mask(size, CV_8U, cv::Scalar(0));
  for (const auto& polygon : polygons) {
    std::vector<cv::Point> corners;
    for (const Eigen::Vector2d& p : polygon)
      corners.emplace_back(static_cast<int>(std::lround(p.x() / factor)),
                           static_cast<int>(std::lround(p.y() / factor)));
    if (corners.size() > 2) cv::fillPoly(mask, std::vector<std::vector<cv::Point>>{corners}, cv::Scalar(255));
  }
  return mask;
}

}  // namespace fairhole::photo
