// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/survey/survey.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "blunders.h"
#include "datum.h"
#include "doubtful.h"
#include "fairhole/geometry/statistics.h"
#include "find_solution.h"
#include "mirror.h"
#include "model.h"
#include "next.h"
#include "solver.h"
#include "start.h"
#include "suspicions.h"
#include "together.h"
#include "undetermined.h"

namespace fairhole {
namespace {

using namespace survey_detail;  // NOLINT(google-build-using-namespace): the module's own inside

void judge_readings(const Model& model, const Solution& s, SurveyResult& out) {
  for (std::size_t i = 0; i < model.readings->rows.size(); ++i) {
    ReadingVerdict v;
    v.row = model.readings->rows[i].row;
    const int number = model.observation_of_reading[i];
    if (number >= 0) {
      const Observation& o = model.observations[static_cast<std::size_t>(number)];
      const Equation& e = s.equations[static_cast<std::size_t>(number)];
      const double variance = o.sigma * o.sigma;
      const double of_fit = s.normals->fit_variance(e);
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

/// A hole's own covariance, without that of all holes.
Eigen::Matrix2d own_covariance(int hole, const Columns& columns, const Solution& s) {
  const int x = columns.of_param[static_cast<std::size_t>(Model::x_of(hole))];
  const int y = columns.of_param[static_cast<std::size_t>(Model::y_of(hole))];
  Eigen::Matrix2d out = Eigen::Matrix2d::Zero();
  if (x >= 0) out(0, 0) = s.normals->variance(x);
  if (y >= 0) out(1, 1) = s.normals->variance(y);
  if (x >= 0 && y >= 0) out(0, 1) = out(1, 0) = s.normals->covariance(x, y);
  return out;
}

void fill_holes(const Model& model, const Columns& columns, const Solution& s, const Eigen::VectorXd& placed,
                const std::vector<bool>& unknown_size, SurveyResult& out) {
  for (int h = 0; h < model.hole_count(); ++h) {
    MeasuredHole hole;
    hole.id = model.hole_ids[static_cast<std::size_t>(h)];
    hole.centre_mm = placed.segment<2>(2 * h);
    hole.centre_cov_mm2 = out.face.covariance_mm2.size() > 0
                              ? Eigen::Matrix2d(out.face.covariance_mm2.block<2, 2>(2 * h, 2 * h))
                              : own_covariance(h, columns, s);
    const HoleParams& own = model.hole_params[static_cast<std::size_t>(h)];
    if (own.diameter >= 0 && !unknown_size[static_cast<std::size_t>(h)]) {
      const int c = columns.of_param[static_cast<std::size_t>(own.diameter)];
      hole.diameter_mm = placed[own.diameter];
      hole.diameter_sigma_mm = c < 0 ? 0.0 : std::sqrt(s.normals->variance(c));
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
  return c < 0 ? 0.0 : std::sqrt(s.normals->variance(c));
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

void note_mirrors(const Gauge& gauge, const Model& model, const Eigen::VectorXd& placed, SurveyResult& out) {
  out.mirror_doubts = find_mirror_doubts(model, placed);
  if (gauge.count() == 3 && whole_may_be_mirrored(model)) {
    out.notes.push_back(
        "Distances alone do not tell the shape from its mirror image: one `off-line` reading, or `# near` "
        "lines, would.");
  }
  if (!model.readings->corner && std::any_of(model.readings->rows.begin(), model.readings->rows.end(),
                                             [](const Reading& r) { return is_along(r.kind); })) {
    out.notes.push_back(
        "The corner of the datum edges is taken as square: a line `# square: 0 +- 0.2` would leave it open.");
  }
}

std::vector<int> rows_of(const Model& model, const std::vector<int>& observations) {
  std::vector<int> rows;
  for (const int number : observations) {
    rows.push_back(model.reading(model.observations[static_cast<std::size_t>(number)]).row);
  }
  return rows;
}

/// Slips of the rows under suspicion, and which rows cannot be told apart.
void name_suspects(const Model& model, const Columns& columns, const Solution& s,
                   const std::vector<Suspicion>& suspicions, SurveyResult& out) {
  for (const Suspicion& suspicion : suspicions) {
    const std::vector<int>& group = suspicion.observations;
    for (std::size_t k = 0; k < group.size(); ++k) {
      const int reading = model.observations[static_cast<std::size_t>(group[k])].reading;
      out.readings[static_cast<std::size_t>(reading)].slip = suspicion.slips[k];
    }
    if (group.size() > 1) out.suspect_groups.push_back(rows_of(model, group));
  }
  out.together = out.suspect_groups;
  for (const auto& group :
       s.q.size() > 0 ? alike_groups(model, columns, s) : std::vector<std::vector<int>>{}) {
    const std::vector<int> rows = rows_of(model, group);
    if (std::find(out.together.begin(), out.together.end(), rows) == out.together.end())
      out.together.push_back(rows);
  }
  std::sort(out.together.begin(), out.together.end());
}

// What a slip in each reading does to each hole fills a table of readings by holes.
constexpr int kMostHolesDoubted = 300;

double p_of(const Solution& s) { return s.dof > 0 ? chi2_upper_tail(s.chi2, s.dof) : 1.0; }

}  // namespace

Result<SurveyResult> adjust(const Readings& readings, const SurveyOptions& options) {
  Model model(readings);
  const Start start = construct_start(model);
  const Gauge gauge = find_gauge(model, start.state);
  pin_gauge(gauge, start.state, model);
  const Determination determination = check_determined(gauge, start.state, model);
  if (!determination.problems.empty()) return determination.problems;
  const Columns columns(model.params);
  const Solution all = find_solution(model, columns, start);
  BlunderSearch search{all, {}};
  if (options.look_for_blunders) search = search_blunders(model, columns, all);
  if (!search.solution.converged) {
    return Problem{codes::kSurveyNoConvergence, readings.source,
                   "the readings contradict each other too much to adjust",
                   "look for a reading under the wrong hole"};
  }
  const std::vector<Suspicion> suspicions = explain_and_settle(model, columns, search);
  Solution& s = search.solution;
  SurveyResult out;
  Eigen::VectorXd placed = s.state;
  lay_down(gauge, model, placed);
  const DatumChange change(gauge, model, s.state, placed);
  if (options.full_covariance || gauge.count() > 0) {
    fill_covariance(s);
    out.face.covariance_mm2 = coordinate_covariance(change, model, columns, s.q);
  }
  fill_holes(model, columns, s, placed, determination.unknown_size, out);
  fill_tapes(model, columns, s, out);
  judge_readings(model, s, out);
  name_suspects(model, columns, s, suspicions, out);
  out.dof = s.dof;
  out.chi2 = s.chi2;
  out.chi2_p = p_of(s);
  out.dof_before = all.dof;
  out.chi2_before = all.chi2;
  note_gauge(gauge, model, out);
  note_mirrors(gauge, model, placed, out);
  if (options.full_covariance && model.hole_count() <= kMostHolesDoubted)
    out.face.doubtful = doubtful_readings(model, s, change, columns);
  out.next = propose_next(model, columns, s, change, out.face, gauge.count() == 0, options.next_count);
  return out;
}

}  // namespace fairhole
