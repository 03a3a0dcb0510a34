// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/part_edges.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "light_sample.h"
#include "reduced_picture.h"
#include "rim_model.h"
#include "robust.h"

namespace fairhole::photo {
namespace {

constexpr double kLeastSegmentMm = 12.0;
constexpr double kSameTurn = 0.012, kSameOffsetMm = 1.2;  // pieces of one edge
constexpr double kLeastShare = 0.35;                      // of the holes' extent along the edge
constexpr double kLeastMm = 50.0;
constexpr double kEdgeProbePx = 4.0, kEdgeSearchPx = 7.0, kEdgeStepPx = 0.5, kEdgeSlopePx = 1.2;
constexpr double kCorrelatedProbes = 4.0;  // texture makes neighbours err alike
constexpr double kLeastSeen = 0.6;         // of an edge's length
constexpr double kApart = 0.26;            // rad: edges nearer in direction are of one side

struct Straight {
  Eigen::Vector2d a, b;
  double length = 0.0;  // of the pieces it is made of

  Eigen::Vector2d along() const { return (b - a).normalized(); }
  double off(const Eigen::Vector2d& p) const {
    const Eigen::Vector2d d = along();
    return d.x() * (p.y() - a.y()) - d.y() * (p.x() - a.x());
  }
};

std::vector<Straight> segments_on_face(const Picture& picture, const View& view,
                                       const std::vector<std::vector<Eigen::Vector2d>>& masked_px) {
  const double factor = reduction_of(picture);
  const cv::Mat tone = reduced_tone(picture, factor), mask = mask_of(tone.size(), masked_px, factor);
  cv::Mat grey;
  tone.convertTo(grey, CV_8U, 255.0);
  std::vector<cv::Vec4f> lines;
  cv::createLineSegmentDetector(cv::LSD_REFINE_STD)->detect(grey, lines);
  std::vector<Straight> out;
  for (const cv::Vec4f& line : lines) {
    const cv::Point middle(cvRound(0.5F * (line[0] + line[2])), cvRound(0.5F * (line[1] + line[3])));
    if (middle.x < 0 || middle.y < 0 || middle.x >= mask.cols || middle.y >= mask.rows ||
        mask.at<uchar>(middle))
      continue;
    const auto full = [&](float x, float y) {
      return meet_plane(view, ((Eigen::Vector2d(x, y).array() + 0.5) * factor - 0.5).matrix());
    };
    const auto a = full(line[0], line[1]), b = full(line[2], line[3]);
    if (a && b && (*b - *a).norm() > kLeastSegmentMm) out.push_back({*a, *b, (*b - *a).norm()});
  }
  std::sort(out.begin(), out.end(), [](const Straight& a, const Straight& b) { return a.length > b.length; });
  return out;
}

/// Pieces of one straight edge put together, the longest giving the direction.
std::vector<Straight> joined(const std::vector<Straight>& pieces) {
  std::vector<Straight> out;
  for (const Straight& piece : pieces) {
    const auto whole = std::find_if(out.begin(), out.end(), [&](const Straight& s) {
      const double turn = s.along().x() * piece.along().y() - s.along().y() * piece.along().x();
      return std::abs(turn) < kSameTurn + kSameOffsetMm / piece.length &&
             std::abs(s.off(piece.a)) < kSameOffsetMm && std::abs(s.off(piece.b)) < kSameOffsetMm;
    });
    if (whole == out.end()) {
      out.push_back(piece);
      continue;
    }
    const Eigen::Vector2d along = whole->along(), from = whole->a;
    double first = 0.0, last = (whole->b - from).dot(along);
    for (const Eigen::Vector2d& p : {piece.a, piece.b}) {
      first = std::min(first, (p - from).dot(along));
      last = std::max(last, (p - from).dot(along));
    }
    whole->a = from + first * along;
    whole->b = from + last * along;
    whole->length += piece.length;
  }
  return out;
}

/// Where the light changes most across the line at a point of it, in mm to its left; absent without a crest.
std::optional<double> edge_across(const Picture& picture, const View& view, const Eigen::Vector2d& at,
                                  const Eigen::Vector2d& left) {
  const auto seen = project_with_slope(view, {at.x(), at.y(), 0.0});
  if (!seen) return std::nullopt;
  const Eigen::Vector2d way = seen->slope.leftCols<2>() * left;  // px per mm
  const double scale = way.norm();
  const int half = static_cast<int>(kEdgeSearchPx / kEdgeStepPx),
            kernel = static_cast<int>(3.0 * kEdgeSlopePx / kEdgeStepPx);
  std::vector<double> light;
  for (int k = -half - kernel; k <= half + kernel; ++k) {
    const Eigen::Vector2d p = seen->pixel + way / scale * (k * kEdgeStepPx);
    if (!picture.holds(p.x(), p.y(), kSampleMargin)) return std::nullopt;
    light.push_back(sample_light(picture, p.x(), p.y()));
  }
  std::vector<double> slopes;
  for (std::size_t k = static_cast<std::size_t>(kernel); k + static_cast<std::size_t>(kernel) < light.size();
       ++k) {
    double sum = 0.0;
    for (int i = -kernel; i <= kernel; ++i) {
      const double t = i * kEdgeStepPx / kEdgeSlopePx;
      sum += t * std::exp(-0.5 * t * t) * light[static_cast<std::size_t>(static_cast<int>(k) + i)];
    }
    slopes.push_back(std::abs(sum));
  }
  const auto top = std::max_element(slopes.begin(), slopes.end());
  const auto k = static_cast<std::size_t>(top - slopes.begin());
  if (k == 0 || k + 1 == slopes.size() || *top < 3.0 * middle_of(slopes)) return std::nullopt;
  const double shift =
      0.5 * (slopes[k - 1] - slopes[k + 1]) / (slopes[k - 1] - 2.0 * slopes[k] + slopes[k + 1]);
  return (static_cast<double>(k) + shift - half) * kEdgeStepPx / scale;
}

/// offset = c0 + c1 t + c2 (t^2 - 1/3), t from -1 to 1 along the edge, by least squares with Tukey's weights.
std::optional<PartEdge> fit_edge_line(const Picture& picture, const View& view, const Straight& rough) {
  const Eigen::Vector2d along = rough.along(), left(-along.y(), along.x()),
                        middle = 0.5 * (rough.a + rough.b);
  const double half = 0.5 * (rough.b - rough.a).norm(), scale = pixels_per_mm(view, middle);
  const int count = std::clamp(static_cast<int>(2.0 * half * scale / kEdgeProbePx), 8, 600);
  std::vector<Eigen::Vector2d> points;  // t, offset
  for (int k = 0; k < count; ++k) {
    const double t = -1.0 + 2.0 * (k + 0.5) / count;
    if (const auto off = edge_across(picture, view, middle + t * half * along, left))
      points.emplace_back(t, *off);
  }
  if (points.size() < 8) return std::nullopt;
  Eigen::Vector3d fit = Eigen::Vector3d::Zero();
  Eigen::Matrix3d normal;
  double spread = 3.0 / scale, used = 0.0, noise = 0.0;
  for (int round = 0; round < 12; ++round) {
    normal = 1e-9 * Eigen::Matrix3d::Identity();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    std::vector<double> near;
    used = 0.0;
    for (const Eigen::Vector2d& p : points) {
      const Eigen::Vector3d row(1.0, p.x(), p.x() * p.x() - 1.0 / 3.0);
      const double misfit = p.y() - row.dot(fit), u = misfit / (4.7 * spread);
      if (std::abs(u) >= 1.0) continue;
      const double weight = (1.0 - u * u) * (1.0 - u * u);
      normal += weight * row * row.transpose();
      right += weight * misfit * row;
      near.push_back(misfit);
      used += 1.0;
    }
    if (used < 8.0) return std::nullopt;
    fit += normal.ldlt().solve(right);
    noise = robust_sd(near);
    spread = std::max(noise, 0.1 / scale);
  }
  const Eigen::Matrix3d cov = kCorrelatedProbes * spread * spread * normal.inverse();
  PartEdge edge;
  const double end_bow = fit[2] * (2.0 / 3.0);
  edge.a_mm = middle - half * along + (fit[0] - fit[1] + end_bow) * left;
  edge.b_mm = middle + half * along + (fit[0] + fit[1] + end_bow) * left;
  edge.offset_sigma_mm = std::sqrt(cov(0, 0));
  edge.turn_sigma_rad = std::sqrt(cov(1, 1)) / half;
  edge.bow_mm = -fit[2];
  edge.bow_sigma_mm = std::sqrt(cov(2, 2));
  edge.seen_share = used / count;
  return edge;
}

}  // namespace

std::vector<PartEdge> find_part_edges(const Picture& picture, const View& view,
                                      const std::vector<Eigen::Vector2d>& holes_mm,
                                      const std::vector<std::vector<Eigen::Vector2d>>& masked_px) {
  if (holes_mm.empty()) return {};
  struct Side {
    Straight line;
    double distance;
  };
  std::vector<Side> sides;
  for (Straight line : joined(segments_on_face(picture, view, masked_px))) {
    const auto off = [&](const Eigen::Vector2d& p) { return line.off(p); };
    if (off(holes_mm.front()) < 0.0) std::swap(line.a, line.b);
    double nearest = 1e9, first = 1e9, last = -1e9;
    for (const Eigen::Vector2d& hole : holes_mm) {
      nearest = std::min(nearest, off(hole));
      first = std::min(first, (hole - line.a).dot(line.along()));
      last = std::max(last, (hole - line.a).dot(line.along()));
    }
    const double needed = std::max(kLeastMm, kLeastShare * (last - first));
    if (nearest > 0.0 && line.length > needed) sides.push_back({line, nearest});
  }
  std::sort(sides.begin(), sides.end(), [](const Side& a, const Side& b) { return a.distance < b.distance; });
  std::vector<PartEdge> edges;
  for (const Side& side : sides) {
    const bool taken = std::any_of(edges.begin(), edges.end(), [&](const PartEdge& other) {
      return (other.b_mm - other.a_mm).normalized().dot(side.line.along()) > std::cos(kApart);
    });
    if (taken) continue;
    const auto edge = fit_edge_line(picture, view, side.line);
    if (edge && edge->seen_share > kLeastSeen) edges.push_back(*edge);
  }
  std::sort(edges.begin(), edges.end(), [](const PartEdge& a, const PartEdge& b) {
    return (a.b_mm - a.a_mm).norm() > (b.b_mm - b.a_mm).norm();
  });
  return edges;
}

}  // namespace fairhole::photo
