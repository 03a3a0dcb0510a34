// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "undetermined.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <numeric>

#include "fairhole/survey/survey.h"

namespace fairhole::survey_detail {
namespace {

// A ridge this small on the unit diagonal changes nothing that is determined, and gives an undetermined
// unknown a variance of its own size over the ridge: that betrays it.
constexpr double kRidge = 1e-12;
constexpr double kBetraying = 2e-4;
constexpr int kMostRemedies = 3;

/// How far each unknown is undetermined: 0 not at all, up to 1; and the ridged inverse behind it (scaled).
Eigen::MatrixXd ridged_inverse(const Model& model, const Columns& columns, const Eigen::VectorXd& state) {
  std::vector<Equation> equations;
  Eigen::VectorXd residual;
  evaluate_all(model, state, {}, equations, residual);
  Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(columns.count(), columns.count());
  for (std::size_t i = 0; i < equations.size(); ++i) {
    const Observation& o = model.observations[i];
    if (!o.active) continue;
    for (const Partial& p : equations[i].partials) {
      const int row = columns.of_param[static_cast<std::size_t>(p.param)];
      if (row < 0) continue;
      for (const Partial& other : equations[i].partials) {
        const int col = columns.of_param[static_cast<std::size_t>(other.param)];
        if (col >= 0) normal(row, col) += p.value * other.value / (o.sigma * o.sigma);
      }
    }
  }
  Eigen::VectorXd scale = normal.diagonal();
  for (double& d : scale) d = d > 0.0 ? 1.0 / std::sqrt(d) : 1.0;
  normal = scale.asDiagonal() * normal * scale.asDiagonal();
  normal.diagonal().array() += kRidge;
  const Eigen::LDLT<Eigen::MatrixXd> factor(normal);
  return factor.solve(Eigen::MatrixXd::Identity(columns.count(), columns.count()));
}

struct Loose {
  std::vector<int> holes;         // whose coordinates are loose
  std::vector<int> other_params;  // loose without a hole: sizes, zeros
};

Loose find_loose(const Model& model, const Columns& columns, const Eigen::MatrixXd& inverse) {
  Loose out;
  for (int c = 0; c < columns.count(); ++c) {
    if (kRidge * inverse(c, c) < kBetraying) continue;
    const int p = columns.params[static_cast<std::size_t>(c)];
    if (p < 2 * model.hole_count()) {
      if (out.holes.empty() || out.holes.back() != p / 2) out.holes.push_back(p / 2);
    } else {
      out.other_params.push_back(p);
    }
  }
  return out;
}

/// The loose holes in groups that hang together by readings among them.
std::vector<std::vector<int>> groups_of(const Model& model, const std::vector<int>& holes) {
  std::vector<int> group(static_cast<std::size_t>(model.hole_count()), -1);
  for (std::size_t i = 0; i < holes.size(); ++i)
    group[static_cast<std::size_t>(holes[i])] = static_cast<int>(i);
  const auto join = [&](const HoleId& a, const HoleId& b) {
    if (a.empty() || b.empty()) return;
    const int ga = group[static_cast<std::size_t>(model.hole(a))];
    const int gb = group[static_cast<std::size_t>(model.hole(b))];
    if (ga < 0 || gb < 0 || ga == gb) return;
    std::replace(group.begin(), group.end(), std::max(ga, gb), std::min(ga, gb));
  };
  for (const Reading& r : model.readings->rows) {
    join(r.from, r.to);
    join(r.from, r.line_end);
  }
  std::map<int, std::vector<int>> by_group;
  for (const int h : holes) by_group[group[static_cast<std::size_t>(h)]].push_back(h);
  std::vector<std::vector<int>> out;
  for (auto& [key, members] : by_group) out.push_back(std::move(members));
  return out;
}

std::string phrase(const Reading& r) {
  if (is_distance(r.kind)) return fmt::format("`{}` from {} to {}", kind_name(r.kind), r.from, r.to);
  return fmt::format("`{}` of {}", kind_name(r.kind), r.from);
}

std::vector<Reading> thinkable(const Model& model, const std::vector<int>& group, bool datum) {
  std::vector<Reading> out;
  for (const int h : group) {
    Reading r;
    r.from = model.hole_ids[static_cast<std::size_t>(h)];
    const int size = model.hole_params[static_cast<std::size_t>(h)].diameter;
    r.kind = ReadingKind::kDia;
    if (size >= 0) out.push_back(r);
    for (const ReadingKind kind : {ReadingKind::kAlong, ReadingKind::kAcross}) {
      r.kind = kind;
      if (datum) out.push_back(r);
    }
    r.kind = ReadingKind::kCentres;
    for (int other = 0; !datum && other < model.hole_count(); ++other) {
      r.to = model.hole_ids[static_cast<std::size_t>(other)];
      if (other != h) out.push_back(r);
    }
  }
  return out;
}

/// The fewest readings found, one after the other, that tie the group.
std::vector<std::string> remedies_for(const Model& model, const Columns& columns,
                                      const Eigen::VectorXd& state, const std::vector<int>& group, bool datum,
                                      Eigen::MatrixXd inverse) {
  std::vector<std::string> out;
  const std::vector<Reading> candidates = thinkable(model, group, datum);
  const auto group_is_loose = [&] {
    return std::any_of(group.begin(), group.end(), [&](int h) {
      for (const int p : {2 * h, 2 * h + 1}) {
        const int c = columns.of_param[static_cast<std::size_t>(p)];
        if (c >= 0 && kRidge * inverse(c, c) >= kBetraying) return true;
      }
      return false;
    });
  };
  while (group_is_loose() && static_cast<int>(out.size()) < kMostRemedies * static_cast<int>(group.size())) {
    const Reading* best = nullptr;
    double most = kBetraying / kRidge;
    Eigen::VectorXd best_row;
    for (const Reading& r : candidates) {
      Equation e;
      model.evaluate_reading(r, state, e);
      Eigen::VectorXd row = Eigen::VectorXd::Zero(columns.count());
      for (const Partial& p : e.partials) {
        const int c = columns.of_param[static_cast<std::size_t>(p.param)];
        if (c >= 0) row[c] += p.value;
      }
      row.normalize();
      const double gain = row.dot(inverse * row);
      if (gain <= most * 1.000001) continue;
      most = gain;
      best = &r;
      best_row = row;
    }
    if (best == nullptr) break;
    out.push_back(phrase(*best));
    const Eigen::VectorXd column = inverse * best_row;
    inverse -= column * column.transpose() / (1.0 + best_row.dot(column));
  }
  return out;
}

Problem name_group(const Model& model, const std::vector<int>& group,
                   const std::vector<std::string>& remedies) {
  std::vector<std::string> names;
  for (const int h : group) names.push_back(model.hole_ids[static_cast<std::size_t>(h)]);
  const std::string what =
      group.size() == 1 ? fmt::format("the readings do not fix hole {}", names.front())
                        : fmt::format("the readings do not fix holes {} to the rest", fmt::join(names, ", "));
  const std::string remedy = remedies.empty() ? "measure it from the datum edges"
                                              : fmt::format("take {}", fmt::join(remedies, " and "));
  return {codes::kSurveyUndetermined, model.readings->source, what, remedy};
}

}  // namespace

bool is_determined(const Model& model, const Columns& columns, const Eigen::VectorXd& state) {
  std::vector<Equation> equations;
  Eigen::VectorXd residual;
  evaluate_all(model, state, {}, equations, residual);
  Normals normals(model, columns);
  normals.build(equations, residual, 0.0, {});
  return normals.least_pivot() >= kLeastPivot;
}

Determination check_determined(const Gauge& gauge, const Eigen::VectorXd& state, Model& model) {
  Determination out;
  out.unknown_size.assign(static_cast<std::size_t>(model.hole_count()), false);
  while (true) {
    const Columns columns(model.params);
    if (is_determined(model, columns, state)) return out;
    const Eigen::MatrixXd inverse = ridged_inverse(model, columns, state);
    const Loose loose = find_loose(model, columns, inverse);
    if (!loose.holes.empty()) {
      for (const auto& group : groups_of(model, loose.holes)) {
        out.problems.push_back(name_group(
            model, group, remedies_for(model, columns, state, group, gauge.count() == 0, inverse)));
      }
      return out;
    }
    if (loose.other_params.empty()) return out;
    for (const int p : loose.other_params) {
      const int hole = model.params[static_cast<std::size_t>(p)].hole;
      if (hole >= 0) out.unknown_size[static_cast<std::size_t>(hole)] = true;
    }
    model.params[static_cast<std::size_t>(loose.other_params.back())].fixed = true;
  }
}

}  // namespace fairhole::survey_detail
