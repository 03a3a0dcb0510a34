// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "candidates.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <tuple>

#include "reduced_picture.h"
#include "rim_model.h"
#include "steps.h"

namespace fairhole::photo {
namespace {

constexpr double kBandRatio = 1.22;     // radii of one voting band
constexpr double kEdgeShare = 0.16;     // of the pixels: the strongest slopes are edges
constexpr int kGridPx = 16;             // between points where the face is worked out exactly
constexpr double kLeastRadiusPx = 3.5;  // of the reduced picture; smaller circles are not resolved
constexpr std::size_t kPeaksPerBand = 60;
constexpr double kSpread = 0.11;  // of the radius: how far the directions of edges scatter their votes
constexpr int kApartPx = 3;
constexpr int kDirections = 48;
constexpr double kDirectionCos = 0.88;  // an edge's normal may be 28 degrees off the radius
constexpr double kWorthALook = 0.33, kLeastCover = 0.5;
constexpr int kMostMoves = 3;

/// An edge pixel of the reduced picture: its place, and per mm on the face along its normal the way in the
/// picture (the affine map of the neighbourhood).
struct FaceEdge {
  cv::Point2f px;
  cv::Point2f px_per_mm;
  float weight;
};

/// The face's affine map at the points of a coarse grid.
class FaceGrid {
 public:
  FaceGrid(const View& view, cv::Size size, double factor)
      : columns_(size.width / kGridPx + 2),
        jacobians_(static_cast<std::size_t>(columns_ * (size.height / kGridPx + 2))) {
    for (int row = 0;
         row * kGridPx <= size.height + kGridPx - 1 && row < static_cast<int>(jacobians_.size()) / columns_;
         ++row)
      for (int column = 0; column < columns_; ++column) {
        const Eigen::Vector2d pixel = ((Eigen::Vector2d(column, row) * kGridPx).array() + 0.5) * factor - 0.5;
        const auto face = meet_plane(view, pixel);
        if (face) at(column, row) = face_jacobian(view, *face).cast<float>() / static_cast<float>(factor);
      }
  }
  /// d reduced pixel / d face mm about a pixel; zero where the face is not seen.
  const Eigen::Matrix2f& near(int x, int y) const {
    return jacobians_[static_cast<std::size_t>((y + kGridPx / 2) / kGridPx * columns_ +
                                               (x + kGridPx / 2) / kGridPx)];
  }

 private:
  Eigen::Matrix2f& at(int column, int row) {
    return jacobians_[static_cast<std::size_t>(row * columns_ + column)];
  }
  int columns_;
  std::vector<Eigen::Matrix2f> jacobians_;
};

/// The slope's size below which `share` of all pixels lie.
float slope_limit(const cv::Mat& size, double share) {
  std::vector<float> some;
  for (int y = 0; y < size.rows; y += 4)
    for (int x = 0; x < size.cols; x += 4) some.push_back(size.at<float>(y, x));
  const auto place = some.begin() + static_cast<std::ptrdiff_t>(static_cast<double>(some.size() - 1) * share);
  std::nth_element(some.begin(), place, some.end());
  return *place;
}

std::vector<FaceEdge> face_edges(const cv::Mat& tone, const cv::Mat& mask, const FaceGrid& grid) {
  cv::Mat gx, gy, size;
  cv::Scharr(tone, gx, CV_32F, 1, 0, 1.0 / 32.0);
  cv::Scharr(tone, gy, CV_32F, 0, 1, 1.0 / 32.0);
  cv::magnitude(gx, gy, size);
  const float limit = slope_limit(size, 1.0 - kEdgeShare);
  // Row by row in parallel, and put together in their order.
  std::vector<std::vector<FaceEdge>> rows(static_cast<std::size_t>(tone.rows));
  cv::parallel_for_({2, std::max(2, tone.rows - 2)}, [&](const cv::Range& range) {
    for (int y = range.start; y < range.end; ++y)
      for (int x = 2; x + 2 < tone.cols; ++x) {
        const float here = size.at<float>(y, x);
        if (here < limit || mask.at<uchar>(y, x)) continue;
        const Eigen::Vector2f slope(gx.at<float>(y, x), gy.at<float>(y, x));
        // Thin: a crest across the edge.
        const int dx = std::abs(slope.x()) > 0.4F * std::abs(slope.y()) ? (slope.x() > 0 ? 1 : -1) : 0;
        const int dy = std::abs(slope.y()) > 0.4F * std::abs(slope.x()) ? (slope.y() > 0 ? 1 : -1) : 0;
        if (size.at<float>(y + dy, x + dx) > here || size.at<float>(y - dy, x - dx) >= here) continue;
        const Eigen::Matrix2f& map = grid.near(x, y);
        // A slope of the picture carried to the face (covariant), and from there the way along it.
        const Eigen::Vector2f on_face = map.transpose() * slope;
        const float length = on_face.norm();
        if (!(length > 0.0F)) continue;
        const Eigen::Vector2f way = map * (on_face / length);
        rows[static_cast<std::size_t>(y)].push_back({{static_cast<float>(x), static_cast<float>(y)},
                                                     {way.x(), way.y()},
                                                     std::min(1.0F, here / (3.0F * limit))});
      }
  });
  std::vector<FaceEdge> edges;
  for (const std::vector<FaceEdge>& row : rows) edges.insert(edges.end(), row.begin(), row.end());
  return edges;
}

/// Votes of one band of radii, blurred by the spread of the edges' directions. `coarse` pixels count as one:
/// the blur of a wide band leaves nothing finer.
cv::Mat band_votes(const std::vector<FaceEdge>& edges, cv::Size size, double from_mm, double to_mm,
                   int coarse) {
  cv::Mat votes(size.height / coarse + 1, size.width / coarse + 1, CV_32F, cv::Scalar(0));
  for (const FaceEdge& edge : edges) {
    const double scale = std::hypot(edge.px_per_mm.x, edge.px_per_mm.y);
    if (to_mm * scale < kLeastRadiusPx) continue;
    const int steps = std::max(1, static_cast<int>(std::ceil((to_mm - from_mm) * scale / coarse)));
    const float step = static_cast<float>((to_mm - from_mm) / steps);
    // A full circle about a centre gives 1: its girth in pixels times one vote.
    const auto share = static_cast<float>(coarse * static_cast<double>(edge.weight) /
                                          (2.0 * std::numbers::pi * 0.5 * (from_mm + to_mm) * scale));
    const cv::Point2f unit = edge.px_per_mm * (1.0F / static_cast<float>(coarse));
    const cv::Point2f start((edge.px.x + 0.5F) / static_cast<float>(coarse) - 0.5F,
                            (edge.px.y + 0.5F) / static_cast<float>(coarse) - 0.5F);
    for (const float sign : {-1.0F, 1.0F})
      for (int k = 0; k < steps; ++k) {
        const float radius = sign * (static_cast<float>(from_mm) + (static_cast<float>(k) + 0.5F) * step);
        const int x = cvRound(start.x + radius * unit.x), y = cvRound(start.y + radius * unit.y);
        if (x >= 0 && y >= 0 && x < votes.cols && y < votes.rows) votes.at<float>(y, x) += share;
      }
  }
  return votes;
}

struct Peak {
  cv::Point px;
  float votes;
};

std::vector<Peak> peaks_of(const cv::Mat& votes, const cv::Mat& mask, int apart, int coarse) {
  cv::Mat highest;
  cv::dilate(votes, highest, cv::getStructuringElement(cv::MORPH_RECT, {2 * apart + 1, 2 * apart + 1}));
  std::vector<Peak> peaks;
  for (int y = 0; y < votes.rows; ++y)
    for (int x = 0; x < votes.cols; ++x) {
      const float here = votes.at<float>(y, x);
      if (here <= 0.05F || here < highest.at<float>(y, x)) continue;
      const cv::Point px(std::min(x * coarse + coarse / 2, mask.cols - 1),
                         std::min(y * coarse + coarse / 2, mask.rows - 1));
      if (!mask.at<uchar>(px)) peaks.push_back({px, here});
    }
  // Equal votes by their place, so that one order is the only one.
  const auto before = [](const Peak& a, const Peak& b) {
    return std::tuple(b.votes, a.px.y, a.px.x) < std::tuple(a.votes, b.px.y, b.px.x);
  };
  const std::size_t kept = std::min(peaks.size(), kPeaksPerBand);
  std::partial_sort(peaks.begin(), peaks.begin() + static_cast<std::ptrdiff_t>(kept), peaks.end(), before);
  peaks.resize(kept);
  return peaks;
}

/// The edges in bins, to ask for those about a place.
class EdgeIndex {
 public:
  EdgeIndex(const std::vector<FaceEdge>& edges, cv::Size size)
      : columns_(size.width / kGridPx + 1),
        rows_(size.height / kGridPx + 1),
        bins_(static_cast<std::size_t>(columns_ * rows_)) {
    for (const FaceEdge& edge : edges)
      bins_[static_cast<std::size_t>(static_cast<int>(edge.px.y) / kGridPx * columns_ +
                                     static_cast<int>(edge.px.x) / kGridPx)]
          .push_back(&edge);
  }
  template <class Visit>
  void about(cv::Point2f centre, double reach, const Visit& visit) const {
    const auto bin = [](double v, int most) {
      return std::clamp(static_cast<int>(v) / kGridPx, 0, most - 1);
    };
    for (int row = bin(centre.y - reach, rows_); row <= bin(centre.y + reach, rows_); ++row)
      for (int column = bin(centre.x - reach, columns_); column <= bin(centre.x + reach, columns_); ++column)
        for (const FaceEdge* edge : bins_[static_cast<std::size_t>(row * columns_ + column)]) visit(*edge);
  }

 private:
  int columns_, rows_;
  std::vector<std::vector<const FaceEdge*>> bins_;
};

struct Round {
  double radius_mm = 0.0, cover = 0.0;
};

/// The radius between the limits at which most directions about a centre meet an edge square to the radius.
Round best_round(const EdgeIndex& index, const Eigen::Matrix2f& map, cv::Point2f centre, double from_mm,
                 double to_mm) {
  const Eigen::Matrix2f back = map.inverse();
  const double scale = std::sqrt(std::abs(static_cast<double>(map.determinant())));
  const double bin_mm = std::max(1.0 / scale, 0.04 * from_mm);
  const auto bins = static_cast<std::size_t>((to_mm - from_mm) / bin_mm) + 2;
  std::vector<float> best(bins * kDirections, 0.0F);
  const double reach = to_mm * std::max(map.row(0).norm(), map.row(1).norm()) + 1.0;
  index.about(centre, reach, [&](const FaceEdge& edge) {
    const Eigen::Vector2f arm = back * Eigen::Vector2f(edge.px.x - centre.x, edge.px.y - centre.y);
    const float radius = arm.norm();
    const double place = (static_cast<double>(radius) - from_mm) / bin_mm;
    if (place < -0.5 || place > static_cast<double>(bins) - 1.5) return;
    const Eigen::Vector2f normal = back * Eigen::Vector2f(edge.px_per_mm.x, edge.px_per_mm.y);
    if (std::abs(normal.dot(arm)) < static_cast<float>(kDirectionCos) * radius * normal.norm()) return;
    const double turn = std::atan2(arm.y(), arm.x()) / (2.0 * std::numbers::pi) + 0.5;
    const auto direction =
        std::min<std::size_t>(static_cast<std::size_t>(turn * kDirections), kDirections - 1);
    for (std::size_t bin = static_cast<std::size_t>(std::max(place, 0.0));
         bin <= static_cast<std::size_t>(std::max(place, 0.0)) + 1 && bin < bins; ++bin)
      best[bin * kDirections + direction] = std::max(best[bin * kDirections + direction], edge.weight);
  });
  Round round;
  for (std::size_t bin = 0; bin < bins; ++bin) {
    double met = 0.0;
    for (int d = 0; d < kDirections; ++d)
      met += std::min(1.0, 1.5 * static_cast<double>(best[bin * kDirections + static_cast<std::size_t>(d)]));
    if (met / kDirections > round.cover)
      round = {from_mm + static_cast<double>(bin) * bin_mm, met / kDirections};
  }
  return round;
}

struct BandSearch {
  const View& view;
  double factor;
  cv::Size size;
  const cv::Mat& mask;
  const FaceGrid& grid;
  const std::vector<FaceEdge>& edges;
  const EdgeIndex& index;
  double px_per_mm;  ///< of the reduced picture, a mean
};

std::vector<Candidate> search_band(const BandSearch& search, double from, double to) {
  std::vector<Candidate> found;
  const int spread = std::max(1, static_cast<int>(std::lround(kSpread * to * search.px_per_mm)));
  const int coarse = spread >= 3 ? 4 : spread >= 2 ? 2 : 1;
  const int apart = coarse == 1 ? kApartPx : coarse == 2 ? 2 : 1;
  cv::Mat votes = band_votes(search.edges, search.size, from, to, coarse);
  const int box = 2 * std::max(1, static_cast<int>(std::lround(static_cast<double>(spread) / coarse))) + 1;
  cv::boxFilter(votes, votes, CV_32F, {box, box}, {-1, -1}, false);
  for (const Peak& peak : peaks_of(votes, search.mask, apart, coarse)) {
    const Eigen::Matrix2f& map = search.grid.near(peak.px.x, peak.px.y);
    if (!(std::abs(map.determinant()) * to * to > kLeastRadiusPx * kLeastRadiusPx)) continue;
    const auto round_at = [&](cv::Point2f at) {
      return best_round(search.index, map, at, 0.93 * from, 1.07 * to);
    };
    cv::Point2f centre(static_cast<float>(peak.px.x), static_cast<float>(peak.px.y));
    Round round = round_at(centre);
    if (round.cover < kWorthALook) continue;
    // Uphill among the neighbours.
    for (int step = 0; step < kMostMoves; ++step) {
      const cv::Point2f start = centre;
      for (const cv::Point2f way :
           {cv::Point2f(1, 0), cv::Point2f(-1, 0), cv::Point2f(0, 1), cv::Point2f(0, -1)}) {
        const Round here = round_at(start + way);
        if (here.cover > round.cover) {
          round = here;
          centre = start + way;
        }
      }
      if (centre == start) break;
    }
    if (round.cover < kLeastCover) continue;
    const Eigen::Vector2d full = ((Eigen::Vector2d(centre.x, centre.y)).array() + 0.5) * search.factor - 0.5;
    if (const auto face = meet_plane(search.view, full))
      found.push_back({*face, round.radius_mm, round.cover});
  }
  return found;
}

}  // namespace

std::vector<Candidate> find_candidates(const Picture& picture, const View& view, double least_radius_mm,
                                       double largest_radius_mm,
                                       const std::vector<std::vector<Eigen::Vector2d>>& masked_px) {
  const double factor = reduction_of(picture);
  const cv::Mat tone = reduced_tone(picture, factor);
  const cv::Mat mask = mask_of(tone.size(), masked_px, factor);
  const FaceGrid grid(view, tone.size(), factor);
  const std::vector<FaceEdge> edges = face_edges(tone, mask, grid);
  const EdgeIndex index(edges, tone.size());
  double px_per_mm = 0.0;
  for (const FaceEdge& edge : edges)
    px_per_mm += std::hypot(edge.px_per_mm.x, edge.px_per_mm.y) / static_cast<double>(edges.size());
  const std::vector<double> from = steps_below(least_radius_mm, largest_radius_mm, kBandRatio);
  std::vector<std::vector<Candidate>> bands(from.size());
  cv::parallel_for_({0, static_cast<int>(from.size())}, [&](const cv::Range& range) {
    for (int band = range.start; band < range.end; ++band) {
      const auto k = static_cast<std::size_t>(band);
      bands[k] = search_band({view, factor, tone.size(), mask, grid, edges, index, px_per_mm}, from[k],
                             std::min(from[k] * kBandRatio, largest_radius_mm * 1.02));
    }
  });
  std::vector<Candidate> found;
  for (const auto& band : bands) found.insert(found.end(), band.begin(), band.end());
  std::sort(found.begin(), found.end(),
            [](const Candidate& a, const Candidate& b) { return a.cover > b.cover; });
  return found;
}

std::vector<Candidate> candidates_at_hints(const HoleSearch& search) {
  std::vector<double> diameters_mm = search.expected_mm;
  if (diameters_mm.empty())
    diameters_mm = steps_below(search.least_diameter_mm * 1.3, search.largest_diameter_mm, 1.5);
  std::vector<Candidate> out;
  for (const Eigen::Vector2d& hint : search.hints_mm)
    for (const double diameter : diameters_mm) out.push_back({hint, 0.5 * diameter, 0.0});
  return out;
}

}  // namespace fairhole::photo
