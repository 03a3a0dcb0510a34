// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "shape_doubt.h"

#include <algorithm>

namespace fairhole::photo {
namespace {

// Their form was read off the errors of holes in ray-traced scenes seen with true cameras, the first two's
// size off 300 drawn pictures with seeds other than the tests' (docs/photo-holes.md).
constexpr double kAlongPx = 0.087;   // shift of the axis along the slant, from an uneven chamfer
constexpr double kAcrossPx = 0.022;  // and across it
constexpr double kDiameterPx = 0.084;
constexpr double kDepthMm = 0.1, kDepthShare = 0.3;  // the depth is never worse known than that, of the width
constexpr double kEvenPx = 0.2;                      // an edge that wanders less is a clean one
constexpr double kUnclearPx = 4.0;  // where a share of the rim shows no step, that share of it
constexpr double kTornAlong = 3.3, kTornAcross = 1.25, kTornDiameter = 3.3;

}  // namespace

ShapeDoubt shape_doubt(const View& view, const RimFit& fit) {
  const Eigen::Vector3d camera = camera_centre_mm(view);
  const Eigen::Vector2d slant = (fit.mouth.centre_mm - camera.head<2>()) / camera.z();
  const double scale = pixels_per_mm(view, fit.mouth.centre_mm);
  const double tan_slant = slant.norm();
  const Eigen::Vector2d along =
      tan_slant > 1e-9 ? Eigen::Vector2d(slant / tan_slant) : Eigen::Vector2d::UnitX();
  const double torn = std::max({0.0, fit.torn_px - kEvenPx, fit.rim_torn_px - kEvenPx});
  const double depth = kDepthMm + kDepthShare * fit.mouth.width_mm;
  const auto square = [](double v) { return v * v; };
  const double by_chamfer = std::min(kAlongPx / scale, tan_slant * depth);
  const double even2 = square(kAcrossPx / scale) + square(kUnclearPx * (1.0 - fit.clear_share) / scale);
  const double across2 = even2 + square(kTornAcross * torn / scale);
  const double along2 = even2 + square(by_chamfer) + square(kTornAlong * torn / scale);
  ShapeDoubt doubt;
  doubt.centre_cov_mm2 =
      across2 * Eigen::Matrix2d::Identity() + (along2 - across2) * along * along.transpose();
  doubt.diameter_mm = std::hypot(kDiameterPx, kTornDiameter * torn) / scale;
  return doubt;
}

}  // namespace fairhole::photo
