// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "rim_model.h"

#include <Eigen/LU>
#include <cmath>

namespace fairhole::photo {
namespace {

constexpr double kAngleStep = 1e-3;  // for the curvature, rad
constexpr int kCrossingSteps = 2;    // Newton; the start is off by a few degrees at most

Eigen::Vector3d place(const Mouth& mouth, Edge edge, double angle) {
  const double ratio = edge == Edge::kRim ? 1.0 + mouth.width_mm / mouth.radius_mm : 1.0;
  const double radius = mouth.bore_mm(angle) * ratio;
  return {mouth.centre_mm.x() + radius * std::cos(angle), mouth.centre_mm.y() + radius * std::sin(angle),
          edge == Edge::kRim ? 0.0 : -mouth.depth_mm};
}

}  // namespace

Mouth Mouth::plus(const MouthVector& change) const {
  Mouth out = *this;
  out.centre_mm += change.segment<2>(kX);
  out.radius_mm += change[kRadius];
  out.oval_c_mm += change[kOvalC];
  out.oval_s_mm += change[kOvalS];
  out.width_mm += change[kWidth];
  out.depth_mm += change[kDepth];
  return out;
}

double Mouth::bore_mm(double angle) const {
  return radius_mm + oval_c_mm * std::cos(2.0 * angle) + oval_s_mm * std::sin(2.0 * angle);
}

std::optional<EdgePoint> edge_point(const View& view, const Mouth& mouth, Edge edge, double angle) {
  const Eigen::Vector3d at = place(mouth, edge, angle);
  const auto seen = project_with_slope(view, at);
  if (!seen) return std::nullopt;

  const bool rim = edge == Edge::kRim;
  const double ratio = rim ? 1.0 + mouth.width_mm / mouth.radius_mm : 1.0;
  const double c2 = std::cos(2.0 * angle), s2 = std::sin(2.0 * angle);
  const Eigen::Vector2d out{std::cos(angle), std::sin(angle)};
  const Eigen::Matrix2d plane = seen->slope.leftCols<2>();
  const Eigen::Vector2d radial = plane * out;
  EdgePoint point;
  point.pixel = seen->pixel;
  point.along = plane * (ratio * (2.0 * (mouth.oval_s_mm * c2 - mouth.oval_c_mm * s2) * out +
                                  mouth.bore_mm(angle) * Eigen::Vector2d(-out.y(), out.x())));
  point.by_unknown.leftCols<2>() = plane;
  const double ratio_by_radius = rim ? -mouth.width_mm / (mouth.radius_mm * mouth.radius_mm) : 0.0;
  point.by_unknown.col(kRadius) = radial * (ratio + mouth.bore_mm(angle) * ratio_by_radius);
  point.by_unknown.col(kOvalC) = radial * ratio * c2;
  point.by_unknown.col(kOvalS) = radial * ratio * s2;
  point.by_unknown.col(kWidth) = radial * (rim ? mouth.bore_mm(angle) / mouth.radius_mm : 0.0);
  point.by_unknown.col(kDepth) = rim ? Eigen::Vector2d::Zero() : Eigen::Vector2d(-seen->slope.col(2));
  return point;
}

std::optional<Probe> probe_at(const View& view, const Mouth& mouth, double angle) {
  const auto point = edge_point(view, mouth, Edge::kBore, angle);
  if (!point) return std::nullopt;
  Probe probe;
  probe.angle = angle;
  probe.origin_px = point->pixel;
  probe.outward = Eigen::Vector2d(-point->along.y(), point->along.x()).normalized();
  if (probe.outward.dot(point->by_unknown.col(kRadius)) < 0.0) probe.outward = -probe.outward;
  return probe;
}

std::optional<Crossing> crossing(const View& view, const Mouth& mouth, Edge edge, const Probe& probe) {
  const Eigen::Vector2d across{-probe.outward.y(), probe.outward.x()};
  double angle = probe.angle;
  std::optional<EdgePoint> point;
  for (int step = 0; step <= kCrossingSteps; ++step) {
    point = edge_point(view, mouth, edge, angle);
    if (!point) return std::nullopt;
    const double speed = across.dot(point->along);
    if (std::abs(speed) < 1e-12) return std::nullopt;
    if (step < kCrossingSteps) angle -= across.dot(point->pixel - probe.origin_px) / speed;
  }
  const auto ahead = project(view, place(mouth, edge, angle + kAngleStep));
  const auto behind = project(view, place(mouth, edge, angle - kAngleStep));
  if (!ahead || !behind) return std::nullopt;

  Crossing out;
  out.along_px = probe.outward.dot(point->pixel - probe.origin_px);
  // The crossing point slides along the edge when an unknown moves it sideways.
  const double slide = probe.outward.dot(point->along) / across.dot(point->along);
  out.by_unknown = (probe.outward - slide * across).transpose() * point->by_unknown;
  const Eigen::Vector2d bend = (*ahead - 2.0 * point->pixel + *behind) / (kAngleStep * kAngleStep);
  out.curvature_per_px = -probe.outward.dot(bend) / point->along.squaredNorm();
  return out;
}

Eigen::Matrix2d face_jacobian(const View& view, const Eigen::Vector2d& face_mm) {
  const auto seen = project_with_slope(view, {face_mm.x(), face_mm.y(), 0.0});
  return seen ? Eigen::Matrix2d(seen->slope.leftCols<2>()) : Eigen::Matrix2d::Zero();
}

double pixels_per_mm(const View& view, const Eigen::Vector2d& face_mm) {
  return std::sqrt(std::abs(face_jacobian(view, face_mm).determinant()));
}

}  // namespace fairhole::photo
