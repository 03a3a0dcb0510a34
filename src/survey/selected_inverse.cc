// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "selected_inverse.h"

#include <algorithm>
#include <cassert>

namespace fairhole::survey_detail {

SelectedInverse::SelectedInverse(const Factor& factor) {
  const auto& lower = factor.matrixL().nestedExpression();
  const Eigen::VectorXd d = factor.vectorD();
  const int n = static_cast<int>(d.size());
  begin_.push_back(0);
  for (int j = 0; j < n; ++j) {
    for (Eigen::SparseMatrix<double>::InnerIterator it(lower, j); it; ++it) {
      if (it.row() <= j) continue;
      row_.push_back(static_cast<int>(it.row()));
      l_.push_back(it.value());
    }
    begin_.push_back(static_cast<int>(row_.size()));
  }
  z_.assign(l_.size(), 0.0);
  d_.assign(d.begin(), d.end());
  diagonal_.assign(static_cast<std::size_t>(n), 0.0);
  std::vector<double> l_of(static_cast<std::size_t>(n), 0.0);  // column j of L, spread out
  std::vector<double> sum(static_cast<std::size_t>(n), 0.0);
  std::vector<char> in_column(static_cast<std::size_t>(n), 0);
  for (int j = n - 1; j >= 0; --j) {
    const auto first = static_cast<std::size_t>(begin_[static_cast<std::size_t>(j)]);
    const auto last = static_cast<std::size_t>(begin_[static_cast<std::size_t>(j) + 1]);
    for (std::size_t p = first; p < last; ++p) {
      const auto k = static_cast<std::size_t>(row_[p]);
      l_of[k] = l_[p];
      sum[k] = 0.0;
      in_column[k] = 1;
    }
    // sum_i = sum over k of L_kj Z_ik, each Z_ik taken from the column of the smaller index.
    for (std::size_t p = first; p < last; ++p) {
      const auto k = static_cast<std::size_t>(row_[p]);
      sum[k] += l_of[k] * diagonal_[k];
      for (auto q = static_cast<std::size_t>(begin_[k]); q < static_cast<std::size_t>(begin_[k + 1]); ++q) {
        const auto i = static_cast<std::size_t>(row_[q]);
        if (in_column[i] == 0) continue;
        sum[i] += l_of[k] * z_[q];
        sum[k] += l_of[i] * z_[q];
      }
    }
    double of_diagonal = 1.0 / d[j];
    for (std::size_t p = first; p < last; ++p) {
      const auto k = static_cast<std::size_t>(row_[p]);
      z_[p] = -sum[k];
      of_diagonal -= l_of[k] * z_[p];
    }
    diagonal_[static_cast<std::size_t>(j)] = of_diagonal;
    for (std::size_t p = first; p < last; ++p) in_column[static_cast<std::size_t>(row_[p])] = 0;
  }
  const auto& places = factor.permutationP().indices();
  place_.resize(static_cast<std::size_t>(n));
  for (int i = 0; i < n; ++i) place_[static_cast<std::size_t>(i)] = places.size() == 0 ? i : places[i];
}

void SelectedInverse::solve_block(int first, Block& x) const {
  const int n = static_cast<int>(d_.size());
  for (int j = first; j < n; ++j) {  // rows above `first` are zero
    const Eigen::Matrix<double, 1, kBlock> xj = x.row(j);
    for (int p = begin_[static_cast<std::size_t>(j)]; p < begin_[static_cast<std::size_t>(j) + 1]; ++p) {
      x.row(row_[static_cast<std::size_t>(p)]) -= l_[static_cast<std::size_t>(p)] * xj;
    }
  }
  for (int j = n - 1; j >= 0; --j) {
    Eigen::Matrix<double, 1, kBlock> xj = x.row(j) / d_[static_cast<std::size_t>(j)];
    for (int p = begin_[static_cast<std::size_t>(j)]; p < begin_[static_cast<std::size_t>(j) + 1]; ++p) {
      xj -= l_[static_cast<std::size_t>(p)] * x.row(row_[static_cast<std::size_t>(p)]);
    }
    x.row(j) = xj;
  }
}

Eigen::MatrixXd SelectedInverse::full() const {
  const int n = static_cast<int>(d_.size());
  std::vector<int> original(place_.size());
  for (int i = 0; i < n; ++i) original[static_cast<std::size_t>(place_[static_cast<std::size_t>(i)])] = i;
  Eigen::MatrixXd out(n, n);
  Block x(n, kBlock);
  for (int first = 0; first < n; first += kBlock) {
    const int count = std::min(kBlock, n - first);
    x.setZero();
    for (int k = 0; k < count; ++k) x(first + k, k) = 1.0;
    solve_block(first, x);
    for (int k = 0; k < count; ++k) {
      const int col = original[static_cast<std::size_t>(first + k)];
      for (int i = 0; i < n; ++i) out(i, col) = x(place_[static_cast<std::size_t>(i)], k);
    }
  }
  return out;
}

int SelectedInverse::find(int row, int col) const {
  const auto first = row_.begin() + begin_[static_cast<std::size_t>(col)];
  const auto last = row_.begin() + begin_[static_cast<std::size_t>(col) + 1];
  const auto at = std::lower_bound(first, last, row);
  assert(at != last && *at == row);
  return static_cast<int>(at - row_.begin());
}

double SelectedInverse::operator()(int row, int col) const {
  const int a = place_[static_cast<std::size_t>(row)];
  const int b = place_[static_cast<std::size_t>(col)];
  if (a == b) return diagonal_[static_cast<std::size_t>(a)];
  return z_[static_cast<std::size_t>(find(std::max(a, b), std::min(a, b)))];
}

}  // namespace fairhole::survey_detail
