// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "find_pricks.h"

#include <Eigen/Eigenvalues>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "light_sample.h"
#include "rim_model.h"
#include "robust.h"

namespace fairhole::photo {
namespace {

constexpr double kPrickInk = 0.8;      // of the paper about it: darker than that is ink
constexpr double kPaperPatchMm = 8.0;  // whose lightest part is the paper
constexpr double kSheetShare = 0.55;   // of the sheet's light: darker is what the sheet lies on
constexpr double kClearMm = 3.0;       // of clean paper about a mark
constexpr double kCleanShare = 0.97;   // of it
constexpr double kDotMm = 2.5, kLeastDotMm = 0.3, kDotRound = 1.6;
constexpr double kCrossMm = 30.0, kLeastArmMm = 2.0;
constexpr double kStrokeMm = 0.4;    // what two pencil strokes may stand off their lines, root mean square
constexpr double kSquareDeg = 50.0;  // the strokes cross at no smaller angle
constexpr double kSegmentMm = 0.7;   // of a stroke, whose wander is its own
constexpr std::size_t kFewestSegments = 6;

/// A pixel of ink, on the sheet.
struct Ink {
  Eigen::Vector2d at_mm;
  double dark = 0.0;  // below the paper, as a share of it
};

struct Blot {
  std::vector<Ink> ink;
  Eigen::Vector2d middle_mm = Eigen::Vector2d::Zero();
  double reach_mm = 0.0;  // of the ink farthest from the middle
  double paper = 0.0;
};

/// How light the paper is about every place: the lightest of a patch, of the picture reduced.
cv::Mat paper_light(const cv::Mat& light, double px_per_mm) {
  const double factor = std::clamp(
      px_per_mm, 1.0, static_cast<double>(std::min(light.rows, light.cols)));  // a millimetre a pixel
  cv::Mat small, paper;
  cv::resize(light, small, {}, 1.0 / factor, 1.0 / factor, cv::INTER_AREA);
  const int side = 2 * static_cast<int>(0.5 * kPaperPatchMm * px_per_mm / factor) + 1;
  cv::dilate(small, small, cv::getStructuringElement(cv::MORPH_RECT, {side, side}));
  cv::blur(small, small, {side, side});
  cv::resize(small, paper, light.size(), 0.0, 0.0, cv::INTER_LINEAR);
  return paper;
}

/// The light of the sheet: the lightest there is, but for a fiftieth.
double white_of(const cv::Mat& paper) {
  constexpr int kStride = 16;
  std::vector<float> values;
  for (int y = 0; y < paper.rows; y += kStride)
    for (int x = 0; x < paper.cols; x += kStride) values.push_back(paper.at<float>(y, x));
  const auto at = values.begin() + static_cast<std::ptrdiff_t>(values.size() - 1 - values.size() / 50);
  std::ranges::nth_element(values, at);
  return static_cast<double>(*at);
}

/// The ink of one connected patch, carried to the sheet; absent where the sheet is not seen.
std::optional<Blot> blot_of(const View& view, const cv::Mat& light, const cv::Mat& labels, int label,
                            const cv::Rect& box, double paper) {
  Blot blot;
  blot.paper = paper;
  double sum = 0.0;
  for (int y = box.y; y < box.y + box.height; ++y)
    for (int x = box.x; x < box.x + box.width; ++x) {
      if (labels.at<int>(y, x) != label) continue;
      const auto at = meet_plane(view, {x, y});
      if (!at) return std::nullopt;
      const double dark = 1.0 - static_cast<double>(light.at<float>(y, x)) / paper;
      blot.ink.push_back({*at, dark});
      blot.middle_mm += dark * *at;
      sum += dark;
    }
  blot.middle_mm /= sum;
  for (const Ink& ink : blot.ink)
    blot.reach_mm = std::max(blot.reach_mm, (ink.at_mm - blot.middle_mm).norm());
  return blot;
}

/// Clean paper all about it.
bool stands_alone(const Picture& picture, const View& view, const Blot& blot) {
  constexpr int kAround = 90;
  int seen = 0, clean = 0;
  for (const double beyond : {0.2, 0.4, 0.6, 0.8, 1.0})
    for (int k = 0; k < kAround; ++k) {
      const double angle = 2.0 * std::numbers::pi * k / kAround, r = blot.reach_mm + beyond * kClearMm;
      const auto pixel = project(
          view, {blot.middle_mm.x() + r * std::cos(angle), blot.middle_mm.y() + r * std::sin(angle), 0.0});
      ++seen;
      if (pixel && picture.holds(pixel->x(), pixel->y(), kSampleMargin))
        clean += sample_coarsely(picture, pixel->x(), pixel->y()) > kPrickInk * blot.paper;
    }
  return clean >= kCleanShare * seen;
}

/// Spread of the ink about its middle, weighted with its darkness.
Eigen::Matrix2d spread_of(const std::vector<Ink>& ink, const Eigen::Vector2d& middle) {
  Eigen::Matrix2d sum = Eigen::Matrix2d::Zero();
  double weight = 0.0;
  for (const Ink& i : ink) {
    sum += i.dark * (i.at_mm - middle) * (i.at_mm - middle).transpose();
    weight += i.dark;
  }
  return sum / weight;
}

/// The centroid of a dot; its noise is that of its pixels' light.
std::optional<Prick> dot_of(const Blot& blot, double noise_share, double mm_per_px) {
  const Eigen::Matrix2d spread = spread_of(blot.ink, blot.middle_mm);
  const Eigen::Vector2d sizes =
      Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d>(spread).eigenvalues().cwiseMax(0.0).cwiseSqrt();
  if (2.0 * blot.reach_mm > kDotMm || 2.0 * blot.reach_mm < kLeastDotMm || sizes[1] > kDotRound * sizes[0])
    return std::nullopt;
  double dark = 0.0;
  Eigen::Matrix2d squares = Eigen::Matrix2d::Zero();
  for (const Ink& i : blot.ink) {
    dark += i.dark;
    squares += (i.at_mm - blot.middle_mm) * (i.at_mm - blot.middle_mm).transpose();
  }
  // Which pixels at the border count as ink is settled by the grid: a tenth of a pixel at most.
  const double border = 0.1 * mm_per_px;
  return Prick{
      blot.middle_mm,
      noise_share * noise_share / (dark * dark) * squares + border * border * Eigen::Matrix2d::Identity(),
      false};
}

/// A straight stroke: the points with `normal` . p = `offset`.
struct Stroke {
  Eigen::Vector2d normal, along;
  double offset = 0.0;
  double squares = 0.0;  // of its segments' middles off it
  double segments = 0.0;
  double low = 0.0, high = 0.0;  // its ends, along it
};

/// Least squares through a stroke's ink, cut into segments whose middles wander by themselves.
std::optional<Stroke> stroke_through(const std::vector<Ink>& ink) {
  if (ink.size() < kFewestSegments) return std::nullopt;
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();
  double weight = 0.0;
  for (const Ink& i : ink) {
    middle += i.dark * i.at_mm;
    weight += i.dark;
  }
  middle /= weight;
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> axes(spread_of(ink, middle));
  Stroke stroke{axes.eigenvectors().col(0), axes.eigenvectors().col(1)};
  stroke.offset = stroke.normal.dot(middle);
  std::vector<double> sums, weights;
  stroke.low = stroke.high = stroke.along.dot(middle);
  for (const Ink& i : ink) {
    stroke.low = std::min(stroke.low, stroke.along.dot(i.at_mm));
    stroke.high = std::max(stroke.high, stroke.along.dot(i.at_mm));
  }
  const auto count = static_cast<std::size_t>((stroke.high - stroke.low) / kSegmentMm) + 1;
  if (count < kFewestSegments) return std::nullopt;
  sums.resize(count);
  weights.resize(count);
  for (const Ink& i : ink) {
    const auto k = static_cast<std::size_t>((stroke.along.dot(i.at_mm) - stroke.low) / kSegmentMm);
    sums[k] += i.dark * (stroke.normal.dot(i.at_mm) - stroke.offset);
    weights[k] += i.dark;
  }
  for (std::size_t k = 0; k < count; ++k)
    if (weights[k] > 0.0) stroke.squares += std::pow(sums[k] / weights[k], 2);
  stroke.segments = static_cast<double>(count);
  return stroke;
}

/// Ink split between two strokes by the nearer one; where both are near it counts for neither, so that the
/// crossing itself pulls nothing.
std::optional<std::pair<Stroke, Stroke>> strokes_of(const Blot& blot, double turn) {
  constexpr int kRounds = 6;
  Stroke a{{-std::sin(turn), std::cos(turn)}, {std::cos(turn), std::sin(turn)}};
  Stroke b{{std::cos(turn), std::sin(turn)}, {-std::sin(turn), std::cos(turn)}};
  a.offset = a.normal.dot(blot.middle_mm);
  b.offset = b.normal.dot(blot.middle_mm);
  for (int round = 0; round < kRounds; ++round) {
    std::vector<Ink> of_a, of_b;
    for (const Ink& i : blot.ink) {
      const double off_a = std::abs(a.normal.dot(i.at_mm) - a.offset),
                   off_b = std::abs(b.normal.dot(i.at_mm) - b.offset);
      if (std::max(off_a, off_b) < 2.0 * kStrokeMm) continue;
      (off_a < off_b ? of_a : of_b).push_back(i);
    }
    const auto fit_a = stroke_through(of_a), fit_b = stroke_through(of_b);
    if (!fit_a || !fit_b) return std::nullopt;
    a = *fit_a;
    b = *fit_b;
  }
  return std::pair(a, b);
}

/// How far the ink stands off the nearer stroke, root mean square.
double misfit_of(const Blot& blot, const Stroke& a, const Stroke& b) {
  double squares = 0.0, weight = 0.0;
  for (const Ink& i : blot.ink) {
    const double off =
        std::min(std::abs(a.normal.dot(i.at_mm) - a.offset), std::abs(b.normal.dot(i.at_mm) - b.offset));
    squares += i.dark * off * off;
    weight += i.dark;
  }
  return std::sqrt(squares / weight);
}

std::optional<Prick> cross_of(const Blot& blot) {
  if (2.0 * blot.reach_mm > kCrossMm || blot.reach_mm < kLeastArmMm) return std::nullopt;
  constexpr int kTurns = 6;
  std::optional<std::pair<Stroke, Stroke>> best;
  double least = kStrokeMm;
  for (int k = 0; k < kTurns; ++k)
    if (const auto strokes = strokes_of(blot, 0.5 * std::numbers::pi * k / kTurns))
      if (const double off = misfit_of(blot, strokes->first, strokes->second); off < least) {
        least = off;
        best = strokes;
      }
  if (!best) return std::nullopt;
  const auto& [a, b] = *best;
  if (std::abs(a.normal.dot(b.normal)) > std::cos(kSquareDeg * std::numbers::pi / 180.0)) return std::nullopt;
  Eigen::Matrix2d normals;
  normals << a.normal.transpose(), b.normal.transpose();
  const Eigen::Matrix2d solve = normals.inverse();
  const Eigen::Vector2d centre = solve * Eigen::Vector2d(a.offset, b.offset);
  for (const Stroke* stroke : {&a, &b}) {
    const double at = stroke->along.dot(centre);
    if (at - stroke->low < kLeastArmMm || stroke->high - at < kLeastArmMm) return std::nullopt;
  }
  // One pencil drew both: their segments scatter alike. Of so few the scatter itself is known poorly, and of
  // one stroke's it can be next to nothing by chance: nu / (nu - 2) of Student's t for both together.
  const double freedom = a.segments + b.segments - 4.0;
  const double scatter = (a.squares + b.squares) / (freedom - 2.0);
  const Eigen::Vector2d variances(scatter / a.segments, scatter / b.segments);
  return Prick{centre, solve * variances.asDiagonal() * solve.transpose(), true};
}

/// Noise of the light as a share of the paper, from differences between neighbours about the mark.
double noise_about(const cv::Mat& light, const cv::Rect& box, double paper) {
  std::vector<double> steps;
  const cv::Rect about =
      cv::Rect(box.x - 6, box.y - 6, box.width + 12, box.height + 12) & cv::Rect({0, 0}, light.size());
  for (int y = about.y; y < about.y + about.height; ++y)
    for (int x = about.x + 1; x < about.x + about.width; ++x)
      steps.push_back(static_cast<double>(light.at<float>(y, x) - light.at<float>(y, x - 1)));
  return robust_sd(std::move(steps)) / std::numbers::sqrt2 / paper;
}

}  // namespace

std::vector<Prick> find_pricks(const Picture& picture, const View& view,
                               const std::vector<std::vector<Eigen::Vector2d>>& masked_px) {
  const cv::Mat light(picture.height_px, picture.width_px, CV_32F, const_cast<float*>(picture.light.data()));
  const auto middle = meet_plane(view, {0.5 * picture.width_px, 0.5 * picture.height_px});
  if (!middle) return {};
  const double scale = pixels_per_mm(view, *middle);
  const cv::Mat paper = paper_light(light, scale);
  const double least_paper = kSheetShare * white_of(paper);
  cv::Mat ink = light < kPrickInk * paper;
  for (const auto& polygon : masked_px) {
    std::vector<cv::Point> corners;
    for (const Eigen::Vector2d& p : polygon)
      corners.emplace_back(static_cast<int>(std::lround(p.x())), static_cast<int>(std::lround(p.y())));
    cv::fillConvexPoly(ink, corners, cv::Scalar(0));
  }
  cv::Mat labels, stats, middles;
  const int count = cv::connectedComponentsWithStats(ink, labels, stats, middles, 8, CV_32S);
  std::vector<Prick> pricks;
  const double most_px = kCrossMm * scale * 1.5, least_px = 0.5 * kLeastDotMm * scale;
  for (int label = 1; label < count; ++label) {
    const int* s = stats.ptr<int>(label);
    const cv::Rect box(s[cv::CC_STAT_LEFT], s[cv::CC_STAT_TOP], s[cv::CC_STAT_WIDTH], s[cv::CC_STAT_HEIGHT]);
    if (std::max(box.width, box.height) > most_px || s[cv::CC_STAT_AREA] < std::max(4.0, least_px * least_px))
      continue;
    const double white = static_cast<double>(paper.at<float>(box.y + box.height / 2, box.x + box.width / 2));
    if (white < least_paper) continue;
    const auto blot = blot_of(view, light, labels, label, box, white);
    if (!blot || !stands_alone(picture, view, *blot)) continue;
    auto prick = cross_of(*blot);
    if (!prick) prick = dot_of(*blot, noise_about(light, box, white), 1.0 / scale);
    if (prick) pricks.push_back(*prick);
  }
  return pricks;
}

}  // namespace fairhole::photo
