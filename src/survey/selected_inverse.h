// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/SparseCholesky>
#include <vector>

namespace fairhole::survey_detail {

/// The entries of a symmetric matrix's inverse on the pattern of its factor L, from N = L D L' without the
/// rest:
///   Z_ij = delta_ij / d_j - sum over k > j of L_kj Z_ik
/// (K. Takahashi, J. Fagan, M.-S. Chen, Formation of a sparse bus impedance matrix, PICA 1973). The pattern
/// holds that of N, so every a N^-1 a' of a row a of the adjustment can be had; the cost is that of the
/// factorisation.
class SelectedInverse {
 public:
  using Factor = Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>>;

  SelectedInverse() = default;
  explicit SelectedInverse(const Factor& factor);

  /// Entry of the inverse in the original order; (row, col) must lie on the pattern of N (asserted).
  double operator()(int row, int col) const;

  /// The whole inverse, in the original order: a few columns at a time, side by side.
  Eigen::MatrixXd full() const;

 private:
  int find(int row, int col) const;  // position of (row, col), row > col, in the factor's order

  /// Solves L D L' X = X for the columns of a block whose first kBlock rows begin at `first`.
  static constexpr int kBlock = 8;
  using Block = Eigen::Matrix<double, Eigen::Dynamic, kBlock, Eigen::RowMajor>;
  void solve_block(int first, Block& x) const;

  std::vector<int> place_;  // original index -> the factor's
  std::vector<int> begin_;  // columns of L, strictly below the diagonal
  std::vector<int> row_;
  std::vector<double> l_;  // L on its pattern
  std::vector<double> d_;
  std::vector<double> z_;  // Z on the pattern of L
  std::vector<double> diagonal_;
};

}  // namespace fairhole::survey_detail
