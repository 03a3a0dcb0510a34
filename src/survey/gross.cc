// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "gross.h"

#include <algorithm>
#include <cmath>

#include "start.h"

namespace fairhole::survey_detail {
namespace {

constexpr double kMostMisfitMm = 50.0;  // a reading further off counts no more
constexpr double kMuchBetterMm = 25.0;
constexpr std::size_t kMostSuspects = 3;
constexpr std::size_t kMostHoles = 2;

struct Misfit {
  double sum_mm = 0.0;
  std::vector<double> of_hole_mm;
};

/// How far the readings kept are off the start constructed of them.
Misfit misfit_of(const Model& model) {
  const Start start = construct_start(model);
  std::vector<Equation> equations;
  Eigen::VectorXd residual;
  evaluate_all(model, start.state, {}, equations, residual);
  Misfit out;
  out.of_hole_mm.assign(static_cast<std::size_t>(model.hole_count()), 0.0);
  for (std::size_t i = 0; i < model.observations.size(); ++i) {
    const Observation& o = model.observations[i];
    if (o.reading < 0 || !o.active) continue;
    const double off = std::min(std::abs(residual[static_cast<Eigen::Index>(i)]), kMostMisfitMm);
    out.sum_mm += off;
    const ReadingHoles& holes = model.reading_holes[static_cast<std::size_t>(o.reading)];
    for (const int h : {holes.from, holes.to, holes.line_end}) {
      if (h >= 0) out.of_hole_mm[static_cast<std::size_t>(h)] += off;
    }
  }
  return out;
}

/// The kept readings of the holes that agree worst.
std::vector<int> readings_of_worst(const Model& model, const Misfit& misfit) {
  std::vector<int> holes(misfit.of_hole_mm.size());
  for (std::size_t h = 0; h < holes.size(); ++h) holes[h] = static_cast<int>(h);
  const std::size_t count = std::min(kMostHoles, holes.size());
  std::partial_sort(holes.begin(), holes.begin() + static_cast<std::ptrdiff_t>(count), holes.end(),
                    [&](int a, int b) {
                      return misfit.of_hole_mm[static_cast<std::size_t>(a)] >
                             misfit.of_hole_mm[static_cast<std::size_t>(b)];
                    });
  holes.resize(count);
  std::vector<int> out;
  for (std::size_t i = 0; i < model.observations.size(); ++i) {
    const Observation& o = model.observations[i];
    if (o.reading < 0 || !o.active) continue;
    const ReadingHoles& of = model.reading_holes[static_cast<std::size_t>(o.reading)];
    const bool touches = std::any_of(holes.begin(), holes.end(),
                                     [&](int h) { return h == of.from || h == of.to || h == of.line_end; });
    if (touches) out.push_back(static_cast<int>(i));
  }
  return out;
}

}  // namespace

std::vector<int> gross_suspects(Model& model) {
  for (Observation& o : model.observations) o.active = true;
  std::vector<int> out;
  Misfit present = misfit_of(model);
  while (out.size() < kMostSuspects) {
    int best = -1;
    Misfit least = present;
    least.sum_mm -= kMuchBetterMm;
    for (const int i : readings_of_worst(model, present)) {
      model.observations[static_cast<std::size_t>(i)].active = false;
      Misfit without = misfit_of(model);
      model.observations[static_cast<std::size_t>(i)].active = true;
      if (without.sum_mm >= least.sum_mm) continue;
      least = std::move(without);
      best = i;
    }
    if (best < 0) break;
    model.observations[static_cast<std::size_t>(best)].active = false;
    out.push_back(best);
    present = std::move(least);
  }
  for (Observation& o : model.observations) o.active = true;
  std::sort(out.begin(), out.end());
  return out;
}

}  // namespace fairhole::survey_detail
