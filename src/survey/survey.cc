// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/survey/survey.h"

#include <fmt/format.h>

#include <cmath>

#include "datum.h"
#include "fairhole/geometry/statistics.h"
#include "model.h"
#include "next_reading.h"
#include "slips.h"
#include "snooping.h"
#include "solver.h"
#include "start.h"
#include "undetermined.h"

namespace fairhole {
namespace {

using namespace survey_detail;  // NOLINT(google-build-using-namespace): the module's own inside

void judge_readings(const Model& model, const Columns& columns, const Solution& s, SurveyResult& out) {
  for (std::size_t i = 0; i < model.readings->rows.size(); ++i) {
    ReadingVerdict v;
    v.row = model.readings->rows[i].row;
    const int number = model.observation_of_reading[i];
    if (number >= 0) {
      const Observation& o = model.observations[static_cast<std::size_t>(number)];
      const Equation& e = s.equations[static_cast<std::size_t>(number)];
      const double variance = o.sigma * o.sigma;
      const double of_fit = variance_of(e, columns, s.q);
      v.residual_mm = s.residual[number];
      v.rejected = !o.active;
      // Of a rejected reading, as it would be if taken in again: sigma^2 / (sigma^2 + a Q a').
      v.redundancy = o.active ? std::max(0.0, 1.0 - of_fit / variance) : variance / (variance + of_fit);
      if (v.redundancy >= kLeastRedundancy) {
        const double sd = o.active ? o.sigma * std::sqrt(v.redundancy) : std::sqrt(variance + of_fit);
        v.w = v.residual_mm / sd;
        v.mdb_mm = kDelta0 * o.sigma / std::sqrt(v.redundancy);
      }
    }
    if (v.redundancy < kLeastRedundancy) out.unchecked.push_back(v.row);
    out.readings.push_back(std::move(v));
  }
}

void fill_holes(const Model& model, const Columns& columns, const Solution& s, const Eigen::VectorXd& placed,
                const std::vector<bool>& unknown_size, SurveyResult& out) {
  for (int h = 0; h < model.hole_count(); ++h) {
    MeasuredHole hole;
    hole.id = model.hole_ids[static_cast<std::size_t>(h)];
    hole.centre_mm = placed.segment<2>(2 * h);
    hole.centre_cov_mm2 = out.face.covariance_mm2.block<2, 2>(2 * h, 2 * h);
    const HoleParams& own = model.hole_params[static_cast<std::size_t>(h)];
    if (own.diameter >= 0 && !unknown_size[static_cast<std::size_t>(h)]) {
      const int c = columns.of_param[static_cast<std::size_t>(own.diameter)];
      hole.diameter_mm = placed[own.diameter];
      hole.diameter_sigma_mm = c < 0 ? 0.0 : std::sqrt(s.q(c, c));
      if (own.oval_cos >= 0) {
        const double a = placed[own.oval_cos];
        const double b = placed[own.oval_sin];
        hole.ovality_mm = 2.0 * std::hypot(a, b);
        hole.ovality_axis_rad = 0.5 * std::atan2(b, a);
      }
    }
    out.face.holes.push_back(std::move(hole));
  }
}

double sigma_of(int param, const Columns& columns, const Solution& s) {
  const int c = columns.of_param[static_cast<std::size_t>(param)];
  return c < 0 ? 0.0 : std::sqrt(s.q(c, c));
}

void fill_tapes(const Model& model, const Columns& columns, const Solution& s, SurveyResult& out) {
  for (std::size_t p = 0; p < model.params.size(); ++p) {
    const Param& param = model.params[p];
    const int number = static_cast<int>(p);
    const double value = s.state[number];
    if (param.kind == ParamKind::kScale) {
      out.scales.push_back({param.name, 1.0 + value, sigma_of(number, columns, s)});
    } else if (param.kind == ParamKind::kZeroX || param.kind == ParamKind::kZeroY) {
      out.zeros.push_back({param.name, value, sigma_of(number, columns, s)});
    }
  }
  if (model.square_param >= 0) {
    out.square_rad = s.state[model.square_param];
    out.square_sigma_rad = sigma_of(model.square_param, columns, s);
  }
}

void name_suspects(const Model& model, const Columns& columns, const Snooping& found, SurveyResult& out) {
  out.together = rows_together(model, columns, found.solution);
  if (found.hangs_on) {
    const Reading& r = model.readings->rows[static_cast<std::size_t>(*found.hangs_on)];
    out.notes.push_back(
        fmt::format("Row {} ({} {}) does not agree with the others, but without it {} is not determined, so "
                    "which reading is wrong "
                    "cannot be said. Take it again, and measure {} from another hole.",
                    r.row, kind_name(r.kind), r.from, r.from, r.from));
  }
  for (const Suspect& suspect : found.suspects) {
    out.readings[static_cast<std::size_t>(suspect.reading)].slip =
        explain(suspect, model, columns, found.solution);
    if (suspect.together.empty()) continue;
    std::vector<int> rows;
    for (const int reading : suspect.together)
      rows.push_back(model.readings->rows[static_cast<std::size_t>(reading)].row);
    out.together.push_back(std::move(rows));
  }
}

void note_gauge(const Gauge& gauge, const Model& model, SurveyResult& out) {
  if (gauge.count() == 0) return;
  out.partly_free = true;
  out.shape_only = gauge.count() == 3;
  if (out.shape_only) {
    out.notes.push_back(
        model.readings->near_places.size() > 1
            ? "No reading from a datum edge: the shape alone is known. It is laid down as near as can be to "
              "the places "
              "named in the file; the sigmas are those of the shape (inner constraints)."
            : fmt::format(
                  "No reading from a datum edge: the shape alone is known. Hole {} is laid at the origin and "
                  "hole {} along x; the sigmas are those of the shape (inner constraints).",
                  model.hole_ids[0], model.hole_ids[model.hole_ids.size() > 1 ? 1 : 0]));
    return;
  }
  out.notes.push_back(
      "No reading ties the net to the datum in every way: a shift or a turn of the whole is free. It is laid "
      "down by "
      "convention; the sigmas are those of the shape (inner constraints).");
}

}  // namespace

Result<SurveyResult> adjust(const Readings& readings, const SurveyOptions& options) {
  Model model(readings);
  const Start start = construct_start(model);
  const Gauge gauge = find_gauge(model, start.state);
  pin_gauge(gauge, start.state, model);
  const Determination determination = check_determined(gauge, start.state, model);
  if (!determination.problems.empty()) return determination.problems;
  const Columns columns(model.params);
  Snooping found;
  if (options.look_for_blunders) {
    found = snoop(model, columns, start.state);
  } else {
    found.solution = solve(model, columns, start.state);
    found.chi2_before = found.solution.chi2;
    found.dof_before = found.solution.dof;
  }
  const Solution& s = found.solution;
  if (!s.converged) {
    return Problem{codes::kSurveyNoConvergence, readings.source,
                   "the readings contradict each other too much to adjust",
                   "look for a reading under the wrong hole"};
  }
  SurveyResult out;
  Eigen::VectorXd placed = s.state;
  lay_down(gauge, model, placed);
  out.face.covariance_mm2 =
      coordinate_covariance(gauge, model, columns, s, placed, turn_between(model, s.state, placed));
  fill_holes(model, columns, s, placed, determination.unknown_size, out);
  fill_tapes(model, columns, s, out);
  judge_readings(model, columns, s, out);
  name_suspects(model, columns, found, out);
  out.chi2_before = found.chi2_before;
  out.dof_before = found.dof_before;
  if (gauge.count() == 0) out.next = next_readings(model, columns, s, options.next_count);
  out.dof = s.dof;
  out.chi2 = s.chi2;
  out.chi2_p = s.dof > 0 ? chi2_upper_tail(s.chi2, s.dof) : 1.0;
  note_gauge(gauge, model, out);
  return out;
}

}  // namespace fairhole
