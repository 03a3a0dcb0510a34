// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "fairhole/photo/camera.h"
#include "fairhole/photo/picture.h"

/// Circular edges about a rough place: every ring there is, at full resolution, before anyone decides which
/// of them is the bore, its rim, the far end of the bore or a stain.
namespace fairhole::photo {

/// An edge that is a circle (a little oval) once laid on the face.
struct Ring {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double radius_mm = 0.0;
  double oval_c_mm = 0.0, oval_s_mm = 0.0;
  double cover = 0.0;         ///< share of the directions in which the edge was met
  double strength = 0.0;      ///< median size of the step, in square root of light per pixel
  double brighter_out = 0.0;  ///< share of the met directions where it is brighter outside
  double scatter_px = 0.0;    ///< of the edge about the ring, robust 1-sigma
};

/// A place where the light changes along a ray from the rough centre.
struct RayEdge {
  std::size_t ray = 0;
  Eigen::Vector2d face_mm;
  double slope = 0.0;   ///< of the square root of light per px, outwards positive
  double weight = 0.0;  ///< 0..1: how much it counts
};

/// The strongest edges of each of many rays.
struct RayEdges {
  std::vector<RayEdge> edges;  ///< by ray, within a ray the strongest first
  std::size_t rays = 0;
  double strong = 0.0;  ///< a usual ray's strongest edge
  double px_mm = 0.0;   ///< a pixel on the face
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double radius_mm = 0.0;
};

/// Edges about a circle of roughly that place and size.
RayEdges shoot_rays(const Picture& picture, const View& view, const Eigen::Vector2d& centre_mm,
                    double radius_mm);

/// Rings about the rays' centre with a radius of between 0.45 and 1.35 of theirs, the best first.
std::vector<Ring> find_rings(const RayEdges& rays);

}  // namespace fairhole::photo
