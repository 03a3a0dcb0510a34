// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <vector>

#include "cone3.h"
#include "seat_normals.h"
#include "seat_program.h"

namespace fairhole::detail {

/// A direction, or a right-hand side, in all unknowns.
struct SeatStep {
  std::vector<PartVector> parts;
  std::vector<Eigen::Vector2d> centres;
  double worst = 0.0;
};

/// What a cone sees of a point or a direction (its constant left out).
Eigen::Vector3d seen_by(const SeatCone& cone, const SeatStep& step);

/// Adds the cone's view of `v` back: the transpose of `seen_by`.
void add_transposed(const SeatCone& cone, const Eigen::Vector3d& v, SeatStep& step);

SeatStep zero_step(const SeatProgram& program);

/// sum += factor * step
void add_scaled(double factor, const SeatStep& step, SeatStep& sum);

/// The normal equations P + E' W^-2 E of one interior-point step, E the map from the unknowns to all cones
/// and bounds, P the pulls. The stack centres are taken out by a Schur complement each.
class SeatSystem {
 public:
  /// `weights`: W^-2 of the cones; `bound_weights`: the same of the bounds.
  SeatSystem(const SeatProgram& program, const std::vector<Eigen::Matrix3d>& weights,
             const std::vector<double>& bound_weights);

  SeatStep solve(const SeatStep& right) const;

 private:
  struct Coupling {
    int part = -1;
    Eigen::Matrix<double, 2, 4> block = Eigen::Matrix<double, 2, 4>::Zero();
  };
  struct Centre {
    Eigen::Matrix2d inverse = Eigen::Matrix2d::Zero();  ///< of its own block
    Eigen::Vector2d worst = Eigen::Vector2d::Zero();
    std::vector<Coupling> parts;
    bool used = false;
  };
  void add_cones(const std::vector<Eigen::Matrix3d>& weights);
  void couple(Centre& centre, int part, const Eigen::Matrix<double, 2, 4>& block);
  void take_out(const Centre& centre);

  const SeatProgram& program_;
  std::vector<Centre> centres_;
  SeatNormals normals_;
};

}  // namespace fairhole::detail
