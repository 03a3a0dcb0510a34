// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <vector>

#include "structure.h"

namespace fairhole::inference {

/// Holes equally spaced on a circle: centre x and y, diameter, arc to the first hole and, of an arc, from
/// hole to hole, counted at `radius0_mm`. A closed circle's step is a whole part of the turn.
struct RingShape {
  Eigen::Matrix<double, 5, 1> d_mm = Eigen::Matrix<double, 5, 1>::Zero();
  double radius0_mm = 1.0;
  bool closed = false;
  double closed_step_rad = 0.0;

  Eigen::Index unknowns() const { return closed ? 4 : 5; }
  double step_rad() const { return closed ? closed_step_rad : d_mm[4] / radius0_mm; }
  double angle_rad(int k) const { return d_mm[3] / radius0_mm + k * step_rad(); }
  Eigen::Vector2d place_mm(int k) const;
  Eigen::Matrix<double, 2, 5> derivatives(int k) const;
};

struct RingFit {
  RingShape shape;
  double squares_mm2 = 0.0;  ///< of what is left, both axes
};

/// Least squares over the ring's members with a say, of the first face, from the ring as seen.
RingFit fit_ring(const SeenRing& ring, const std::vector<Eigen::Vector2d>& holes_mm, bool closed);

/// Circle of least squared distances (geometric fit), from a start; Gauss-Newton. False when it runs away.
bool fit_circle(const std::vector<Eigen::Vector2d>& points_mm, Eigen::Vector2d& centre_mm, double& radius_mm);

}  // namespace fairhole::inference
