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

cv::Mat reduced_tone(const Picture& picture, double factor) {
  const cv::Mat light(picture.height_px, picture.width_px, CV_32F, const_cast<float*>(picture.light.data()));
  cv::Mat small, tone;
  cv::resize(
      light, small,
      cv::Size(static_cast<int>(picture.width_px / factor), static_cast<int>(picture.height_px / factor)), 0,
      0, cv::INTER_AREA);
  cv::sqrt(cv::max(small, 0.0F), tone);
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
