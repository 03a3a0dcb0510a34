// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "datum.h"

#include <Eigen/Eigenvalues>
#include <Eigen/LU>
#include <Eigen/QR>
#include <cmath>

#include "fairhole/geometry/pose.h"

namespace fairhole::survey_detail {
namespace {

constexpr double kHeldSigmaMm = 1e-3;  // how stiffly an exactly held coordinate resists a motion
constexpr double kGaugeShare = 1e-12;  // of the stiffest motion: below, nothing resists
constexpr double kNoMotion = 1e-9;     // mm
constexpr int kMostPlacements = 20;
constexpr double kPlacedRad = 1e-14;

struct Extent {
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();
  double radius = 1.0;
};

Extent extent_of(const Model& model, const Eigen::VectorXd& state) {
  Extent e;
  const int n = model.hole_count();
  for (int h = 0; h < n; ++h) e.middle += state.segment<2>(2 * h) / n;
  double sum = 0.0;
  for (int h = 0; h < n; ++h) sum += (state.segment<2>(2 * h) - e.middle).squaredNorm() / n;
  if (sum > 0.0) e.radius = std::sqrt(sum);
  return e;
}

/// How parameter p moves under shift x, shift y and a turn about `e.middle` of one radian per radius.
Eigen::Vector3d motion_of(const Model& model, int p, const Eigen::VectorXd& state, const Extent& e) {
  const Param& param = model.params[static_cast<std::size_t>(p)];
  if (param.kind == ParamKind::kX) return {1.0, 0.0, -(state[p + 1] - e.middle.y()) / e.radius};
  if (param.kind == ParamKind::kY) return {0.0, 1.0, (state[p - 1] - e.middle.x()) / e.radius};
  return Eigen::Vector3d::Zero();
}

/// The zeros of running tapes go with a shift; edge zeros are tied to their edge.
Eigen::Vector3d motion_with_zeros(const Model& model, int p, const Eigen::VectorXd& state, const Extent& e,
                                  const std::vector<char>& is_running_zero) {
  if (is_running_zero[static_cast<std::size_t>(p)] == 0) return motion_of(model, p, state, e);
  const ParamKind kind = model.params[static_cast<std::size_t>(p)].kind;
  return kind == ParamKind::kZeroX ? Eigen::Vector3d(1.0, 0.0, 0.0) : Eigen::Vector3d(0.0, 1.0, 0.0);
}

/// Rows (shift x, shift y, turn about the origin) of every coordinate.
Eigen::MatrixXd coordinate_motions(const Model& model, const Eigen::VectorXd& state) {
  const int n = model.hole_count();
  Eigen::MatrixXd rows(2 * n, 3);
  for (int h = 0; h < n; ++h) {
    rows.row(2 * h) << 1.0, 0.0, -state[2 * h + 1];
    rows.row(2 * h + 1) << 0.0, 1.0, state[2 * h];
  }
  return rows;
}

std::vector<std::pair<int, Eigen::Vector2d>> wanted_places(const Model& model) {
  std::vector<std::pair<int, Eigen::Vector2d>> out;
  for (const NearPlace& near : model.readings->near_places) {
    const auto at = model.hole_index.find(near.hole);
    if (at != model.hole_index.end()) out.emplace_back(at->second, near.place_mm);
  }
  if (out.size() < 2) out.clear();  // one place says nothing of a turn
  return out;
}

void apply(const Eigen::Vector3d& motion, const Eigen::Vector2d& about, const Model& model,
           Eigen::VectorXd& state) {
  const double c = std::cos(motion.z());
  const double s = std::sin(motion.z());
  for (int h = 0; h < model.hole_count(); ++h) {
    const Eigen::Vector2d d = state.segment<2>(2 * h) - about;
    state[2 * h] = about.x() + c * d.x() - s * d.y() + motion.x();
    state[2 * h + 1] = about.y() + s * d.x() + c * d.y() + motion.y();
  }
}

/// One step towards the wanted places within the gauge; returns its size.
double step_towards(const std::vector<std::pair<int, Eigen::Vector2d>>& wanted, const Gauge& gauge,
                    const Model& model, Eigen::VectorXd& state) {
  const Eigen::MatrixXd motions = coordinate_motions(model, state) * gauge.modes;
  Eigen::MatrixXd a(2 * static_cast<Eigen::Index>(wanted.size()), gauge.count());
  Eigen::VectorXd b(a.rows());
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    const auto row = 2 * static_cast<Eigen::Index>(i);
    a.middleRows(row, 2) = motions.middleRows(2 * wanted[i].first, 2);
    b.segment<2>(row) = wanted[i].second - state.segment<2>(2 * wanted[i].first);
  }
  const Eigen::Vector3d full = gauge.modes * a.completeOrthogonalDecomposition().solve(b);
  // A turn about the origin with a shift is a turn about another point: take it about that point, exactly.
  if (gauge.count() == 1 && full.z() != 0.0) {
    apply({0.0, 0.0, full.z()}, {-full.y() / full.z(), full.x() / full.z()}, model, state);
  } else {
    apply(full, Eigen::Vector2d::Zero(), model, state);
  }
  return full.cwiseAbs().maxCoeff();
}

/// The turn, counter-clockwise, that carries the net at `before` into the net at `after`.
double turn_between(const Model& model, const Eigen::VectorXd& before, const Eigen::VectorXd& after) {
  const Extent a = extent_of(model, before);
  const Extent b = extent_of(model, after);
  double cross = 0.0;
  double dot = 0.0;
  for (int h = 0; h < model.hole_count(); ++h) {
    const Eigen::Vector2d p = before.segment<2>(2 * h) - a.middle;
    const Eigen::Vector2d q = after.segment<2>(2 * h) - b.middle;
    cross += p.x() * q.y() - p.y() * q.x();
    dot += p.dot(q);
  }
  return cross == 0.0 && dot == 0.0 ? 0.0 : std::atan2(cross, dot);
}

}  // namespace

Gauge find_gauge(const Model& model, const Eigen::VectorXd& state) {
  const Extent e = extent_of(model, state);
  std::vector<char> running(model.params.size(), 0);
  for (const auto& [key, p] : model.run_zero) running[static_cast<std::size_t>(p)] = 1;
  Eigen::Matrix3d resistance = Eigen::Matrix3d::Zero();
  Eigen::Vector3d most = Eigen::Vector3d::Zero();  // what each observation could resist at most
  Equation equation;
  for (const Observation& o : model.observations) {
    model.evaluate(o, state, equation);
    Eigen::Vector3d row = Eigen::Vector3d::Zero();
    double norm = 0.0;
    for (const Partial& p : equation.partials) {
      row += p.value * motion_with_zeros(model, p.param, state, e, running);
      if (p.param < 2 * model.hole_count()) norm += p.value * p.value;
    }
    resistance += row * row.transpose() / (o.sigma * o.sigma);
    most.array() += norm / (o.sigma * o.sigma);
  }
  for (int p = 0; p < 2 * model.hole_count(); ++p) {
    if (!model.params[static_cast<std::size_t>(p)].fixed) continue;
    const Eigen::Vector3d row = motion_of(model, p, state, e);
    resistance += row * row.transpose() / (kHeldSigmaMm * kHeldSigmaMm);
  }
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> eigen(resistance);
  Gauge gauge;
  gauge.modes.resize(3, 0);
  for (int i = 0; i < 3; ++i) {
    if (eigen.eigenvalues()[i] > kGaugeShare * most.x()) continue;
    // From a turn about the middle, per radius, to a turn about the origin in rad.
    Eigen::Vector3d mode = eigen.eigenvectors().col(i);
    const double turn = mode.z() / e.radius;
    mode = {mode.x() + turn * e.middle.y(), mode.y() - turn * e.middle.x(), turn};
    if ((coordinate_motions(model, state) * mode).norm() < kNoMotion)
      continue;  // one hole turned about itself
    gauge.modes.conservativeResize(3, gauge.modes.cols() + 1);
    gauge.modes.rightCols(1) = mode;
  }
  return gauge;
}

void pin_gauge(const Gauge& gauge, const Eigen::VectorXd& state, Model& model) {
  if (gauge.count() == 0) return;
  Eigen::MatrixXd motions = (coordinate_motions(model, state) * gauge.modes).transpose();
  for (int p = 0; p < 2 * model.hole_count(); ++p) {
    if (model.params[static_cast<std::size_t>(p)].fixed) motions.col(p).setZero();
  }
  for (Eigen::Index g = 0; g < motions.rows(); ++g) motions.row(g).normalize();
  const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(motions);
  for (int g = 0; g < gauge.count(); ++g) {
    const int p = qr.colsPermutation().indices()[g];
    model.params[static_cast<std::size_t>(p)].fixed = true;
  }
}

void lay_down(const Gauge& gauge, const Model& model, Eigen::VectorXd& state) {
  if (gauge.count() == 0) return;
  const auto wanted = wanted_places(model);
  if (!wanted.empty()) {
    for (int i = 0; i < kMostPlacements; ++i) {
      if (step_towards(wanted, gauge, model, state) < kPlacedRad) break;
    }
    return;
  }
  if (gauge.count() < 3) return;
  const Eigen::Vector2d first = state.segment<2>(0);
  const Eigen::Vector2d second = model.hole_count() > 1 ? Eigen::Vector2d(state.segment<2>(2)) : first;
  const Eigen::Vector2d line = second - first;
  const double turn = line.norm() > 0.0 ? -std::atan2(line.y(), line.x()) : 0.0;
  apply({-first.x(), -first.y(), turn}, first, model, state);
}

DatumChange::DatumChange(const Gauge& gauge, const Model& model, const Eigen::VectorXd& solved,
                         const Eigen::VectorXd& placed)
    : trivial_(gauge.count() == 0) {
  if (trivial_) return;
  turn_ = rotation(Angle::radians(turn_between(model, solved, placed)));
  g_ = coordinate_motions(model, placed) * gauge.modes;
  g_.colwise().normalize();
  Eigen::MatrixXd b = Eigen::MatrixXd::Zero(g_.rows(), g_.cols());
  const auto wanted = wanted_places(model);
  for (const auto& [hole, place] : wanted) b.middleRows(2 * hole, 2) = g_.middleRows(2 * hole, 2);
  if (wanted.empty()) b = g_;
  k_ = (b.transpose() * g_).fullPivLu().solve(b.transpose());
}

Eigen::MatrixXd DatumChange::apply(const Eigen::MatrixXd& errors) const {
  if (trivial_) return errors;
  Eigen::MatrixXd out(errors.rows(), errors.cols());
  for (Eigen::Index row = 0; row < errors.rows(); row += 2)
    out.middleRows(row, 2) = turn_ * errors.middleRows(row, 2);
  out -= g_ * (k_ * out);
  return out;
}

Eigen::MatrixXd coordinate_covariance(const DatumChange& change, const Model& model, const Columns& columns,
                                      const Eigen::MatrixXd& q) {
  const int size = 2 * model.hole_count();
  Eigen::MatrixXd cov = Eigen::MatrixXd::Zero(size, size);
  for (int j = 0; j < size; ++j) {
    const int cj = columns.of_param[static_cast<std::size_t>(j)];
    if (cj < 0) continue;
    for (int i = 0; i < size; ++i) {
      const int ci = columns.of_param[static_cast<std::size_t>(i)];
      if (ci >= 0) cov(i, j) = q(ci, cj);
    }
  }
  if (change.trivial()) return cov;
  const Eigen::MatrixXd half = change.apply(cov);
  return change.apply(half.transpose());
}

}  // namespace fairhole::survey_detail
