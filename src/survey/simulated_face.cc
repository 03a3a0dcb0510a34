// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "simulated_face.h"

#include <fmt/format.h>

#include <Eigen/Cholesky>
#include <cmath>
#include <numbers>

#include "model.h"  // the sizes of the priors that docs/survey.md states, nothing else

namespace fairhole::test {
namespace {

constexpr double kStep = 1e-3;  // mm or 1e-6 rad: central differences
constexpr double kCornerSigma = 0.2 * std::numbers::pi / 180.0;

Eigen::Vector2d unit(double angle) { return {std::cos(angle), std::sin(angle)}; }

/// Half the width of hole h in direction `angle`.
double reach(const SimulatedFace& f, int h, double angle, const Eigen::VectorXd& s) {
  const int at = f.d(h);
  const double oval = f.oval(h) ? s[at + 1] * std::cos(2.0 * angle) + s[at + 2] * std::sin(2.0 * angle) : 0.0;
  return (s[at] + oval) / 2.0;
}

int index_of(const std::string& id) { return std::stoi(id.substr(1)) - 1; }

/// Between two rim points on the line of centres: sign -1 the rim met first coming from the other hole's far
/// side.
double between_rims(const SimulatedFace& f, const Reading& r, const Eigen::VectorXd& s) {
  const Eigen::Vector2d p = s.segment<2>(2 * index_of(r.from));
  const Eigen::Vector2d q = s.segment<2>(2 * index_of(r.to));
  const double angle = std::atan2(q.y() - p.y(), q.x() - p.x());
  const Eigen::Vector2d u = unit(angle);
  const double rp = reach(f, index_of(r.from), angle, s);
  const double rq = reach(f, index_of(r.to), angle, s);
  Eigen::Vector2d first = p;
  Eigen::Vector2d second = q;
  if (r.kind == ReadingKind::kNearEdges) {
    first += rp * u;
    second -= rq * u;
  } else if (r.kind == ReadingKind::kFarEdges) {
    first -= rp * u;
    second += rq * u;
  } else if (r.kind == ReadingKind::kSameEdges) {
    first -= rp * u;
    second -= rq * u;
  }
  return (second - first).dot(u);
}

/// Twice a triangle's area over its base.
double off_line(const Reading& r, const Eigen::VectorXd& s) {
  const Eigen::Vector2d h = s.segment<2>(2 * index_of(r.from));
  const Eigen::Vector2d p = s.segment<2>(2 * index_of(r.to));
  const Eigen::Vector2d q = s.segment<2>(2 * index_of(r.line_end));
  const double area2 = p.x() * (q.y() - h.y()) + q.x() * (h.y() - p.y()) + h.x() * (p.y() - q.y());
  return area2 / (q - p).norm();
}

/// From the end edge, a line through the corner at 90 degrees and the corner's excess, along x.
double from_end_edge(const Eigen::Vector2d& p, double excess) {
  const Eigen::Vector2d edge = unit(std::numbers::pi / 2.0 + excess);
  return p.x() - edge.x() / edge.y() * p.y();
}

}  // namespace

double normal(std::mt19937_64& random) {
  // Box and Muller: the same numbers with every standard library.
  const double u = 1.0 - uniform(random);
  return std::sqrt(-2.0 * std::log(u)) * std::cos(2.0 * std::numbers::pi * uniform(random));
}
double uniform(std::mt19937_64& random) { return static_cast<double>(random() >> 11U) * 0x1p-53; }

double SimulatedFace::measure(const Reading& r, const Eigen::VectorXd& s) const {
  const int h = index_of(r.from);
  const Eigen::Vector2d p = s.segment<2>(2 * h);
  const double tape = 1.0 + s[scale()];
  switch (r.kind) {
    case ReadingKind::kAlong:
      return tape * from_end_edge(p, s[corner()]) - s[zero(false)];
    case ReadingKind::kAlongNear:
      return tape * (from_end_edge(p, s[corner()]) - reach(*this, h, 0.0, s)) - s[zero(false)];
    case ReadingKind::kAlongFar:
      return tape * (from_end_edge(p, s[corner()]) + reach(*this, h, 0.0, s)) - s[zero(false)];
    case ReadingKind::kAcross:
      return tape * p.y() - s[zero(true)];
    case ReadingKind::kAcrossNear:
      return tape * (p.y() - reach(*this, h, std::numbers::pi / 2.0, s)) - s[zero(true)];
    case ReadingKind::kAcrossFar:
      return tape * (p.y() + reach(*this, h, std::numbers::pi / 2.0, s)) - s[zero(true)];
    case ReadingKind::kRun:
      return tape * p.x() - s[run_zero(false)];
    case ReadingKind::kRunAcross:
      return tape * p.y() - s[run_zero(true)];
    case ReadingKind::kOffLine:
      return tape * off_line(r, s);
    case ReadingKind::kDia:
      return r.direction_rad ? 2.0 * reach(*this, h, *r.direction_rad, s) : s[d(h)];
    case ReadingKind::kKnownX:
      return p.x();
    case ReadingKind::kKnownY:
      return p.y();
    default:
      return tape * between_rims(*this, r, s);
  }
}

void SimulatedFace::measure_again(std::mt19937_64& random) {
  for (Reading& r : readings.rows) {
    r.value_mm = measure(r, truth) + r.sigma_mm * normal(random);
    r.text = fmt::format("{:.1f}", r.value_mm);
  }
}

void SimulatedFace::draw_tape(std::mt19937_64& random) {
  const TapeClass limits = readings.tapes.front().limits;
  truth[scale()] = (limits.a_mm + limits.b_mm_per_m) / 1000.0 / std::sqrt(3.0) * normal(random);
  truth[zero(false)] = limits.c_mm / std::sqrt(3.0) * normal(random);
  truth[zero(true)] = limits.c_mm / std::sqrt(3.0) * normal(random);
  truth[corner()] = kCornerSigma * normal(random);
}

std::vector<int> SimulatedFace::parameters_of(const Reading& r) const {
  std::vector<int> out;
  for (const HoleId* id : {&r.from, &r.to, &r.line_end}) {
    if (id->empty()) continue;
    const int h = index_of(*id);
    out.insert(out.end(), {2 * h, 2 * h + 1, d(h), d(h) + 1, d(h) + 2});
  }
  for (int p = 5 * holes; p < static_cast<int>(truth.size()); ++p) out.push_back(p);
  return out;
}

Eigen::MatrixXd SimulatedFace::weighted_jacobian() const {
  Eigen::MatrixXd a = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(readings.rows.size()), truth.size());
  Eigen::VectorXd moved = truth;
  for (Eigen::Index i = 0; i < a.rows(); ++i) {
    const Reading& r = readings.rows[static_cast<std::size_t>(i)];
    for (const int p : parameters_of(r)) {
      const double step = p == scale() || p == corner() ? 1e-3 * kStep : kStep;
      moved[p] = truth[p] + step;
      const double up = measure(r, moved);
      moved[p] = truth[p] - step;
      const double down = measure(r, moved);
      moved[p] = truth[p];
      a(i, p) = (up - down) / (2.0 * step) / r.sigma_mm;
    }
  }
  return a;
}

Eigen::MatrixXd SimulatedFace::prior_rows() const {
  std::vector<Eigen::RowVectorXd> rows;
  const auto prior = [&](int p, double sigma, int minus = -1) {
    Eigen::RowVectorXd row = Eigen::RowVectorXd::Zero(truth.size());
    row[p] = 1.0 / sigma;
    if (minus >= 0) row[minus] = -1.0 / sigma;
    rows.push_back(row);
  };
  const TapeClass limits = readings.tapes.front().limits;
  prior(scale(), (limits.a_mm + limits.b_mm_per_m) / 1000.0 / std::sqrt(3.0));
  prior(zero(false), limits.c_mm / std::sqrt(3.0));
  prior(zero(true), limits.c_mm / std::sqrt(3.0));
  prior(corner(), kCornerSigma);
  for (int h = 0; h < holes; ++h) {
    if (oval(h)) {
      prior(d(h) + 1, survey_detail::kOvalSigmaMm);
      prior(d(h) + 2, survey_detail::kOvalSigmaMm);
    }
    if (!sized(h)) prior(d(h), survey_detail::kCommonDiameterSigmaMm, common());
  }
  Eigen::MatrixXd out(static_cast<Eigen::Index>(rows.size()), truth.size());
  for (std::size_t i = 0; i < rows.size(); ++i) out.row(static_cast<Eigen::Index>(i)) = rows[i];
  return out;
}

Eigen::MatrixXd SimulatedFace::information() const {
  const Eigen::MatrixXd a = weighted_jacobian();
  const Eigen::MatrixXd b = prior_rows();
  return a.transpose() * a + b.transpose() * b;
}

Eigen::MatrixXd SimulatedFace::inverse_information() const {
  Eigen::MatrixXd n = information();
  Eigen::VectorXd scaling = n.diagonal();
  for (double& v : scaling) v = v > 0.0 ? 1.0 / std::sqrt(v) : 1.0;
  n = scaling.asDiagonal() * n * scaling.asDiagonal();
  for (Eigen::Index i = 0; i < n.rows(); ++i) {
    if (n(i, i) == 0.0) n(i, i) = 1.0;  // a parameter that no reading of this face touches
  }
  const Eigen::MatrixXd inverse = n.ldlt().solve(Eigen::MatrixXd::Identity(n.rows(), n.cols()));
  return scaling.asDiagonal() * inverse * scaling.asDiagonal();
}

Eigen::MatrixXd SimulatedFace::cramer_rao() const {
  return inverse_information().topLeftCorner(2 * holes, 2 * holes);
}

Eigen::MatrixXd SimulatedFace::residual_maker() const {
  const Eigen::MatrixXd a = weighted_jacobian();
  return Eigen::MatrixXd::Identity(a.rows(), a.rows()) - a * inverse_information() * a.transpose();
}

}  // namespace fairhole::test
