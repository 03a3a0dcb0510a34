// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "search.h"

namespace fairhole::inference {
namespace {

// A torn hole: how often, and how far off each axis. Common workshop experience, no source.
constexpr double kTornShare = 0.03;
constexpr double kTornSigmaMm = 3.0;

/// A member and how far it stands from its place.
struct Worst {
  Member* member = nullptr;
  double off2_mm2 = 0.0;
};

/// Squared residuals of all members with a say, their number of coordinates less what the rows leave free.
struct Residuals {
  double squares_mm2 = 0.0;
  double dof = 0.0;
  Worst worst;
};

Residuals residuals(const Field& field, std::vector<SeenRows>& all) {
  Residuals out;
  for (SeenRows& rows : all) {
    out.dof -= 2.0;
    for (SeenLine& line : rows.lines) {
      out.dof -= 1.0;
      const auto speaking =
          std::count_if(line.members.begin(), line.members.end(), [](const Member& m) { return !m.strayed; });
      for (Member& m : line.members) {
        if (m.strayed) continue;
        const Eigen::Vector2d& p = field.holes_mm[static_cast<std::size_t>(m.hole)];
        const double along = p[rows.along_y ? 1 : 0] - rows.start_mm - (m.k + line.shift()) * rows.pitch_mm;
        const double across = p[rows.along_y ? 0 : 1] - line.gauge_mm;
        const double off2 = along * along + across * across;
        out.squares_mm2 += off2;
        out.dof += 2.0;
        if (speaking > 3 && off2 > out.worst.off2_mm2) out.worst = {&m, off2};
      }
    }
  }
  return out;
}

/// Log evidence of residuals, the scatter at its best under its prior.
double log_evidence(const Residuals& r, const SearchRules& rules) {
  constexpr int kSteps = 60;
  constexpr double kReach = 4.0;
  double best = -1e300;
  for (int i = 0; i <= kSteps; ++i) {
    const double z = kReach * (2.0 * i / kSteps - 1.0);
    const double scatter_mm = rules.expected_scatter_mm * std::exp(z * rules.scatter_log_sd);
    best = std::max(best, -r.dof * std::log(scatter_mm) - 0.5 * r.squares_mm2 / (scatter_mm * scatter_mm) -
                              0.5 * z * z - 0.5 * r.dof * std::log(2.0 * std::numbers::pi));
  }
  return best;
}

}  // namespace

void part_strays(const Field& field, Structure& structure) {
  for (std::size_t tries = field.holes_mm.size() / 4; tries > 0; --tries) {
    const Residuals with = residuals(field, structure.rows);
    if (with.worst.member == nullptr) return;
    std::vector<SeenRows> before = structure.rows;
    with.worst.member->strayed = true;
    for (SeenRows& rows : structure.rows) settle_rows(field, rows);
    const double torn = std::log(kTornShare / (1.0 - kTornShare)) -
                        std::log(2.0 * std::numbers::pi * kTornSigmaMm * kTornSigmaMm) -
                        0.5 * with.worst.off2_mm2 / (kTornSigmaMm * kTornSigmaMm);
    if (log_evidence(residuals(field, structure.rows), field.rules) + torn > log_evidence(with, field.rules))
      continue;
    structure.rows = std::move(before);
    return;
  }
}

void adopt_strays(const Field& field, Structure& structure) {
  for (auto hole = structure.loose.begin(); hole != structure.loose.end();) {
    const Eigen::Vector2d& p = field.holes_mm[static_cast<std::size_t>(*hole)];
    SeenLine* home = nullptr;
    int home_k = 0;
    double nearest_mm = field.rules.stray_mm;
    for (SeenRows& rows : structure.rows) {
      const double u = p[rows.along_y ? 1 : 0], v = p[rows.along_y ? 0 : 1];
      for (SeenLine& line : rows.lines) {
        const int k = static_cast<int>(std::lround((u - rows.start_mm) / rows.pitch_mm - line.shift()));
        const double off_mm =
            std::hypot(u - rows.start_mm - (k + line.shift()) * rows.pitch_mm, v - line.gauge_mm);
        const bool empty =
            std::none_of(line.members.begin(), line.members.end(), [k](const Member& m) { return m.k == k; });
        const bool at_row = k >= line.members.front().k - 1 && k <= line.members.back().k + 1;
        if (!empty || !at_row || off_mm > std::min(nearest_mm, 0.25 * rows.pitch_mm)) continue;
        nearest_mm = off_mm;
        home = &line;
        home_k = k;
      }
    }
    if (home == nullptr) {
      ++hole;
      continue;
    }
    home->members.push_back({*hole, home_k, true});
    std::sort(home->members.begin(), home->members.end(),
              [](const Member& a, const Member& b) { return a.k < b.k; });
    hole = structure.loose.erase(hole);
  }
}

}  // namespace fairhole::inference
