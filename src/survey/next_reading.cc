// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "next_reading.h"

#include <algorithm>
#include <cmath>

#include "fairhole/geometry/statistics.h"

namespace fairhole::survey_detail {
namespace {

constexpr int kSmallNet = 40;
constexpr double kLeastGainMm = 0.001;

/// Row and column of a hole's x in the covariance of the unknowns; -1 when it is held.
struct Site {
  int x = -1, y = -1;
};

double semi_axis_mm(const Eigen::MatrixXd& q, const Site& site) {
  Eigen::Matrix2d cov = Eigen::Matrix2d::Zero();
  if (site.x >= 0) cov(0, 0) = q(site.x, site.x);
  if (site.y >= 0) cov(1, 1) = q(site.y, site.y);
  if (site.x >= 0 && site.y >= 0) cov(0, 1) = cov(1, 0) = q(site.x, site.y);
  return confidence_ellipse(cov).major_mm;
}

/// The same after a reading whose Qa is `g` and whose innovation variance is `d`.
double semi_axis_after_mm(const Eigen::MatrixXd& q, const Site& site, const Eigen::VectorXd& g, double d) {
  Eigen::Matrix2d cov = Eigen::Matrix2d::Zero();
  const auto element = [&](int a, int b) { return a < 0 || b < 0 ? 0.0 : q(a, b) - g[a] * g[b] / d; };
  cov << element(site.x, site.x), element(site.x, site.y), element(site.y, site.x), element(site.y, site.y);
  return confidence_ellipse(cov).major_mm;
}

Reading thought_of(const Model& model, ReadingKind kind, HoleId from, HoleId to) {
  Reading r;
  r.kind = kind;
  r.from = std::move(from);
  r.to = std::move(to);
  r.sigma_mm = model.readings->tape_sigma_mm;
  if (!model.readings->tapes.empty()) r.tape = static_cast<int>(model.readings->tapes.size()) - 1;
  return r;
}

bool has_ordinates(const Model& model, bool (*of_kind)(ReadingKind)) {
  return std::any_of(model.readings->rows.begin(), model.readings->rows.end(),
                     [of_kind](const Reading& r) { return of_kind(r.kind); });
}

std::vector<Reading> candidates(const Model& model, int worst) {
  const int n = model.hole_count();
  const bool small = n <= kSmallNet;
  const bool along = has_ordinates(model, is_along), across = has_ordinates(model, is_across);
  std::vector<Reading> all;
  for (int h = 0; h < n; ++h) {
    if (!small && h != worst) continue;
    const HoleId& id = model.hole_ids[static_cast<std::size_t>(h)];
    if (along) all.push_back(thought_of(model, ReadingKind::kAlong, id, {}));
    if (across) all.push_back(thought_of(model, ReadingKind::kAcross, id, {}));
  }
  for (int a = 0; a < n; ++a) {
    for (int b = a + 1; b < n; ++b) {
      if (!small && a != worst && b != worst) continue;
      all.push_back(thought_of(model, ReadingKind::kCentres, model.hole_ids[static_cast<std::size_t>(a)],
                               model.hole_ids[static_cast<std::size_t>(b)]));
    }
  }
  return all;
}

Eigen::VectorXd covariance_with(const Equation& e, const Columns& columns, const Eigen::MatrixXd& q) {
  Eigen::VectorXd g = Eigen::VectorXd::Zero(q.rows());
  for (const Partial& partial : e.partials) {
    const int c = columns.of_param[static_cast<std::size_t>(partial.param)];
    if (c >= 0) g += partial.value * q.col(c);
  }
  return g;
}

}  // namespace

std::vector<NextReading> next_readings(const Model& model, const Columns& columns, const Solution& s,
                                       int count) {
  std::vector<Site> sites;
  for (int h = 0; h < model.hole_count(); ++h) {
    sites.push_back({columns.of_param[static_cast<std::size_t>(Model::x_of(h))],
                     columns.of_param[static_cast<std::size_t>(Model::y_of(h))]});
  }
  std::vector<NextReading> chosen;
  Eigen::MatrixXd q = s.q;
  while (static_cast<int>(chosen.size()) < count) {
    std::vector<double> axes;
    for (const Site& site : sites) axes.push_back(semi_axis_mm(q, site));
    const auto worst = std::max_element(axes.begin(), axes.end());
    if (worst == axes.end()) break;
    double best_mm = *worst - kLeastGainMm;
    std::optional<Reading> best;
    Eigen::VectorXd best_g;
    double best_d = 1.0;
    for (const Reading& r : candidates(model, static_cast<int>(worst - axes.begin()))) {
      Equation e;
      model.evaluate_reading(r, s.state, e);
      const Eigen::VectorXd g = covariance_with(e, columns, q);
      const double d = r.sigma_mm * r.sigma_mm + variance_of(e, columns, q);
      double largest_mm = 0.0;
      for (std::size_t h = 0; h < sites.size() && largest_mm < best_mm; ++h) {
        if (axes[h] > largest_mm) largest_mm = std::max(largest_mm, semi_axis_after_mm(q, sites[h], g, d));
      }
      if (largest_mm >= best_mm) continue;
      best_mm = largest_mm;
      best = r;
      best_g = g;
      best_d = d;
    }
    if (!best) break;
    chosen.push_back({best->kind, best->from, best->to, *worst - best_mm});
    q -= best_g * best_g.transpose() / best_d;
  }
  return chosen;
}

}  // namespace fairhole::survey_detail
