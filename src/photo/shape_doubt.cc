// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "shape_doubt.h"

#include <algorithm>
#include <cmath>

namespace fairhole::photo {
namespace {

// Their form was read off the errors of holes in ray-traced scenes seen with true cameras, as they are and
// blurred, resized, darkened and packed anew; their size off those and 300 drawn pictures with seeds other
// than the tests' (docs/photo-holes.md). Blur mixes what the shape leaves out into the edges: all grows with
// it.
constexpr double kLeastBlurPx = 0.8;  // a sharper picture is a sharpened or a reduced one
constexpr double kAlong = 0.07;       // of the blur and the tangent of the slant: an uneven chamfer
constexpr double kEven = 0.03;        // of the blur
constexpr double kUnevenAlong = 0.7, kUnevenAcross = 0.15;  // of the blur, a pixel that the edge wanders
constexpr double kDiameter = 0.09, kUnevenDiameter = 0.5;   // the same of the diameter
constexpr double kEvenPx = 0.2;                             // an edge that wanders more is torn
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
  const double blur = std::max(fit.blur_px, kLeastBlurPx), wander = std::max(fit.torn_px, fit.rim_torn_px),
               torn = std::max(0.0, wander - kEvenPx);
  const auto square = [](double v) { return v * v; };
  const double unclear2 = square(kUnclearPx * (1.0 - fit.clear_share));
  const auto doubt_px2 = [&](double even, double uneven, double of_torn) {
    return unclear2 + square(blur) * (square(even) + square(uneven * wander) + square(of_torn * torn));
  };
  const double across2 = doubt_px2(kEven, kUnevenAcross, kTornAcross) / square(scale);
  const double along2 = doubt_px2(kAlong * tan_slant, kUnevenAlong, kTornAlong) / square(scale);
  ShapeDoubt doubt;
  doubt.centre_cov_mm2 =
      across2 * Eigen::Matrix2d::Identity() + (along2 - across2) * along * along.transpose();
  doubt.diameter_mm = std::sqrt(doubt_px2(kDiameter, kUnevenDiameter, kTornDiameter) - unclear2) / scale;
  return doubt;
}

}  // namespace fairhole::photo
