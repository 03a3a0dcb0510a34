// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "solver.h"

#include <algorithm>
#include <cmath>

namespace fairhole::survey_detail {
namespace {

constexpr int kMostIterations = 100;
// A change of this size at a hole ends the iteration. The steps shrink by about residual / distance, some
// hundredfold, so the rest is below a nanometre.
constexpr double kStepMm = 1e-7;
// Gross contradictions make the steps shrink slowly: then this is enough, for those readings are left out.
constexpr int kSlowAfter = 25;
constexpr double kSlowStepMm = 1e-5;
constexpr int kMostDampings = 12;
constexpr int kMostHalvings = 10;
constexpr double kRounding = 1e-12;  // share of the sum of squares that rounding may move
constexpr double kFirstDamping = 1e-3;
constexpr int kRobustIterations = 15;  // it only has to point at suspects
constexpr double kRobustStepMm = 0.01;
constexpr double kSearchStepMm = 1e-3;
constexpr int kSearchIterations = 40;

/// How far a correction moves any reading: coordinates and diameters count in mm, scales and angles by the
/// arm they act on.
double size_of(const Eigen::VectorXd& step, const Model& model, const Columns& columns) {
  constexpr double kArmMm = 1000.0;
  double most = 0.0;
  for (int c = 0; c < columns.count(); ++c) {
    const ParamKind kind =
        model.params[static_cast<std::size_t>(columns.params[static_cast<std::size_t>(c)])].kind;
    const double arm = kind == ParamKind::kScale || kind == ParamKind::kSquare ? kArmMm : 1.0;
    most = std::max(most, std::abs(step[c]) * arm);
  }
  return most;
}

void move(Eigen::VectorXd& state, const Eigen::VectorXd& step, const Columns& columns) {
  for (int c = 0; c < columns.count(); ++c) state[columns.params[static_cast<std::size_t>(c)]] += step[c];
}

/// Weights of least absolute deviations by reweighting: 1 for small residuals, falling as 1/|u| beyond.
std::vector<double> robust_weights(const Model& model, const Eigen::VectorXd& residual) {
  std::vector<double> weights(model.observations.size(), 1.0);
  for (std::size_t i = 0; i < weights.size(); ++i) {
    const double u = std::abs(residual[static_cast<Eigen::Index>(i)]) / model.observations[i].sigma;
    weights[i] = 1.0 / std::max(1.0, u);
  }
  return weights;
}

double step_enough(Purpose purpose, int iteration) {
  switch (purpose) {
    case Purpose::kRobust:
      return kRobustStepMm;
    case Purpose::kSearch:
      return kSearchStepMm;
    case Purpose::kResult:
      break;
  }
  return iteration < kSlowAfter ? kStepMm : kSlowStepMm;
}

int active_count(const Model& model) {
  return static_cast<int>(std::count_if(model.observations.begin(), model.observations.end(),
                                        [](const Observation& o) { return o.active; }));
}

}  // namespace

Columns::Columns(const std::vector<Param>& all) : of_param(all.size(), -1) {
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (all[i].fixed) continue;
    of_param[i] = count();
    params.push_back(static_cast<int>(i));
  }
}

void Normals::build(const std::vector<Equation>& equations, const Eigen::VectorXd& residual, double ridge,
                    const std::vector<double>& weights) {
  const int n = columns_.count();
  std::vector<Eigen::Triplet<double>> entries;
  entries.reserve(equations.size() * 16);
  right_ = Eigen::VectorXd::Zero(n);
  for (int c = 0; c < n; ++c) {
    entries.emplace_back(c, c, 0.0);
    // The covariance of a hole's own x and y is wanted too, whether a reading ties them or not.
    const int param = columns_.params[static_cast<std::size_t>(c)];
    const bool is_y = param < 2 * model_.hole_count() && param % 2 == 1;
    const int of_x = is_y ? columns_.of_param[static_cast<std::size_t>(param) - 1] : -1;
    if (of_x >= 0) entries.emplace_back(c, of_x, 0.0);
  }
  for (std::size_t i = 0; i < equations.size(); ++i) {
    const Observation& o = model_.observations[i];
    const double use = o.active ? (weights.empty() ? 1.0 : weights[i]) : 0.0;
    const double weight = use / (o.sigma * o.sigma);
    for (const Partial& p : equations[i].partials) {
      const int row = columns_.of_param[static_cast<std::size_t>(p.param)];
      if (row < 0) continue;
      right_[row] += weight * p.value * residual[static_cast<Eigen::Index>(i)];
      for (const Partial& other : equations[i].partials) {
        const int col = columns_.of_param[static_cast<std::size_t>(other.param)];
        if (col >= 0 && col <= row) entries.emplace_back(row, col, weight * p.value * other.value);
      }
    }
  }
  normal_.resize(n, n);
  normal_.setFromTriplets(entries.begin(), entries.end());
  scale_.resize(n);
  for (int c = 0; c < n; ++c) {
    const double d = normal_.coeff(c, c);
    scale_[c] = d > 0.0 ? 1.0 / std::sqrt(d) : 1.0;
  }
  for (int c = 0; c < n; ++c) {
    for (Eigen::SparseMatrix<double>::InnerIterator it(normal_, c); it; ++it) {
      it.valueRef() *= scale_[it.row()] * scale_[c];
      if (it.row() == c) it.valueRef() += ridge;
    }
  }
  if (!analysed_) {
    factor_.analyzePattern(normal_);
    analysed_ = true;
  }
  factor_.factorize(normal_);
}

Eigen::VectorXd Normals::step() const {
  return scale_.cwiseProduct(factor_.solve(scale_.cwiseProduct(right_)));
}

Eigen::MatrixXd Normals::inverse() const {
  Eigen::MatrixXd q = selected_.full();
  for (Eigen::Index c = 0; c < q.cols(); ++c) q.col(c).array() *= scale_.array() * scale_[c];
  return q;
}

void Normals::prepare() { selected_ = SelectedInverse(factor_); }

double Normals::fit_variance(const Equation& e) const {
  double sum = 0.0;
  for (const Partial& p : e.partials) {
    const int row = columns_.of_param[static_cast<std::size_t>(p.param)];
    if (row < 0) continue;
    for (const Partial& other : e.partials) {
      const int col = columns_.of_param[static_cast<std::size_t>(other.param)];
      if (col >= 0) sum += p.value * other.value * selected_(row, col) * scale_[row] * scale_[col];
    }
  }
  return sum;
}

Eigen::VectorXd Normals::covariance_with(const Equation& e) const {
  Eigen::VectorXd a = Eigen::VectorXd::Zero(columns_.count());
  for (const Partial& p : e.partials) {
    const int c = columns_.of_param[static_cast<std::size_t>(p.param)];
    if (c >= 0) a[c] += p.value;
  }
  return scale_.cwiseProduct(factor_.solve(scale_.cwiseProduct(a)));
}

double Normals::variance_of(const Equation& e) const {
  const Eigen::VectorXd q_a = covariance_with(e);
  double sum = 0.0;
  for (const Partial& p : e.partials) {
    const int c = columns_.of_param[static_cast<std::size_t>(p.param)];
    if (c >= 0) sum += p.value * q_a[c];
  }
  return sum;
}

double Normals::least_pivot() const {
  if (factor_.info() != Eigen::Success) return 0.0;
  return scale_.size() == 0 ? 1.0 : factor_.vectorD().minCoeff();
}

double evaluate_all(const Model& model, const Eigen::VectorXd& state, const std::vector<double>& weights,
                    std::vector<Equation>& equations, Eigen::VectorXd& residual) {
  const std::size_t n = model.observations.size();
  equations.resize(n);
  residual.resize(static_cast<Eigen::Index>(n));
  double sum = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    const Observation& o = model.observations[i];
    model.evaluate(o, state, equations[i]);
    const double v = o.observed - equations[i].value;
    residual[static_cast<Eigen::Index>(i)] = v;
    if (!o.active) continue;
    const double u = v / o.sigma;
    sum += u * u * (weights.empty() ? 1.0 : weights[i]);
  }
  return sum;
}

namespace {

/// The iteration's state, shared by its steps.
struct Iteration {
  const Model& model;
  const Columns& columns;
  Solution& s;
  std::shared_ptr<Normals> normals;
  std::vector<double> weights;
  double sum = 0.0;
  bool stuck = false;  // no step helped: the next would be the same
  std::vector<Equation> tried_equations;
  Eigen::VectorXd tried_residual;

  /// Takes `share` of the step if the sum of squares does not grow.
  bool try_step(const Eigen::VectorXd& step, double share) {
    Eigen::VectorXd tried = s.state;
    move(tried, share * step, columns);
    const double after = evaluate_all(model, tried, weights, tried_equations, tried_residual);
    if (!(after <= sum * (1.0 + kRounding) + kRounding)) return false;
    s.state = std::move(tried);
    std::swap(s.equations, tried_equations);
    std::swap(s.residual, tried_residual);
    sum = after;
    return true;
  }

  /// One Gauss-Newton step, shortened while the sum of squares would grow, or else damped (Levenberg and
  /// Marquardt). Returns the size of the full step, or infinity when none helps.
  double advance() {
    double damping = 0.0;
    for (int k = 0; k < kMostDampings; ++k) {
      normals->build(s.equations, s.residual, damping, weights);
      const Eigen::VectorXd step = normals->step();
      if (step.allFinite()) {
        double share = 1.0;
        for (int h = 0; h < kMostHalvings; ++h, share *= 0.5) {
          if (try_step(step, share)) return size_of(step, model, columns) * (damping > 0.0 ? INFINITY : 1.0);
        }
      }
      damping = damping == 0.0 ? kFirstDamping : damping * 10.0;
    }
    stuck = true;
    return INFINITY;
  }
};

}  // namespace

Solution solve(const Model& model, const Columns& columns, const Eigen::VectorXd& start, Purpose purpose) {
  const bool robust = purpose == Purpose::kRobust;
  Solution s;
  s.state = start;
  Iteration it{model, columns, s, std::make_shared<Normals>(model, columns), {}, 0.0, false, {}, {}};
  it.sum = evaluate_all(model, s.state, {}, s.equations, s.residual);
  const int most = robust                        ? kRobustIterations
                   : purpose == Purpose::kSearch ? kSearchIterations
                                                 : kMostIterations;
  for (int i = 0; i < most && !s.converged; ++i) {
    if (robust) {
      it.weights = robust_weights(model, s.residual);
      it.sum = evaluate_all(model, s.state, it.weights, s.equations, s.residual);
    }
    s.converged = it.advance() < step_enough(purpose, i);
    if (it.stuck && !robust) break;  // the weights of a robust pass change with every step
  }
  s.chi2 = it.sum;
  s.dof = active_count(model) - columns.count();
  if (robust) return s;
  // The normal equations of the last step, less than kSlowStepMm away, serve for the covariance.
  if (!s.converged || it.normals->least_pivot() < kLeastPivot) {
    s.converged = false;
    return s;
  }
  it.normals->prepare();
  s.normals = it.normals;
  return s;
}

void fill_covariance(Solution& s) { s.q = s.normals->inverse(); }

double covariance_of(const Equation& a, const Equation& b, const Columns& columns, const Eigen::MatrixXd& q) {
  double sum = 0.0;
  for (const Partial& p : a.partials) {
    const int row = columns.of_param[static_cast<std::size_t>(p.param)];
    if (row < 0) continue;
    for (const Partial& other : b.partials) {
      const int col = columns.of_param[static_cast<std::size_t>(other.param)];
      if (col >= 0) sum += p.value * q(row, col) * other.value;
    }
  }
  return sum;
}

}  // namespace fairhole::survey_detail
