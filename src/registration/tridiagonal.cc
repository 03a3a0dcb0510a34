// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "tridiagonal.h"

#include <algorithm>

namespace fairhole {

Tridiagonal::Tridiagonal(const PointSets& points, std::span<const int> measured) {
  const auto n = static_cast<Eigen::Index>(measured.size());
  below_ = Eigen::VectorXd::Zero(2 * n);
  if (points.full_mm2.size() == 0) {
    diagonal_.resize(2 * n);
    for (Eigen::Index k = 0; k < n; ++k) {
      Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> eigen;
      eigen.computeDirect(points.blocks_mm2[at(measured[static_cast<std::size_t>(k)])]);
      diagonal_.segment<2>(2 * k) = eigen.eigenvalues().cwiseMax(0.0);
      axes_.push_back(eigen.eigenvectors());
    }
    return;
  }
  Eigen::MatrixXd cov(2 * n, 2 * n);
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < n; ++j) {
      cov.block<2, 2>(2 * i, 2 * j) = points.full_mm2.block<2, 2>(2 * measured[static_cast<std::size_t>(i)],
                                                                  2 * measured[static_cast<std::size_t>(j)]);
    }
  }
  dense_.compute(cov);
  diagonal_ = dense_.diagonal();
  below_.head(2 * n - 1) = dense_.subDiagonal();
}

Rows Tridiagonal::turned(const Rows& rows) const {
  if (axes_.empty()) return reflected(rows);
  Rows out(rows.rows(), 4);
  for (std::size_t k = 0; k < axes_.size(); ++k) {
    const auto row = static_cast<Eigen::Index>(2 * k);
    out.middleRows<2>(row) = axes_[k].transpose() * rows.middleRows<2>(row);
  }
  return out;
}

/// The Householder reflections one by one: for four columns far quicker than in blocks.
Rows Tridiagonal::reflected(Rows rows) const {
  const Eigen::MatrixXd& packed = dense_.packedMatrix();
  const auto coefficients = dense_.householderCoefficients();
  for (Eigen::Index k = 0; k + 1 < rows.rows(); ++k) {
    const Eigen::Index tail = rows.rows() - k - 2;
    Eigen::RowVector4d along = rows.row(k + 1);
    for (Eigen::Index i = 0; i < tail; ++i) along += packed(k + 2 + i, k) * rows.row(k + 2 + i);
    along *= coefficients[k];
    rows.row(k + 1) -= along;
    for (Eigen::Index i = 0; i < tail; ++i) rows.row(k + 2 + i) -= packed(k + 2 + i, k) * along;
  }
  return rows;
}

const Tridiagonal& TridiagonalForms::of(const std::vector<int>& measured) {
  constexpr std::size_t kKept = 4;  // each takes 11 MB for 600 holes
  const auto known = std::find_if(latest_.begin(), latest_.end(),
                                  [&](const Form& form) { return form.measured == measured; });
  if (known != latest_.end()) return known->form;
  if (latest_.size() == kKept) latest_.pop_front();
  latest_.push_back({measured, Tridiagonal(points_, measured)});
  return latest_.back().form;
}

}  // namespace fairhole
