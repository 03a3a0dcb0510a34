// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>

/// A camera and where it stands. Pixels: x right, y down, the centre of the first pixel at (0, 0), the
/// picture as shown (after its orientation tag). Camera frame: x right, y down, z along the view, mm.
namespace fairhole::photo {

/// Lens with square pixels and the distortion of Brown (1966):
///   xd = x (1 + k1 r2 + k2 r4) + 2 p1 x y + p2 (r2 + 2 x2),  yd likewise,  pixel = centre + focal * (xd,
///   yd).
struct Lens {
  double focal_px = 0.0;
  Eigen::Vector2d centre_px = Eigen::Vector2d::Zero();
  double k1 = 0.0, k2 = 0.0;
  double p1 = 0.0, p2 = 0.0;
};

/// Camera from the world frame of the adjustment (z = 0: the metal's face, z towards the camera).
struct View {
  Lens lens;
  Eigen::Matrix3d camera_from_world = Eigen::Matrix3d::Identity();
  Eigen::Vector3d origin_mm = Eigen::Vector3d::Zero();  ///< the world's origin in the camera frame
};

/// Ideal (undistorted, unit focal) coordinates to the picture.
Eigen::Vector2d distort(const Lens& lens, const Eigen::Vector2d& ideal);

/// The picture to ideal coordinates, by Newton's method from the undistorted guess; absent where the
/// distortion cannot be undone (beyond its turning point). Error below 1e-10 of the focal length.
std::optional<Eigen::Vector2d> undistort(const Lens& lens, const Eigen::Vector2d& pixel);

/// A point of the world in the picture; absent when it lies behind the camera, or so far aside that the lens
/// would fold it back into the picture.
std::optional<Eigen::Vector2d> project(const View& view, const Eigen::Vector3d& point_mm);

/// The same with its derivative by the point.
struct Projection {
  Eigen::Vector2d pixel = Eigen::Vector2d::Zero();
  Eigen::Matrix<double, 2, 3> slope = Eigen::Matrix<double, 2, 3>::Zero();  ///< px per mm
};
std::optional<Projection> project_with_slope(const View& view, const Eigen::Vector3d& point_mm);

/// Where the sight line through a pixel meets the plane z = height; absent when it does not, or only behind
/// the camera.
std::optional<Eigen::Vector2d> meet_plane(const View& view, const Eigen::Vector2d& pixel,
                                          double height_mm = 0.0);

/// The camera's own place in the world.
Eigen::Vector3d camera_centre_mm(const View& view);

}  // namespace fairhole::photo
