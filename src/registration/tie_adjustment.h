// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <vector>

#include "fairhole/registration/fuse.h"

namespace fairhole {

/// One thing that ties the loose frame: a hole seen by both, or an edge (offset and turn). Two rows of
/// conditions each.
struct Tie {
  std::size_t fixed = 0, loose = 0;  ///< of a hole
  const EdgeTie* edge = nullptr;     ///< of an edge
};

/// Condition adjustment: state = fixed holes, loose holes, place (x, y, turn), each with its prior; the ties
/// are conditions c(state) = 0. Solved as an iterated update (Jazwinski 1970, Stochastic Processes and
/// Filtering Theory, section 8.3), which bears exact coordinates (zero variance). mm, radians, face frame.
class TieAdjustment {
 public:
  static constexpr int kPoseUnknowns = 3;

  /// Both faces must outlive it. `start`: where the loose frame lies to begin with.
  TieAdjustment(const MeasuredFace& fixed, const LooseFace& loose, const Motion& start,
                const Eigen::MatrixXd& loose_cov);

  void solve(const std::vector<Tie>& ties);

  Motion place() const;
  Eigen::Index rows() const { return rows_; }
  const Eigen::VectorXd& misfit() const { return misfit_; }
  const Eigen::MatrixXd& weight() const { return weight_; }  ///< inverse covariance of the misfit
  Eigen::Vector2d fixed_hole(std::size_t i) const;
  Eigen::Vector2d loose_hole(std::size_t i) const;  ///< in its own frame

  /// Covariance of holes on the face: those of `fixed`, then those of `loose`, by index.
  Eigen::MatrixXd face_covariance(const std::vector<std::size_t>& fixed,
                                  const std::vector<std::size_t>& loose) const;

 private:
  void put(const MeasuredFace& face, Eigen::Index from);
  Eigen::Matrix<double, 2, 3> by_place(const Eigen::Vector2d& loose_mm) const;
  Eigen::MatrixXd gain() const { return covariance_ * slope_.transpose() * weight_; }
  void linearise(const std::vector<Tie>& ties);

  const LooseFace& loose_;
  Eigen::Index nf_, nl_, rows_ = 0;
  Eigen::VectorXd prior_, state_, misfit_;
  Eigen::MatrixXd covariance_, slope_, weight_;
};

}  // namespace fairhole
