// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "dictionary.h"

#include <algorithm>
#include <cmath>
#include <opencv2/aruco.hpp>
#include <opencv2/imgproc.hpp>

#include "reduced_picture.h"

namespace fairhole::photo {
namespace {

struct NamedDictionary {
  const char* name;
  cv::aruco::PREDEFINED_DICTIONARY_NAME number;
};
constexpr std::array kDictionaries{
    NamedDictionary{"DICT_4X4_50", cv::aruco::DICT_4X4_50},
    NamedDictionary{"DICT_4X4_100", cv::aruco::DICT_4X4_100},
    NamedDictionary{"DICT_4X4_250", cv::aruco::DICT_4X4_250},
    NamedDictionary{"DICT_4X4_1000", cv::aruco::DICT_4X4_1000},
    NamedDictionary{"DICT_5X5_50", cv::aruco::DICT_5X5_50},
    NamedDictionary{"DICT_5X5_100", cv::aruco::DICT_5X5_100},
    NamedDictionary{"DICT_5X5_250", cv::aruco::DICT_5X5_250},
    NamedDictionary{"DICT_5X5_1000", cv::aruco::DICT_5X5_1000},
    NamedDictionary{"DICT_6X6_50", cv::aruco::DICT_6X6_50},
    NamedDictionary{"DICT_6X6_100", cv::aruco::DICT_6X6_100},
    NamedDictionary{"DICT_6X6_250", cv::aruco::DICT_6X6_250},
    NamedDictionary{"DICT_6X6_1000", cv::aruco::DICT_6X6_1000},
    NamedDictionary{"DICT_7X7_50", cv::aruco::DICT_7X7_50},
    NamedDictionary{"DICT_7X7_100", cv::aruco::DICT_7X7_100},
    NamedDictionary{"DICT_7X7_250", cv::aruco::DICT_7X7_250},
    NamedDictionary{"DICT_7X7_1000", cv::aruco::DICT_7X7_1000},
};

cv::Ptr<cv::aruco::Dictionary> dictionary(const std::string& name) {
  const auto found = std::ranges::find(kDictionaries, name, &NamedDictionary::name);
  return found == kDictionaries.end() ? nullptr : cv::aruco::getPredefinedDictionary(found->number);
}

/// Long sides of the pictures searched; the full size comes last.
constexpr std::array kLevelsPx{1000, 2000, 4000};
/// A marker of this side shows its cells well: a finer picture would bring no more of them.
constexpr double kPlainSidePx = 24.0;
constexpr std::size_t kEnough = 3;

/// The picture made smaller by whole-area averages, in 8 bits with an even spread of greys.
cv::Mat level(const Picture& picture, double shrink, bool mirrored) {
  cv::Mat grey, small = reduced_light(picture, {static_cast<int>(std::lround(picture.width_px / shrink)),
                                                static_cast<int>(std::lround(picture.height_px / shrink))});
  cv::sqrt(small, small);
  small.convertTo(grey, CV_8U, 255.0);
  if (mirrored) cv::flip(grey, grey, 1);
  return grey;
}

double side_px(const RoughMarker& marker) {
  double sum = 0.0;
  for (std::size_t i = 0; i < 4; ++i) sum += (marker.corners_px[(i + 1) % 4] - marker.corners_px[i]).norm();
  return sum / 4.0;
}

std::vector<RoughMarker> search_level(const cv::Mat& grey, const Picture& picture,
                                      const cv::Ptr<cv::aruco::Dictionary>& dict) {
  const auto parameters = cv::aruco::DetectorParameters::create();
  parameters->cornerRefinementMethod = cv::aruco::CORNER_REFINE_NONE;
  parameters->minMarkerPerimeterRate = 0.02;  // of the longer side
  std::vector<std::vector<cv::Point2f>> corners;
  std::vector<int> ids;
  cv::aruco::detectMarkers(grey, dict, corners, ids, parameters);
  const double shrink_x = static_cast<double>(picture.width_px) / grey.cols;
  const double shrink_y = static_cast<double>(picture.height_px) / grey.rows;
  std::vector<RoughMarker> found;
  for (std::size_t i = 0; i < ids.size(); ++i) {
    RoughMarker marker{.id = ids[i], .error_px = 1.5 * shrink_x};
    for (std::size_t c = 0; c < 4; ++c)  // the centre of the first pixel is (0, 0) at every level
      marker.corners_px[c] = {(corners[i][c].x + 0.5) * shrink_x - 0.5,
                              (corners[i][c].y + 0.5) * shrink_y - 0.5};
    found.push_back(marker);
  }
  return found;
}

}  // namespace

std::vector<std::string> dictionary_names() {
  std::vector<std::string> names;
  for (const NamedDictionary& d : kDictionaries) names.emplace_back(d.name);
  return names;
}

std::optional<DictionaryFacts> dictionary_facts(const std::string& name) {
  const auto dict = dictionary(name);
  if (!dict) return std::nullopt;
  return DictionaryFacts{dict->bytesList.rows, dict->markerSize};
}

std::vector<std::vector<bool>> marker_cells(const std::string& name, int id) {
  const auto dict = dictionary(name);
  const cv::Mat bits =
      cv::aruco::Dictionary::getBitsFromByteList(dict->bytesList.rowRange(id, id + 1), dict->markerSize);
  std::vector<std::vector<bool>> cells;
  for (int y = 0; y < bits.rows; ++y) {
    std::vector<bool> row;
    for (int x = 0; x < bits.cols; ++x) row.push_back(bits.at<unsigned char>(y, x) != 0);
    cells.push_back(row);
  }
  return cells;
}

std::vector<RoughMarker> search_markers(const Picture& picture, const std::string& name, bool mirrored) {
  const auto dict = dictionary(name);
  const int long_side = std::max(picture.width_px, picture.height_px);
  std::vector<RoughMarker> best;
  for (std::size_t i = 0; i < kLevelsPx.size(); ++i) {
    const double shrink = std::max(1.0, static_cast<double>(long_side) / kLevelsPx[i]);
    std::vector<RoughMarker> found = search_level(level(picture, shrink, mirrored), picture, dict);
    if (found.size() >= best.size()) best = std::move(found);
    if (best.size() >= kEnough) {
      std::vector<double> sides;
      for (const RoughMarker& marker : best) sides.push_back(side_px(marker));
      std::ranges::nth_element(sides, sides.begin() + static_cast<std::ptrdiff_t>(sides.size() / 2));
      if (sides[sides.size() / 2] / shrink >= kPlainSidePx) break;
    }
    if (shrink <= 1.0) break;
  }
  return best;
}

}  // namespace fairhole::photo
