// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/flat_picture.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <opencv2/imgcodecs.hpp>
#include <optional>

namespace fairhole::photo {
namespace {

constexpr std::uint8_t kWhite = 255;
constexpr double kBorderPx = 2.0;
constexpr int kCell = 16;  // output pixels, each way, that come from one photograph

/// IEC 61966-2-1.
std::uint8_t file_value(double light) {
  const double v = std::clamp(light, 0.0, 1.0);
  return static_cast<std::uint8_t>(
      std::lround(255.0 * (v <= 0.0031308 ? 12.92 * v : 1.055 * std::pow(v, 1.0 / 2.4) - 0.055)));
}

/// Mean light about a pixel over the patch that one output pixel covers.
double light_at(const Picture& picture, const Eigen::Vector2d& pixel, double patch_px) {
  const int n = std::clamp(static_cast<int>(std::ceil(patch_px)), 1, 8);
  double sum = 0.0;
  for (int j = 0; j < n; ++j)
    for (int i = 0; i < n; ++i) {
      const double x = pixel.x() + patch_px * ((i + 0.5) / n - 0.5),
                   y = pixel.y() + patch_px * ((j + 0.5) / n - 0.5);
      sum += picture.between(std::clamp(x, 0.0, picture.width_px - 1.0),
                             std::clamp(y, 0.0, picture.height_px - 1.0));
    }
  return sum / (n * n);
}

/// The photograph that shows a point of the face largest.
struct Source {
  std::size_t picture = 0;
  double px_per_mm = 0.0;
};

std::optional<Source> largest_view(std::span<const Picture> pictures, std::span<const View> views,
                                   const Eigen::Vector2d& at) {
  std::optional<Source> best;
  for (std::size_t p = 0; p < pictures.size(); ++p) {
    const auto seen = project_with_slope(views[p], {at.x(), at.y(), 0.0});
    if (!seen || !pictures[p].holds(seen->pixel.x(), seen->pixel.y(), kBorderPx)) continue;
    const double scale = std::sqrt(std::abs(seen->slope.leftCols<2>().determinant()));
    if (!best || scale > best->px_per_mm) best = Source{p, scale};
  }
  return best;
}

/// From the photograph that is usual hereabouts, or at a photograph's border from any other.
std::optional<std::uint8_t> grey_at(std::span<const Picture> pictures, std::span<const View> views,
                                    const Eigen::Vector2d& at, const std::optional<Source>& usual,
                                    double mm_per_px) {
  const auto look = [&](const Source& source) -> std::optional<std::uint8_t> {
    const auto pixel = project(views[source.picture], {at.x(), at.y(), 0.0});
    if (!pixel || !pictures[source.picture].holds(pixel->x(), pixel->y(), 0.0)) return std::nullopt;
    return file_value(light_at(pictures[source.picture], *pixel, source.px_per_mm * mm_per_px));
  };
  if (usual)
    if (const auto grey = look(*usual)) return grey;
  const auto other = largest_view(pictures, views, at);
  return other ? look(*other) : std::nullopt;
}

}  // namespace

FlatPicture flatten(std::span<const Picture> pictures, std::span<const View> views,
                    const Motion& world_from_frame, const Eigen::Vector2d& low_mm,
                    const Eigen::Vector2d& high_mm, double mm_per_px) {
  FlatPicture flat;
  flat.low_mm = low_mm;
  flat.mm_per_px = mm_per_px;
  flat.width_px = std::max(1, static_cast<int>(std::lround((high_mm.x() - low_mm.x()) / mm_per_px)));
  flat.height_px = std::max(1, static_cast<int>(std::lround((high_mm.y() - low_mm.y()) / mm_per_px)));
  flat.grey.assign(static_cast<std::size_t>(flat.width_px) * static_cast<std::size_t>(flat.height_px),
                   kWhite);
  const auto at = [&](double x, double y) -> Eigen::Vector2d {
    return world_from_frame * Eigen::Vector2d(low_mm.x() + (x + 0.5) * mm_per_px,
                                              low_mm.y() + (flat.height_px - 0.5 - y) * mm_per_px);
  };
  for (int top = 0; top < flat.height_px; top += kCell)
    for (int left = 0; left < flat.width_px; left += kCell) {
      const auto usual = largest_view(pictures, views, at(left + 0.5 * kCell, top + 0.5 * kCell));
      for (int y = top; y < std::min(top + kCell, flat.height_px); ++y)
        for (int x = left; x < std::min(left + kCell, flat.width_px); ++x)
          if (const auto grey = grey_at(pictures, views, at(x, y), usual, mm_per_px))
            flat.grey[static_cast<std::size_t>(y) * static_cast<std::size_t>(flat.width_px) +
                      static_cast<std::size_t>(x)] = *grey;
    }
  return flat;
}

std::string encode_jpeg(const FlatPicture& picture, int quality) {
  cv::Mat image(picture.height_px, picture.width_px, CV_8UC1);
  std::copy(picture.grey.begin(), picture.grey.end(), image.data);
  std::vector<uchar> bytes;
  cv::imencode(".jpg", image, bytes, {cv::IMWRITE_JPEG_QUALITY, quality});
  return {bytes.begin(), bytes.end()};
}

}  // namespace fairhole::photo
