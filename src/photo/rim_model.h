// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>

#include "fairhole/photo/camera.h"

/// The shape of a hole's mouth and where a picture shows it: a bore whose edge lies at the bottom of a
/// chamfer, and the rim where the chamfer meets the face, both about one axis square to the face.
namespace fairhole::photo {

/// Unknowns of a mouth, in this order wherever vectors or matrices run over them.
enum MouthUnknown {
  kX,
  kY,
  kRadius,
  kOvalC,
  kOvalS,
  kWidth,
  kDepth,
  kFarX,
  kFarY,
  kFarDepth,
  kMouthUnknowns
};
using MouthVector = Eigen::Matrix<double, kMouthUnknowns, 1>;

/// mm; the angle runs on the face, counter-clockwise from x. Bore radius at angle t:
///   radius + oval_c cos 2t + oval_s sin 2t;  the rim's radius: that times (1 + width / radius).
struct Mouth {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();  ///< where the axis meets the face
  double radius_mm = 0.0;                               ///< mean bore radius
  double oval_c_mm = 0.0, oval_s_mm = 0.0;
  double width_mm = 0.0;  ///< of the chamfer, seen along the axis
  double depth_mm = 0.0;  ///< of the bore's edge below the face
  /// The bore's far end, where its edge shows within the near one: below the face, and beside the axis.
  /// Depth 0: not looked at.
  double far_depth_mm = 0.0;
  Eigen::Vector2d far_mm = Eigen::Vector2d::Zero();

  bool far_end() const { return far_depth_mm > 0.0; }
  Mouth plus(const MouthVector& change) const;
};

/// One point of an edge in the picture with what it depends on.
struct EdgePoint {
  Eigen::Vector2d pixel;
  Eigen::Vector2d along;  ///< d pixel / d angle
  /// The second derivative but for perspective's own share, which runs along the edge and bends nothing, and
  /// the lens's, which is below a thousandth of it.
  Eigen::Vector2d bend;
  Eigen::Matrix<double, 2, kMouthUnknowns> by_unknown;
};

enum class Edge { kBore, kRim, kFar };

/// Where the picture shows the point of the edge at `angle`; absent behind the camera.
std::optional<EdgePoint> edge_point(const View& view, const Mouth& mouth, Edge edge, double angle);

/// Where an edge crosses a straight line in the picture, and how that place moves with the unknowns.
struct Crossing {
  double along_px = 0.0;  ///< from the line's origin along its direction
  Eigen::Matrix<double, 1, kMouthUnknowns> by_unknown;
  double curvature_per_px = 0.0;  ///< of the edge's picture, positive where it bends away from the direction
};

/// A line across the rim in the picture; `outward` is a unit vector.
struct Probe {
  double angle = 0.0;
  Eigen::Vector2d origin_px;
  Eigen::Vector2d outward;
};

/// The probe at the bore edge's point of that angle, square to the edge's picture.
std::optional<Probe> probe_at(const View& view, const Mouth& mouth, double angle);

std::optional<Crossing> crossing(const View& view, const Mouth& mouth, Edge edge, const Probe& probe);

/// Pixels per mm on the face at a point: the geometric mean over directions. 0 where the point is not seen.
double pixels_per_mm(const View& view, const Eigen::Vector2d& face_mm);

/// d pixel / d face point.
Eigen::Matrix2d face_jacobian(const View& view, const Eigen::Vector2d& face_mm);

}  // namespace fairhole::photo
