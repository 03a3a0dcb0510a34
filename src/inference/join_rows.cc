// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "search.h"

namespace fairhole::inference {
namespace {

/// Covariance of (start, pitch) over all lines, for unit scatter.
Eigen::Matrix2d rows_covariance(const SeenRows& rows) {
  Eigen::Matrix2d normal = Eigen::Matrix2d::Zero();
  for (const SeenLine& line : rows.lines) normal += spacing_covariance(line.members, line.shift()).inverse();
  return normal.inverse();
}

/// How a row stands on the lattice of others, and what saying so is worth.
struct Joint {
  int steps = 0;
  bool half = false;
  double gain = 0.0;
};

Joint joint_of(const Field& field, const SeenRows& to, const SeenRows& row, bool half) {
  const double shift = half ? 0.5 : 0.0;
  // Compared at the row's middle, where its place is best known.
  const int middle = row.lines.front().members[row.lines.front().members.size() / 2].k;
  const double at_mm = row.start_mm + middle * row.pitch_mm;
  Joint joint;
  joint.half = half;
  joint.steps = static_cast<int>(std::lround((at_mm - to.start_mm) / to.pitch_mm - shift)) - middle;
  const double s = joint.steps + shift;
  const Eigen::Vector2d off(row.start_mm - to.start_mm - s * to.pitch_mm, row.pitch_mm - to.pitch_mm);
  Eigen::Matrix2d carry;
  carry << 1.0, s, 0.0, 1.0;
  const Eigen::Matrix2d cov =
      field.scatter_mm * field.scatter_mm *
      (spacing_covariance(row.lines.front().members) + carry * rows_covariance(to) * carry.transpose());
  // Bayes factor of "same pitch and phase" against "any pitch and phase"; in step or staggered, one in two.
  joint.gain = -0.5 * off.dot(cov.inverse() * off) - 0.5 * std::log(cov.determinant()) -
               std::log(2.0 * std::numbers::pi) + std::log(to.pitch_mm * kPitchRangeMm) - std::numbers::ln2;
  return joint;
}

void add_line(const Field& field, SeenRows& to, const SeenRows& row, const Joint& joint) {
  SeenLine line = row.lines.front();
  line.half = joint.half;
  for (Member& m : line.members) m.k += joint.steps;
  to.lines.push_back(std::move(line));
  settle_rows(field, to);
}

/// Lines by gauge, places counted from the first hole; the line that holds it is not the shifted one.
void put_in_order(SeenRows& rows) {
  std::stable_sort(rows.lines.begin(), rows.lines.end(),
                   [](const SeenLine& a, const SeenLine& b) { return a.gauge_mm < b.gauge_mm; });
  const auto start = [](const SeenLine& line) { return line.members.front().k + line.shift(); };
  const SeenLine& first =
      *std::min_element(rows.lines.begin(), rows.lines.end(),
                        [&](const SeenLine& a, const SeenLine& b) { return start(a) < start(b); });
  const bool turn_over = first.half;
  const int k0 = first.members.front().k;
  rows.start_mm += (k0 + first.shift()) * rows.pitch_mm;
  for (SeenLine& line : rows.lines) {
    for (Member& m : line.members) m.k -= k0 + (turn_over && !line.half ? 1 : 0);
    line.half = line.half != turn_over;
  }
}

}  // namespace

void settle_rows(const Field& field, SeenRows& rows) {
  Eigen::Matrix2d normal = Eigen::Matrix2d::Zero();
  Eigen::Vector2d right = Eigen::Vector2d::Zero();
  for (SeenLine& line : rows.lines) {
    double sum = 0.0, n = 0.0;
    for (const Member& m : line.members) {
      if (m.strayed) continue;
      const Eigen::Vector2d& hole = field.holes_mm[static_cast<std::size_t>(m.hole)];
      const Eigen::Vector2d row(1.0, m.k + line.shift());
      normal += row * row.transpose();
      right += row * hole[rows.along_y ? 1 : 0];
      sum += hole[rows.along_y ? 0 : 1];
      n += 1.0;
    }
    line.gauge_mm = sum / n;
  }
  const Eigen::Vector2d solved = normal.inverse() * right;
  rows.start_mm = solved[0];
  rows.pitch_mm = solved[1];
}

void join_rows(const Field& field, Structure& structure) {
  std::vector<SeenRows> rows = std::move(structure.rows);
  std::stable_sort(rows.begin(), rows.end(),
                   [](const SeenRows& a, const SeenRows& b) { return a.holes() > b.holes(); });
  structure.rows.clear();
  for (const SeenRows& row : rows) {
    SeenRows* to = nullptr;
    Joint best;
    for (SeenRows& other : structure.rows) {
      if (other.along_y != row.along_y) continue;
      for (const bool half : {false, true}) {
        const Joint joint = joint_of(field, other, row, half);
        if (joint.gain > best.gain) {
          best = joint;
          to = &other;
        }
      }
    }
    if (to == nullptr) {
      structure.rows.push_back(row);
    } else {
      add_line(field, *to, row, best);
      structure.score += best.gain;
    }
  }
  for (SeenRows& joined : structure.rows) put_in_order(joined);
}

}  // namespace fairhole::inference
