// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "snooping.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "fairhole/geometry/statistics.h"
#include "fairhole/survey/survey.h"

namespace fairhole::survey_detail {
namespace {

constexpr double kGlobalAlpha = 0.001;

double redundancy_of(const Observation& o, const Equation& e, const Columns& columns,
                     const Eigen::MatrixXd& q) {
  return std::max(0.0, 1.0 - variance_of(e, columns, q) / (o.sigma * o.sigma));
}

/// |w| of every observation that is an active reading; 0 for the others.
std::vector<double> sizes_of_w(const Model& model, const Columns& columns, const Solution& s) {
  std::vector<double> w(model.observations.size(), 0.0);
  for (std::size_t i = 0; i < w.size(); ++i) {
    const Observation& o = model.observations[i];
    if (o.reading < 0 || !o.active) continue;
    w[i] = std::abs(standardised(o, s.equations[i], s.residual[static_cast<Eigen::Index>(i)], columns, s.q));
  }
  return w;
}

bool passes(const Solution& s) { return s.dof <= 0 || chi2_upper_tail(s.chi2, s.dof) > kGlobalAlpha; }

/// Readings that cannot be told from `suspect`, itself first; empty when it stands alone.
std::vector<int> inseparable(const Model& model, const Columns& columns, const Solution& s,
                             const std::vector<double>& w, std::size_t suspect) {
  std::vector<int> group;
  for (std::size_t i = 0; i < w.size(); ++i) {
    if (w[i] == 0.0) continue;
    const bool same =
        i == suspect || std::abs(w_correlation(model, columns, s, static_cast<int>(i),
                                               static_cast<int>(suspect))) > kTogetherCorrelation;
    if (same) group.push_back(model.observations[i].reading);
  }
  return group.size() > 1 ? group : std::vector<int>{};
}

/// Chance that the blunder sits in `suspect`: one blunder of unknown size, each reading alike beforehand, so
/// the likelihoods exp(w^2 / 2) decide.
double location_odds(const std::vector<double>& w, std::size_t suspect) {
  double sum = 0.0;
  for (const double each : w) {
    if (each > 0.0) sum += std::exp(0.5 * (each * each - w[suspect] * w[suspect]));
  }
  return 1.0 / std::max(1.0, sum);
}

/// The same for an observation that is out: the w there would be with it in, linear about the solution
/// without.
double location_odds_of(const Model& model, const Columns& columns, const Solution& s, std::size_t out) {
  const Observation& o = model.observations[out];
  const double variance = o.sigma * o.sigma + variance_of(s.equations[out], columns, s.q);
  const double gain = s.residual[static_cast<Eigen::Index>(out)] / variance;
  std::vector<double> w(model.observations.size(), 0.0);
  w[out] = std::abs(gain) * std::sqrt(variance);
  for (std::size_t i = 0; i < w.size(); ++i) {
    const Observation& each = model.observations[i];
    if (each.reading < 0 || !each.active || i == out) continue;
    const double shared = covariance_of(s.equations[i], s.equations[out], columns, s.q);
    const double redundancy = 1.0 - (variance_of(s.equations[i], columns, s.q) - shared * shared / variance) /
                                        (each.sigma * each.sigma);
    if (redundancy < kLeastRedundancy) continue;
    w[i] = std::abs(s.residual[static_cast<Eigen::Index>(i)] - shared * gain) /
           (each.sigma * std::sqrt(redundancy));
  }
  return location_odds(w, out);
}

/// Sets aside one by one until no w is too large.
void set_aside(Model& model, const Columns& columns, Snooping& found) {
  const std::size_t most = std::max<std::size_t>(3, model.readings->rows.size() / 4);
  while (found.suspects.size() < most) {
    const std::vector<double> w = sizes_of_w(model, columns, found.solution);
    const auto largest = std::max_element(w.begin(), w.end());
    if (largest == w.end() || *largest <= kCriticalW) return;
    const auto at = static_cast<std::size_t>(largest - w.begin());
    found.suspects.push_back({model.observations[at].reading, location_odds(w, at),
                              inseparable(model, columns, found.solution, w, at)});
    model.observations[at].active = false;
    Solution without = solve(model, columns, found.solution.state);
    if (!without.converged) {  // the hole hangs on this reading: which one is wrong cannot be said
      model.observations[at].active = true;
      found.hangs_on = found.suspects.back().reading;
      found.suspects.pop_back();
      return;
    }
    found.solution = std::move(without);
  }
}

/// Takes in again what agrees with the others; the best fitting first.
void take_in_again(Model& model, const Columns& columns, Snooping& found) {
  for (bool changed = true; changed;) {
    changed = false;
    std::size_t best = found.suspects.size();
    double least = kCriticalW;
    for (std::size_t k = 0; k < found.suspects.size(); ++k) {
      const int number = model.observation_of_reading[static_cast<std::size_t>(found.suspects[k].reading)];
      const Observation& o = model.observations[static_cast<std::size_t>(number)];
      const double variance =
          o.sigma * o.sigma +
          variance_of(found.solution.equations[static_cast<std::size_t>(number)], columns, found.solution.q);
      const double w = std::abs(found.solution.residual[number]) / std::sqrt(variance);
      if (w < least) {
        least = w;
        best = k;
      }
    }
    if (best == found.suspects.size()) return;
    const int number = model.observation_of_reading[static_cast<std::size_t>(found.suspects[best].reading)];
    model.observations[static_cast<std::size_t>(number)].active = true;
    Solution again = solve(model, columns, found.solution.state);
    const std::vector<double> w = sizes_of_w(model, columns, again);
    if (*std::max_element(w.begin(), w.end()) > kCriticalW) {
      model.observations[static_cast<std::size_t>(number)].active = false;
      return;
    }
    found.solution = std::move(again);
    found.suspects.erase(found.suspects.begin() + static_cast<std::ptrdiff_t>(best));
    changed = true;
  }
}

/// All readings active, then those that a robust adjustment finds far off set aside at once.
Snooping robust_proposal(Model& model, const Columns& columns, const Eigen::VectorXd& start,
                         const Snooping& before) {
  for (Observation& o : model.observations) o.active = true;
  const Solution robust = solve(model, columns, start, true);
  Snooping found = before;
  for (std::size_t i = 0; i < model.observations.size(); ++i) {
    Observation& o = model.observations[i];
    if (o.reading < 0) continue;
    const double off = std::abs(robust.residual[static_cast<Eigen::Index>(i)]) / o.sigma;
    if (off <= kDelta0) continue;
    found.suspects.push_back({o.reading, 0.5, {}});
    o.active = false;
  }
  found.solution = solve(model, columns, robust.state);
  if (!found.solution.converged) return found;
  take_in_again(model, columns, found);
  set_aside(model, columns, found);
  take_in_again(model, columns, found);
  return found;
}

void mark(Model& model, const std::vector<Suspect>& suspects) {
  for (Observation& o : model.observations) o.active = true;
  for (const Suspect& suspect : suspects) {
    const int number = model.observation_of_reading[static_cast<std::size_t>(suspect.reading)];
    model.observations[static_cast<std::size_t>(number)].active = false;
  }
}

}  // namespace

double standardised(const Observation& o, const Equation& e, double residual_mm, const Columns& columns,
                    const Eigen::MatrixXd& q) {
  const double redundancy = redundancy_of(o, e, columns, q);
  return redundancy < kLeastRedundancy ? 0.0 : residual_mm / (o.sigma * std::sqrt(redundancy));
}

double w_correlation(const Model& model, const Columns& columns, const Solution& s, int a, int b) {
  const auto i = static_cast<std::size_t>(a);
  const auto j = static_cast<std::size_t>(b);
  const Observation& oa = model.observations[i];
  const Observation& ob = model.observations[j];
  const double ra = redundancy_of(oa, s.equations[i], columns, s.q);
  const double rb = redundancy_of(ob, s.equations[j], columns, s.q);
  if (ra < kLeastRedundancy || rb < kLeastRedundancy) return 0.0;
  return -covariance_of(s.equations[i], s.equations[j], columns, s.q) /
         (oa.sigma * ob.sigma * std::sqrt(ra * rb));
}

Snooping snoop(Model& model, const Columns& columns, const Eigen::VectorXd& start) {
  Snooping found;
  found.solution = solve(model, columns, start);
  found.chi2_before = found.solution.chi2;
  found.dof_before = found.solution.dof;
  const Snooping before = found;
  if (!found.solution.converged) {  // a blunder of feet bends the net too far for the plain adjustment
    found = robust_proposal(model, columns, start, before);
    mark(model, found.suspects);
    if (!found.solution.converged) return found;
    for (Suspect& suspect : found.suspects) {
      const int number = model.observation_of_reading[static_cast<std::size_t>(suspect.reading)];
      suspect.location_odds =
          location_odds_of(model, columns, found.solution, static_cast<std::size_t>(number));
    }
    return found;
  }
  set_aside(model, columns, found);
  if (found.hangs_on || (found.suspects.empty() && passes(found.solution))) return found;
  take_in_again(model, columns, found);
  if (found.suspects.size() < 2 && passes(found.solution)) return found;

  Snooping other = robust_proposal(model, columns, start, before);
  const bool usable = other.solution.converged && other.solution.q.allFinite();
  const bool better = usable && (passes(other.solution) != passes(found.solution)
                                     ? passes(other.solution)
                                     : other.suspects.size() < found.suspects.size() ||
                                           (other.suspects.size() == found.suspects.size() &&
                                            other.solution.chi2 < found.solution.chi2));
  if (better) found = std::move(other);
  mark(model, found.suspects);
  return found;
}

std::vector<std::vector<int>> rows_together(const Model& model, const Columns& columns, const Solution& s) {
  constexpr std::size_t kMostReadings = 300;  // every pair is looked at
  const std::size_t n = model.observations.size();
  if (model.readings->rows.size() > kMostReadings) return {};
  std::vector<std::size_t> group(n);
  std::iota(group.begin(), group.end(), std::size_t{0});
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = i + 1; j < n; ++j) {
      const Observation& a = model.observations[i];
      const Observation& b = model.observations[j];
      if (a.reading < 0 || b.reading < 0 || !a.active || !b.active || group[i] == group[j]) continue;
      if (std::abs(w_correlation(model, columns, s, static_cast<int>(i), static_cast<int>(j))) <=
          kTogetherCorrelation)
        continue;
      const std::size_t from = std::max(group[i], group[j]), to = std::min(group[i], group[j]);
      std::replace(group.begin(), group.end(), from, to);
    }
  }
  std::vector<std::vector<int>> rows;
  for (std::size_t g = 0; g < n; ++g) {
    std::vector<int> members;
    for (std::size_t i = 0; i < n; ++i) {
      if (group[i] == g && model.observations[i].reading >= 0)
        members.push_back(model.readings->rows[static_cast<std::size_t>(model.observations[i].reading)].row);
    }
    if (members.size() > 1) rows.push_back(std::move(members));
  }
  return rows;
}

}  // namespace fairhole::survey_detail
