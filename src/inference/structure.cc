// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "structure.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "search.h"

namespace fairhole::inference {
namespace {

using Eigen::Vector2d;

enum class Step { kAlongX, kAlongY, kRings };

/// Orders of looking: what is found first takes the holes.
constexpr Step kOrders[][3] = {{Step::kAlongX, Step::kAlongY, Step::kRings},
                               {Step::kAlongY, Step::kAlongX, Step::kRings},
                               {Step::kRings, Step::kAlongX, Step::kAlongY},
                               {Step::kRings, Step::kAlongY, Step::kAlongX}};

Structure look(const Field& field, const Step (&order)[3]) {
  Structure structure;
  structure.loose.resize(field.holes_mm.size());
  std::iota(structure.loose.begin(), structure.loose.end(), 0);
  for (const Step step : order) {
    if (step == Step::kRings) {
      take_rings(field, structure.loose, structure);
    } else {
      take_rows(field, step == Step::kAlongY, structure.loose, structure);
    }
  }
  join_rows(field, structure);
  return structure;
}

}  // namespace

int SeenRows::holes() const {
  int count = 0;
  for (const SeenLine& line : lines) count += static_cast<int>(line.members.size());
  return count;
}

Slope slope_of_lines(const std::vector<Vector2d>& holes_mm, const std::vector<SeenRows>& all, int face,
                     double scatter_mm, double turn_sigma_rad) {
  const double s2 = scatter_mm * scatter_mm;
  double weight = 1.0 / (turn_sigma_rad * turn_sigma_rad), sum = 0.0;
  for (const SeenRows& rows : all) {
    const int along = rows.along_y ? 1 : 0;
    const double sign = rows.along_y ? -1.0 : 1.0;
    for (const SeenLine& line : rows.lines) {
      Vector2d middle = Vector2d::Zero();
      double n = 0.0;
      const auto counts = [face](const Member& m) { return m.face == face && !m.strayed; };
      for (const Member& m : line.members) {
        if (!counts(m)) continue;
        middle += holes_mm[static_cast<std::size_t>(m.hole)];
        n += 1.0;
      }
      if (n == 0.0) continue;
      middle /= n;
      for (const Member& m : line.members) {
        if (!counts(m)) continue;
        const Vector2d arm = holes_mm[static_cast<std::size_t>(m.hole)] - middle;
        weight += arm[along] * arm[along] / s2;
        sum += sign * arm[along] * arm[1 - along] / s2;
      }
    }
  }
  return {sum / weight, 1.0 / weight};
}

double Field::member_gain() const {
  return std::log(width_mm * height_mm / (2.0 * std::numbers::pi * scatter_mm * scatter_mm));
}

double log_choices(int n, int m) {
  return std::lgamma(n + 1.0) - std::lgamma(m + 1.0) - std::lgamma(n - m + 1.0);
}

Field make_field(const std::vector<Vector2d>& holes_mm, double turn_rad, double scatter_mm,
                 const SearchRules& rules) {
  Field field;
  field.scatter_mm = scatter_mm;
  field.rules = rules;
  Vector2d low = Vector2d::Constant(1e300), high = Vector2d::Constant(-1e300);
  for (const Vector2d& p : holes_mm) {
    field.holes_mm.push_back(turned_back(p, turn_rad));
    low = low.cwiseMin(field.holes_mm.back());
    high = high.cwiseMax(field.holes_mm.back());
  }
  field.width_mm = std::max(kLeastFieldMm, high.x() - low.x());
  field.height_mm = std::max(kLeastFieldMm, high.y() - low.y());
  return field;
}

Structure find_structure(const std::vector<Vector2d>& holes_mm, double own_sigma_mm,
                         const SearchRules& rules) {
  Structure best;
  double best_score = -1e300;
  for (const double z : {-2.0, -1.0, 0.0, 1.0, 2.0}) {  // sd of the scatter's prior
    const double scatter_mm =
        std::hypot(rules.expected_scatter_mm * std::exp(z * rules.scatter_log_sd), own_sigma_mm);
    const double turn = best_turn(holes_mm, scatter_mm, rules);
    const Field field = make_field(holes_mm, turn, scatter_mm, rules);
    bool rings_at_all = true;
    for (const auto& order : kOrders) {
      if (order[0] == Step::kRings && !rings_at_all) continue;
      Structure structure = look(field, order);
      if (order[0] == Step::kRings) rings_at_all = !structure.rings.empty();
      structure.score -= 0.5 * z * z;
      if (structure.score <= best_score) continue;
      best_score = structure.score;
      best = std::move(structure);
      best.turn_rad = turn;
      best.scatter_mm = scatter_mm;
    }
  }
  const Field rough = make_field(holes_mm, best.turn_rad, best.scatter_mm, rules);
  const double turn =
      best.turn_rad +
      slope_of_lines(rough.holes_mm, best.rows, 0, best.scatter_mm, rules.turn_sigma_rad).turn_rad;
  const Field field = make_field(holes_mm, turn, best.scatter_mm, rules);
  for (SeenRows& rows : best.rows) settle_rows(field, rows);
  best.turn_rad = turn;
  part_strays(field, best);
  adopt_strays(field, best);
  return best;
}

}  // namespace fairhole::inference
