// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "rim_model.h"

#include <Eigen/LU>
#include <cmath>

namespace fairhole::photo {
namespace {

/// A direction on the face and its double.
struct Turn {
  double c, s, c2, s2;
  explicit Turn(double angle) : c(std::cos(angle)), s(std::sin(angle)), c2(c * c - s * s), s2(2.0 * c * s) {}
};

double ratio_of(const Mouth& mouth, Edge edge) {
  return edge == Edge::kRim ? 1.0 + mouth.width_mm / mouth.radius_mm : 1.0;
}

Eigen::Vector3d place(const Mouth& mouth, Edge edge, const Turn& turn) {
  const double radius =
      (mouth.radius_mm + mouth.oval_c_mm * turn.c2 + mouth.oval_s_mm * turn.s2) * ratio_of(mouth, edge);
  const Eigen::Vector2d at = mouth.centre_mm + radius * Eigen::Vector2d(turn.c, turn.s);
  if (edge == Edge::kFar) return {at.x() + mouth.far_mm.x(), at.y() + mouth.far_mm.y(), -mouth.far_depth_mm};
  return {at.x(), at.y(), edge == Edge::kRim ? 0.0 : -mouth.depth_mm};
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
  out.far_mm += change.segment<2>(kFarX);
  out.far_depth_mm += change[kFarDepth];
  return out;
}

std::optional<EdgePoint> edge_point(const View& view, const Mouth& mouth, Edge edge, double angle) {
  const Turn turn(angle);
  const auto seen = project_with_slope(view, place(mouth, edge, turn));
  if (!seen) return std::nullopt;

  const double ratio = ratio_of(mouth, edge);
  const double bore = mouth.radius_mm + mouth.oval_c_mm * turn.c2 + mouth.oval_s_mm * turn.s2;
  const double growth = 2.0 * (mouth.oval_s_mm * turn.c2 - mouth.oval_c_mm * turn.s2);  // of bore, by angle
  const double growth2 = 4.0 * (mouth.radius_mm - bore);
  const Eigen::Vector2d out{turn.c, turn.s}, aside{-turn.s, turn.c};
  const Eigen::Matrix2d plane = seen->slope.leftCols<2>();
  const Eigen::Vector2d radial = plane * out;
  EdgePoint point;
  point.pixel = seen->pixel;
  point.along = plane * (ratio * (growth * out + bore * aside));
  point.bend = plane * (ratio * ((growth2 - bore) * out + 2.0 * growth * aside));
  point.by_unknown.setZero();
  point.by_unknown.leftCols<2>() = plane;
  point.by_unknown.col(kRadius) = radial;
  point.by_unknown.col(kOvalC) = radial * (ratio * turn.c2);
  point.by_unknown.col(kOvalS) = radial * (ratio * turn.s2);
  if (edge == Edge::kRim) {
    point.by_unknown.col(kRadius) *= ratio - bore * mouth.width_mm / (mouth.radius_mm * mouth.radius_mm);
    point.by_unknown.col(kWidth) = radial * (bore / mouth.radius_mm);
  } else if (edge == Edge::kBore) {
    point.by_unknown.col(kDepth) = -seen->slope.col(2);
  } else {
    point.by_unknown.middleCols<2>(kFarX) = plane;
    point.by_unknown.col(kFarDepth) = -seen->slope.col(2);
  }
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
  auto point = edge_point(view, mouth, edge, probe.angle);
  if (!point) return std::nullopt;
  if (edge != Edge::kBore) {  // on that the probe stands already
    // One step of Newton's; the start is off by a few degrees at most, and what is left is taken straight on.
    const double speed = across.dot(point->along);
    if (std::abs(speed) < 1e-12) return std::nullopt;
    point = edge_point(view, mouth, edge, probe.angle - across.dot(point->pixel - probe.origin_px) / speed);
    if (!point) return std::nullopt;
  }
  const double speed = across.dot(point->along);
  if (std::abs(speed) < 1e-12) return std::nullopt;
  // The crossing point slides along the edge when an unknown moves it sideways.
  const double slide = probe.outward.dot(point->along) / speed;
  const Eigen::RowVector2d onto = (probe.outward - slide * across).transpose();
  Crossing out;
  out.along_px = onto * (point->pixel - probe.origin_px);
  out.by_unknown.noalias() = onto * point->by_unknown;
  out.curvature_per_px = -(onto * point->bend).value() / point->along.squaredNorm();
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
