// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "quick_evidence.h"
#include "search.h"

namespace fairhole {

/// What the search knows of its measured holes and how far off it lets them lie.
struct Gates {
  explicit Gates(const Scene& scene);

  double sigmas = 4.0;
  std::vector<double> variance_mm2;  ///< of each measured hole, survey (larger axis) and a wide scatter
  double largest_mm2 = 0.0;
  double reach_mm = 0.0;  ///< gates wider than this are not looked into: such a hole may be a hit
};

/// A motion ready for many points.
struct FastPose {
  double c = 1.0, s = 0.0, x_mm = 0.0, y_mm = 0.0;
  bool mirrored = false;

  static FastPose of(const Motion& pose);
  Motion motion() const;
  Eigen::Vector2d to_pattern(const Eigen::Vector2d& p_mm) const {
    const double dx = p_mm.x() - x_mm, dy = p_mm.y() - y_mm;
    const double v = c * dy - s * dx;
    return {c * dx + s * dy, mirrored ? -v : v};
  }
  Eigen::Vector2d to_face(const Eigen::Vector2d& q_mm) const {
    const double v = mirrored ? -q_mm.y() : q_mm.y();
    return {x_mm + c * q_mm.x() - s * v, y_mm + s * q_mm.x() + c * v};
  }
};

/// How well a trial pose is known: about a middle, an even variance of shift and one of turn.
struct Looseness {
  Eigen::Vector2d middle_mm = Eigen::Vector2d::Zero();  ///< face frame
  double shift_mm2 = 0.0;
  double turn_rad2 = 0.0;
  double at(const Eigen::Vector2d& p_mm) const {
    return shift_mm2 + turn_rad2 * (p_mm - middle_mm).squaredNorm();
  }
  Eigen::Matrix3d covariance(const FastPose& pose) const;  ///< at the pattern's origin
};

/// Where some pairs lie best on each other, all weighing alike.
struct RigidFit {
  FastPose pose;
  std::size_t pairs = 0;
  Eigen::Vector2d middle_mm = Eigen::Vector2d::Zero();  ///< of the measured holes
  double spread_mm2 = 0.0, squares_mm2 = 0.0;           ///< of the drawn holes about their middle; residual

  bool has_turn() const { return spread_mm2 >= 1e-6; }  ///< false where all lie on one spot
  Looseness looseness(const Gates& gates) const;        ///< if the pairs are right
};

/// In closed form (Procrustes in the plane).
RigidFit rigid_fit(const PointSets& points, const std::vector<Pairing>& pairs, bool mirrored);

struct Polished {
  FastPose pose;
  std::size_t pairs = 0;
  double spread_mm2 = 0.0;
  QuickEvidence::Value value;
  Start start;           ///< its score without any prior
  bool settled = false;  ///< the pairs repeat
};

/// Nearest holes and rigid fit in turn, the gates narrowing as the pose gets known. Nothing when fewer than 2
/// holes stand or a pinned one does not.
std::optional<Polished> polish(const Scene& scene, const Gates& gates, const NearestNominal& nearest,
                               const QuickEvidence& evidence, const FastPose& start, const Looseness& loose);

}  // namespace fairhole
