// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "model.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace fairhole::survey_detail {
namespace {

constexpr double kMmPerMetre = 1000.0;
const double kSqrt3 = std::sqrt(3.0);
constexpr double kTypicalDiameterMm = 20.0;  // a start value only

/// Angle between two undirected directions, 0 to 90 degrees.
double angle_between(double a, double b) {
  const double turn = std::remainder(a - b, std::numbers::pi);
  return std::abs(turn);
}

/// Whether the caliper readings of a hole lie in two directions far enough apart to show an oval.
bool shows_oval(const std::vector<double>& directions) {
  for (const double d : directions) {
    if (angle_between(d, directions.front()) >= kLeastOvalAngleRad) return true;
  }
  return false;
}

}  // namespace

Model::Model(const Readings& all) : readings(&all) {
  number_holes();
  add_diameters();
  add_tapes();
  add_corner();
  add_observations();
}

ReadingHoles Model::holes_of(const Reading& r) const {
  const auto number = [this](const HoleId& id) { return id.empty() ? -1 : hole(id); };
  return {number(r.from), number(r.to), number(r.line_end)};
}

int Model::add_param(ParamKind kind, int hole_number, double start, std::string name) {
  params.push_back({kind, hole_number, false, start, std::move(name)});
  return static_cast<int>(params.size()) - 1;
}

void Model::add_prior(std::vector<Partial> combination, double mean, double sigma) {
  Observation o;
  o.observed = mean;
  o.sigma = sigma;
  o.prior = std::move(combination);
  observations.push_back(std::move(o));
}

void Model::number_holes() {
  const auto take = [this](const HoleId& id) {
    if (id.empty() || !hole_index.emplace(id, hole_count()).second) return;
    hole_ids.push_back(id);
  };
  for (const Reading& r : readings->rows) {
    take(r.from);
    take(r.to);
    take(r.line_end);
  }
  for (const Reading& r : readings->rows) reading_holes.push_back(holes_of(r));
  for (int h = 0; h < hole_count(); ++h) {
    add_param(ParamKind::kX, h, 0.0);
    add_param(ParamKind::kY, h, 0.0);
  }
  for (const Reading& r : readings->rows) {
    if (r.sigma_mm > 0.0) continue;  // a coordinate held exactly
    const int index = r.kind == ReadingKind::kKnownX ? x_of(hole(r.from)) : y_of(hole(r.from));
    Param& param = params[static_cast<std::size_t>(index)];
    param.fixed = true;
    param.start = r.value_mm;
  }
}

void Model::add_diameters() {
  const auto n = static_cast<std::size_t>(hole_count());
  std::vector<std::vector<double>> widths(n);
  std::vector<std::vector<double>> directions(n);
  std::vector<bool> needed(n, false);
  std::vector<double> all_widths;
  for (const Reading& r : readings->rows) {
    const auto from = static_cast<std::size_t>(hole(r.from));
    if (r.kind == ReadingKind::kDia) {
      needed[from] = true;
      widths[from].push_back(r.value_mm);
      all_widths.push_back(r.value_mm);
      if (r.direction_rad) directions[from].push_back(*r.direction_rad);
    } else if (is_rim(r.kind)) {
      needed[from] = true;
      if (!r.to.empty()) needed[static_cast<std::size_t>(hole(r.to))] = true;
    }
  }
  const double typical = all_widths.empty() ? kTypicalDiameterMm : median(all_widths);
  hole_params.resize(n);
  for (std::size_t h = 0; h < n; ++h) {
    if (!needed[h]) continue;
    const int number = static_cast<int>(h);
    HoleParams& own = hole_params[h];
    own.diameter = add_param(ParamKind::kDiameter, number, widths[h].empty() ? typical : median(widths[h]));
    if (!shows_oval(directions[h])) continue;
    own.oval_cos = add_param(ParamKind::kOvalCos, number, 0.0);
    own.oval_sin = add_param(ParamKind::kOvalSin, number, 0.0);
  }
  for (std::size_t h = 0; h < n; ++h) {
    if (!needed[h] || !widths[h].empty()) continue;
    common_diameter_param = add_param(ParamKind::kCommonDiameter, -1, typical);
    break;
  }
}

void Model::add_tapes() {
  for (const Tape& tape : readings->tapes) {
    scale_param.push_back(add_param(ParamKind::kScale, -1, 0.0, tape.name));
  }
  for (const Reading& r : readings->rows) {
    const bool across = r.kind == ReadingKind::kRunAcross || is_across(r.kind);
    const ParamKind kind = across ? ParamKind::kZeroY : ParamKind::kZeroX;
    if (r.kind == ReadingKind::kRun || r.kind == ReadingKind::kRunAcross) {
      if (run_zero.contains({r.set_up, across})) continue;
      run_zero[{r.set_up, across}] = add_param(kind, -1, 0.0, r.set_up + " " + kind_name(r.kind));
    } else if (r.tape && (across || is_along(r.kind))) {
      if (edge_zero.contains({*r.tape, across})) continue;
      const std::string& tape = readings->tapes[static_cast<std::size_t>(*r.tape)].name;
      edge_zero[{*r.tape, across}] = add_param(kind, -1, 0.0, tape + (across ? " across" : " along"));
    }
  }
}

void Model::add_corner() {
  if (!readings->corner) return;
  square_param = add_param(ParamKind::kSquare, -1, readings->corner->square_rad);
}

void Model::add_observations() {
  observation_of_reading.assign(readings->rows.size(), -1);
  std::vector<double> longest(readings->tapes.size(), 0.0);
  for (std::size_t i = 0; i < readings->rows.size(); ++i) {
    const Reading& r = readings->rows[i];
    if (r.tape) {
      double& most = longest[static_cast<std::size_t>(*r.tape)];
      most = std::max(most, std::abs(r.value_mm));
    }
    if (r.sigma_mm == 0.0) continue;
    Observation o;
    o.reading = static_cast<int>(i);
    o.observed = r.value_mm;
    o.sigma = r.sigma_mm;
    observation_of_reading[i] = static_cast<int>(observations.size());
    observations.push_back(std::move(o));
  }
  // The limits of a class are of a rectangular distribution: sigma = limit / sqrt 3. Between marks a + b L,
  // as a scale over the longest length measured; the end face adds c, as a zero.
  for (std::size_t t = 0; t < readings->tapes.size(); ++t) {
    const TapeClass& limits = readings->tapes[t].limits;
    const double metres = std::max(1.0, std::ceil(longest[t] / kMmPerMetre));
    const double limit_mm = limits.a_mm + limits.b_mm_per_m * metres;
    add_prior({{scale_param[t], 1.0}}, 0.0, limit_mm / (metres * kMmPerMetre) / kSqrt3);
  }
  for (const auto& [key, param] : edge_zero) {
    const double c_mm = readings->tapes[static_cast<std::size_t>(key.first)].limits.c_mm;
    add_prior({{param, 1.0}}, 0.0, c_mm / kSqrt3);
  }
  if (square_param >= 0) {
    add_prior({{square_param, 1.0}}, readings->corner->square_rad, readings->corner->sigma_rad);
  }
  std::vector<bool> measured(hole_params.size(), false);
  for (const Reading& r : readings->rows) {
    if (r.kind == ReadingKind::kDia) measured[static_cast<std::size_t>(hole(r.from))] = true;
  }
  for (std::size_t h = 0; h < hole_params.size(); ++h) {
    const HoleParams& own = hole_params[h];
    if (own.diameter >= 0 && !measured[h]) {
      add_prior({{own.diameter, 1.0}, {common_diameter_param, -1.0}}, 0.0, kCommonDiameterSigmaMm);
    }
    if (own.oval_cos >= 0) {
      add_prior({{own.oval_cos, 1.0}}, 0.0, kOvalSigmaMm);
      add_prior({{own.oval_sin, 1.0}}, 0.0, kOvalSigmaMm);
    }
  }
}

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace fairhole::survey_detail
