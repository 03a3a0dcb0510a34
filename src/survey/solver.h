// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <Eigen/SparseCholesky>
#include <memory>
#include <vector>

#include "model.h"
#include "selected_inverse.h"

namespace fairhole::survey_detail {

/// Which parameters are unknowns, and their columns.
struct Columns {
  explicit Columns(const std::vector<Param>& params);
  std::vector<int> of_param;  // -1: fixed
  std::vector<int> params;    // the unknowns
  int count() const { return static_cast<int>(params.size()); }
};

/// The normal equations of the active observations at one state, scaled to a unit diagonal and factored.
class Normals {
 public:
  Normals(const Model& model, const Columns& columns) : model_(model), columns_(columns) {}
  /// `weights` multiply 1/sigma^2 (robust pass); empty for 1. `ridge` is added to the unit diagonal.
  void build(const std::vector<Equation>& equations, const Eigen::VectorXd& residual, double ridge,
             const std::vector<double>& weights);
  Eigen::VectorXd step() const;     // the correction of the unknowns
  Eigen::MatrixXd inverse() const;  // covariance; prepare() before
  /// a Q a' of an observation of the model, and an unknown's variance, without the whole of Q. Call prepare()
  /// before.
  double fit_variance(const Equation& e) const;
  double variance(int column) const { return covariance(column, column); }
  /// Of the two coordinates of a hole, or two unknowns of one observation.
  double covariance(int row, int col) const { return selected_(row, col) * scale_[row] * scale_[col]; }
  /// a Q a' of any equation, by a solution.
  double variance_of(const Equation& e) const;
  void prepare();
  /// Q a': the covariance of an equation's value with every unknown.
  Eigen::VectorXd covariance_with(const Equation& e) const;
  /// Smallest pivot of the scaled matrix: near 0 when some unknown is not determined.
  double least_pivot() const;

 private:
  const Model& model_;
  const Columns& columns_;
  Eigen::SparseMatrix<double> normal_;
  Eigen::VectorXd scale_;
  Eigen::VectorXd right_;
  SelectedInverse::Factor factor_;
  SelectedInverse selected_;
  bool analysed_ = false;
};

/// An adjustment at its solution. Sizes: observations of the model; `q` over the columns.
struct Solution {
  Eigen::VectorXd state;
  std::vector<Equation> equations;  // at `state`
  Eigen::VectorXd residual;         // observed minus computed, mm
  std::shared_ptr<const Normals>
      normals;        // factored at `state`; none after a robust pass or without convergence
  Eigen::MatrixXd q;  // covariance of the unknowns; empty until fill_covariance
  double chi2 = 0.0;
  int dof = 0;
  bool converged = false;
};

/// Evaluates all observations; returns the weighted sum of squares of the active ones.
double evaluate_all(const Model& model, const Eigen::VectorXd& state, const std::vector<double>& weights,
                    std::vector<Equation>& equations, Eigen::VectorXd& residual);

/// What an adjustment is for: its last digit counts; or only its tests, to a thousandth of a millimetre; or
/// to point at suspects, with weights that fall with the residual (reweighted least absolute deviations) and
/// without a covariance.
enum class Purpose { kResult, kSearch, kRobust };

/// Gauss-Newton from `start`, damped while the sum of squares would grow.
Solution solve(const Model& model, const Columns& columns, const Eigen::VectorXd& start,
               Purpose purpose = Purpose::kResult);

/// Computes `q`.
void fill_covariance(Solution& s);

/// a Q b' of two equations; fixed parameters do not count.
double covariance_of(const Equation& a, const Equation& b, const Columns& columns, const Eigen::MatrixXd& q);

/// Below this pivot of the scaled normal equations an unknown counts as not determined.
inline constexpr double kLeastPivot = 1e-9;

}  // namespace fairhole::survey_detail
