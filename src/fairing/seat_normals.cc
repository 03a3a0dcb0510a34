// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "seat_normals.h"

namespace fairhole::detail {
namespace {

/// From here on the sparse factors are the faster ones (a third faster at 36 parts, thirty times at 375).
constexpr Eigen::Index kLarge = 100;

}  // namespace

SeatNormals::SeatNormals(int parts)
    : columns_(static_cast<std::size_t>(parts)),
      worst_row_(static_cast<std::size_t>(parts), Eigen::RowVector4d::Zero()) {
  for (int part = 0; part < parts; ++part) columns_[static_cast<std::size_t>(part)].push_back({part});
}

Eigen::Matrix4d& SeatNormals::between(int high, int low) {
  std::vector<Block>& column = columns_[static_cast<std::size_t>(low)];
  for (Block& block : column) {
    if (block.high == high) return block.sum;
  }
  return column.emplace_back(Block{high}).sum;
}

double& SeatNormals::diagonal(Eigen::Index i) {
  const auto part = static_cast<std::size_t>(i / 4);
  return part == columns_.size() ? worst_ : columns_[part].front().sum(i % 4, i % 4);
}

void SeatNormals::note_used() {
  const Eigen::Index size = 4 * static_cast<Eigen::Index>(columns_.size()) + 1;
  for (Eigen::Index i = 0; i < size; ++i) {
    if (diagonal(i) > 0.0) used_.push_back(i);
  }
}

void SeatNormals::factor() {
  // Where seats are not unique the system is barely regular; what rounding leaves of it is held up.
  for (const Eigen::Index i : used_) diagonal(i) = diagonal(i) > 0.0 ? diagonal(i) * (1.0 + 1e-14) : 1.0;
  const bool large = static_cast<Eigen::Index>(used_.size()) >= kLarge;
  if (!large || !factor_sparse()) factor_dense();
}

void SeatNormals::factor_dense() {
  const Eigen::Index parts = static_cast<Eigen::Index>(columns_.size()), worst = 4 * parts;
  Eigen::MatrixXd all = Eigen::MatrixXd::Zero(worst + 1, worst + 1);  // its lower half
  for (Eigen::Index low = 0; low < parts; ++low) {
    for (const Block& block : columns_[static_cast<std::size_t>(low)])
      all.block<4, 4>(4 * static_cast<Eigen::Index>(block.high), 4 * low) = block.sum;
    all.block<1, 4>(worst, 4 * low) = worst_row_[static_cast<std::size_t>(low)];
  }
  all(worst, worst) = worst_;
  dense_.compute(Eigen::MatrixXd(all(used_, used_)));
}

/// False if a pivot is 0: the dense factors, which choose theirs, may still do it.
bool SeatNormals::factor_sparse() {
  const Eigen::Index parts = static_cast<Eigen::Index>(columns_.size()), worst = 4 * parts;
  std::vector<Eigen::Index> place(static_cast<std::size_t>(worst + 1), -1);
  for (std::size_t k = 0; k < used_.size(); ++k)
    place[static_cast<std::size_t>(used_[k])] = static_cast<Eigen::Index>(k);
  std::vector<Eigen::Triplet<double>> entries;
  const auto add = [&](Eigen::Index row, Eigen::Index column, double value) {
    const Eigen::Index i = place[static_cast<std::size_t>(row)], j = place[static_cast<std::size_t>(column)];
    if (i >= j && j >= 0) entries.emplace_back(static_cast<int>(i), static_cast<int>(j), value);
  };
  for (Eigen::Index low = 0; low < parts; ++low) {
    for (int entry = 0; entry < 4; ++entry) {
      for (const Block& block : columns_[static_cast<std::size_t>(low)]) {
        for (int row = 0; row < 4; ++row)
          add(4 * static_cast<Eigen::Index>(block.high) + row, 4 * low + entry, block.sum(row, entry));
      }
      add(worst, 4 * low + entry, worst_row_[static_cast<std::size_t>(low)][entry]);
    }
  }
  add(worst, worst, worst_);
  const auto size = static_cast<Eigen::Index>(used_.size());
  Sparse matrix(size, size);
  matrix.setFromTriplets(entries.begin(), entries.end());
  sparse_.emplace(matrix);
  if (sparse_->info() != Eigen::Success) sparse_.reset();
  return sparse_.has_value();
}

Eigen::VectorXd SeatNormals::solve(const Eigen::VectorXd& right) const {
  const Eigen::VectorXd known = right(used_);
  Eigen::VectorXd x = Eigen::VectorXd::Zero(right.size());
  if (sparse_) {
    x(used_) = Eigen::VectorXd(sparse_->solve(known));
  } else {
    x(used_) = Eigen::VectorXd(dense_.solve(known));
  }
  return x;
}

}  // namespace fairhole::detail
