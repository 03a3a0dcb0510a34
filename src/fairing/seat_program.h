// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <functional>
#include <vector>

/// The convex problem behind the seats,
///   min worst + pull   so that   each cone's (gauge * worst, 0) + sum of slope * part
///                                - (0, centre of its stack) + at lies in { t >= |p| },
///                                and each bound's sign * part[entry] + at >= 0,
/// pull = sum of pull / 2 * (part[entry] - to)^2,
/// and its solver: a primal-dual interior-point method with Nesterov and Todd's scaling and Mehrotra's
/// predictor and corrector. Stack centres are eliminated stack by stack; what is left is one system over the
/// parts' four entries each, factored sparse where it is large.
namespace fairhole::detail {

using PartVector = Eigen::Vector4d;
using ConeSlope = Eigen::Matrix<double, 3, 4>;

struct SeatSlope {
  int part = 0;
  ConeSlope slope = ConeSlope::Zero();
};

struct SeatCone {
  int stack = -1;      ///< none: no centre to take off
  double gauge = 0.0;  ///< share of the worst in the cone's first entry
  std::vector<SeatSlope> parts;
  Eigen::Vector3d at = Eigen::Vector3d::Zero();
};

struct SeatBound {
  int part = 0;
  int entry = 0;
  double sign = 1.0;
  double at = 0.0;
};

struct SeatPull {
  PartVector strength = PartVector::Zero();
  PartVector to = PartVector::Zero();
};

/// An entry without any bound, cone or pull stays 0. Without a cone of gauge there is no worst.
struct SeatProgram {
  int parts = 0;
  int stacks = 0;
  std::vector<SeatPull> pulls;  ///< of each part; empty: none
  std::vector<SeatCone> cones;
  std::vector<SeatBound> bounds;
};

struct SeatPoint {
  std::vector<PartVector> parts;
  std::vector<Eigen::Vector2d> centres;
  double worst = 0.0;
  std::vector<Eigen::Vector3d> multipliers;  ///< of the cones
  double gap = 0.0;                          ///< slack times multiplier, summed
  bool feasible = false;                     ///< the point keeps all cones and bounds
};

/// Asked after every step; true ends the search there.
using SeatWatch = std::function<bool(const SeatPoint&)>;

/// Solves until the gap is below `gap`, or no step helps any more. `start` is a first guess for the parts'
/// entries, strictly within all bounds and cones without gauge if there are any.
SeatPoint solve(const SeatProgram& program, const std::vector<PartVector>& start, double gap,
                const SeatWatch& watch = {});

}  // namespace fairhole::detail
