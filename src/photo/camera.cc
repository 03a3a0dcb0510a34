// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/camera.h"

#include <Eigen/Geometry>
#include <Eigen/LU>

namespace fairhole::photo {
namespace {

struct Distorted {
  Eigen::Vector2d point;
  Eigen::Matrix2d derivative;
};

Distorted distorted(const Lens& lens, const Eigen::Vector2d& p) {
  const double x = p.x(), y = p.y();
  const double r2 = p.squaredNorm();
  const double radial = 1.0 + r2 * (lens.k1 + r2 * lens.k2);
  const double slope = 2.0 * (lens.k1 + 2.0 * r2 * lens.k2);  // of `radial` along x is slope * x
  Distorted out;
  out.point = {x * radial + 2.0 * lens.p1 * x * y + lens.p2 * (r2 + 2.0 * x * x),
               y * radial + lens.p1 * (r2 + 2.0 * y * y) + 2.0 * lens.p2 * x * y};
  const double mixed = slope * x * y + 2.0 * lens.p1 * x + 2.0 * lens.p2 * y;
  out.derivative << radial + slope * x * x + 2.0 * lens.p1 * y + 6.0 * lens.p2 * x, mixed, mixed,
      radial + slope * y * y + 6.0 * lens.p1 * y + 2.0 * lens.p2 * x;
  return out;
}

constexpr int kNewtonSteps = 30;
constexpr double kDone = 1e-13;

}  // namespace

Eigen::Vector2d distort(const Lens& lens, const Eigen::Vector2d& ideal) {
  return lens.centre_px + lens.focal_px * distorted(lens, ideal).point;
}

std::optional<Eigen::Vector2d> undistort(const Lens& lens, const Eigen::Vector2d& pixel) {
  const Eigen::Vector2d wanted = (pixel - lens.centre_px) / lens.focal_px;
  Eigen::Vector2d p = wanted;
  for (int step = 0; step < kNewtonSteps; ++step) {
    const Distorted at = distorted(lens, p);
    // Beyond the turning point the picture folds over: no ideal point belongs to this pixel.
    if (at.derivative.determinant() <= 0.0 || at.derivative.trace() <= 0.0) return std::nullopt;
    const Eigen::Vector2d change = at.derivative.inverse() * (wanted - at.point);
    p += change;
    if (change.squaredNorm() < kDone * kDone) return p;
  }
  return std::nullopt;
}

std::optional<Eigen::Vector2d> project(const View& view, const Eigen::Vector3d& point_mm) {
  const Eigen::Vector3d seen = view.camera_from_world * point_mm + view.origin_mm;
  if (seen.z() <= 0.0) return std::nullopt;
  const Distorted at = distorted(view.lens, seen.head<2>() / seen.z());
  if (at.derivative.determinant() <= 0.0) return std::nullopt;
  return view.lens.centre_px + view.lens.focal_px * at.point;
}

std::optional<Projection> project_with_slope(const View& view, const Eigen::Vector3d& point_mm) {
  const Eigen::Vector3d seen = view.camera_from_world * point_mm + view.origin_mm;
  if (seen.z() <= 0.0) return std::nullopt;
  const Distorted lens = distorted(view.lens, seen.head<2>() / seen.z());
  Eigen::Matrix<double, 2, 3> central;
  central << 1.0, 0.0, -seen.x() / seen.z(), 0.0, 1.0, -seen.y() / seen.z();
  return Projection{view.lens.centre_px + view.lens.focal_px * lens.point,
                    view.lens.focal_px / seen.z() * lens.derivative * central * view.camera_from_world};
}

std::optional<Eigen::Vector2d> meet_plane(const View& view, const Eigen::Vector2d& pixel, double height_mm) {
  const std::optional<Eigen::Vector2d> ideal = undistort(view.lens, pixel);
  if (!ideal) return std::nullopt;
  const Eigen::Vector3d sight = view.camera_from_world.transpose() * ideal->homogeneous();
  const Eigen::Vector3d from = camera_centre_mm(view);
  const double along = (height_mm - from.z()) / sight.z();
  if (!(along > 0.0)) return std::nullopt;
  return from.head<2>() + along * sight.head<2>();
}

Eigen::Vector3d camera_centre_mm(const View& view) {
  return -(view.camera_from_world.transpose() * view.origin_mm);
}

}  // namespace fairhole::photo
