// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <Eigen/Eigenvalues>
#include <deque>
#include <span>
#include <vector>

#include "points.h"

namespace fairhole {

/// d posed / d (image x, image y, turn), and last the residual, measured minus posed: 2n x 4.
using Rows = Eigen::Matrix<double, Eigen::Dynamic, 4, Eigen::RowMajor>;

/// Covariance S of some measured holes as Q T Q' with T tridiagonal (diagonal where the holes are
/// independent): S + s^2 I is T + s^2 I in the same coordinates for every s.
class Tridiagonal {
 public:
  Tridiagonal(const PointSets& points, std::span<const int> measured);

  Rows turned(const Rows& rows) const;  ///< Q' rows
  const Eigen::VectorXd& diagonal() const { return diagonal_; }
  const Eigen::VectorXd& below() const { return below_; }

 private:
  Rows reflected(Rows rows) const;

  Eigen::VectorXd diagonal_, below_;
  std::vector<Eigen::Matrix2d> axes_;
  Eigen::Tridiagonalization<Eigen::MatrixXd> dense_;
};

/// The forms made last, by the holes they are for. Poses that the pattern's symmetries lead to one another
/// explain the same measured holes, and on a large part the form is most of the work of adjusting one.
class TridiagonalForms {
 public:
  explicit TridiagonalForms(const PointSets& points) : points_(points) {}

  /// Good until the next call.
  const Tridiagonal& of(const std::vector<int>& measured);

 private:
  struct Form {
    std::vector<int> measured;
    Tridiagonal form;
  };
  const PointSets& points_;
  std::deque<Form> latest_;
};

}  // namespace fairhole
