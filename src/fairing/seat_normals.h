// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Cholesky>
#include <Eigen/SparseCholesky>
#include <optional>
#include <vector>

#include "seat_program.h"

namespace fairhole::detail {

/// The symmetric system that is left of one interior-point step over the parts' four entries each and the
/// worst, which comes last. On a long frame a part meets only its neighbours: the blocks between parts are
/// kept where there are any, and large systems are factored sparse (the worst, which meets all, is eliminated
/// last).
class SeatNormals {
 public:
  explicit SeatNormals(int parts);

  /// Between entry i of part `low` and part `high` >= `low`: row of the high part, column of the low one.
  Eigen::Matrix4d& between(int high, int low);
  Eigen::RowVector4d& worst_and(int part) { return worst_row_[static_cast<std::size_t>(part)]; }
  double& worst() { return worst_; }

  /// Which entries anything has been added to: all others stay 0 in `solve`. Once, before any centre is taken
  /// out.
  void note_used();

  /// Once all is added.
  void factor();
  Eigen::VectorXd solve(const Eigen::VectorXd& right) const;

 private:
  struct Block {
    int high = 0;
    Eigen::Matrix4d sum = Eigen::Matrix4d::Zero();
  };
  using Sparse = Eigen::SparseMatrix<double>;
  double& diagonal(Eigen::Index i);
  void factor_dense();
  bool factor_sparse();

  std::vector<std::vector<Block>> columns_;  ///< of each part, its own block first
  std::vector<Eigen::RowVector4d> worst_row_;
  double worst_ = 0.0;
  std::vector<Eigen::Index> used_;
  Eigen::LDLT<Eigen::MatrixXd> dense_;
  std::optional<Eigen::SimplicialLDLT<Sparse>> sparse_;
};

}  // namespace fairhole::detail
