// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "block.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <numbers>

namespace fairhole::inference {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double kSumSigmas = 4.0;     // leaves out 6e-5 of the density
constexpr double kMostSquares = 20.0;  // beyond the nearest choice's: leaves out 2e-4 in three dimensions
constexpr long kMostEitherSide = 30;   // of a dimension the holes hardly fix

/// Walks through the dimensions, each given those before it.
struct Walker {
  const VectorXd& mean_mm;
  const MatrixXd& root;
  const SeriesPrior& prior;
  Unit unit;
  double most_squares = 0.0;  ///< squared sigmas of a choice beyond which it is left out
  VectorXd whitened;          ///< deviations of the dimensions before, in root units
  LatticeSum sum;

  double middle_mm(int dimension) const {
    return mean_mm[dimension] - root.row(dimension).head(dimension).dot(whitened.head(dimension));
  }

  /// Squared sigmas of the choice that takes the nearest value each time.
  double nearest_squares() {
    const double step_mm = prior.finest_mm(unit);
    for (int d = 0; d < mean_mm.size(); ++d) {
      const double middle = middle_mm(d);
      whitened[d] = (middle - step_mm * std::round(middle / step_mm)) / root(d, d);
    }
    return whitened.squaredNorm();
  }

  void walk(int dimension, double squares, const Term& term) {
    if (dimension == mean_mm.size()) {
      sum.total += term.mass;
      sum.terms.push_back(term);
      return;
    }
    const double step_mm = prior.finest_mm(unit);
    const double sigma_mm = root(dimension, dimension);
    const double middle = middle_mm(dimension);
    const long nearest = std::lround(middle / step_mm);
    const long reach =
        std::clamp(static_cast<long>(std::ceil(kSumSigmas * sigma_mm / step_mm)), 1L, kMostEitherSide);
    for (long index = nearest - reach; index <= nearest + reach; ++index) {
      const double z = (middle - static_cast<double>(index) * step_mm) / sigma_mm;
      if (squares + z * z > most_squares) continue;
      whitened[dimension] = z;
      Term next = term;
      next.index[static_cast<std::size_t>(dimension)] = index;
      next.mass *= prior.weight_mm(unit, index) * std::exp(-0.5 * z * z) /
                   (sigma_mm * std::sqrt(2.0 * std::numbers::pi));
      if (next.mass > 0.0) walk(dimension + 1, squares + z * z, next);
    }
  }
};

}  // namespace

Adjusted adjust_block(const Block& block, double scatter_mm) {
  const Eigen::Index unknowns = block.segments.front().design.cols();
  MatrixXd normal = MatrixXd::Zero(unknowns, unknowns);
  MatrixXd right = MatrixXd::Zero(unknowns, 2);
  Eigen::Matrix2d squares = Eigen::Matrix2d::Zero();
  Adjusted out;
  for (const Segment& segment : block.segments) {
    const Eigen::Index n = segment.z0_mm.size();
    const Eigen::LLT<MatrixXd> root(segment.measuring_cov_mm2 +
                                    scatter_mm * scatter_mm * MatrixXd::Identity(n, n));
    MatrixXd data(n, 2);
    data << segment.z0_mm, segment.z1_mm;
    const MatrixXd x = root.matrixL().solve(segment.design);
    const MatrixXd z = root.matrixL().solve(data);
    normal += x.transpose() * x;
    right += x.transpose() * z;
    squares += z.transpose() * z;
    out.log_norm -= root.matrixLLT().diagonal().array().log().sum() +
                    0.5 * static_cast<double>(n) * std::log(2.0 * std::numbers::pi);
  }
  const Eigen::LLT<MatrixXd> factor(normal);
  const MatrixXd solved = factor.solve(right);
  const Eigen::Matrix2d rest = squares - right.transpose() * solved;
  out.r00 = rest(0, 0);
  out.r01 = 0.5 * (rest(0, 1) + rest(1, 0));
  out.r11 = rest(1, 1);
  out.log_norm -= factor.matrixLLT().diagonal().array().log().sum() -
                  0.5 * static_cast<double>(unknowns) * std::log(2.0 * std::numbers::pi);
  const MatrixXd cov = factor.solve(MatrixXd::Identity(unknowns, unknowns));
  if (block.snapped == 0) return out;
  out.d0_mm = solved.col(0).head(block.snapped);
  out.d1_mm = solved.col(1).head(block.snapped);
  out.root_cov = cov.topLeftCorner(block.snapped, block.snapped).llt().matrixL();
  return out;
}

LatticeSum sum_round_values(const VectorXd& mean_mm, const MatrixXd& root_cov, const SeriesPrior& prior,
                            Unit unit) {
  Walker walker{mean_mm, root_cov, prior, unit, 0.0, VectorXd::Zero(mean_mm.size()), {}};
  walker.most_squares = walker.nearest_squares() + kMostSquares;
  walker.walk(0, 0.0, Term{{}, 1.0});
  return std::move(walker.sum);
}

}  // namespace fairhole::inference
