// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "assign.h"

#include <algorithm>
#include <limits>
#include <map>
#include <numeric>

namespace fairhole {
namespace {

/// Disjoint groups by path halving.
int root_of(std::vector<int>& parent, int i) {
  auto at = static_cast<std::size_t>(i);
  while (parent[at] != static_cast<int>(at)) {
    parent[at] = parent[static_cast<std::size_t>(parent[at])];
    at = static_cast<std::size_t>(parent[at]);
  }
  return static_cast<int>(at);
}

using Table = std::vector<std::vector<double>>;

/// Column taken by each row at least total cost; rows <= columns.
std::vector<int> least_cost_rows(const Table& cost) {
  const std::size_t rows = cost.size(), columns = cost.front().size();
  constexpr double kFar = std::numeric_limits<double>::infinity();
  std::vector<double> u(rows + 1, 0.0), v(columns + 1, 0.0);
  std::vector<std::size_t> row_of(columns + 1, 0), way(columns + 1, 0);
  for (std::size_t row = 1; row <= rows; ++row) {
    row_of[0] = row;
    std::size_t column = 0;
    std::vector<double> least(columns + 1, kFar);
    std::vector<bool> used(columns + 1, false);
    do {
      used[column] = true;
      const std::size_t from = row_of[column];
      double delta = kFar;
      std::size_t next = 0;
      for (std::size_t j = 1; j <= columns; ++j) {
        if (used[j]) continue;
        const double reduced = cost[from - 1][j - 1] - u[from] - v[j];
        if (reduced < least[j]) {
          least[j] = reduced;
          way[j] = column;
        }
        if (least[j] < delta) {
          delta = least[j];
          next = j;
        }
      }
      for (std::size_t j = 0; j <= columns; ++j) {
        if (used[j]) {
          u[row_of[j]] += delta;
          v[j] -= delta;
        } else {
          least[j] -= delta;
        }
      }
      column = next;
    } while (row_of[column] != 0);
    while (column != 0) {
      row_of[column] = row_of[way[column]];
      column = way[column];
    }
  }
  std::vector<int> column_of(rows, -1);
  for (std::size_t j = 1; j <= columns; ++j) {
    if (row_of[j] != 0) column_of[row_of[j] - 1] = static_cast<int>(j - 1);
  }
  return column_of;
}

void solve_group(const std::vector<Gain>& gains, std::vector<Pairing>& out) {
  if (gains.size() == 1) {
    out.push_back(gains.front().pair);
    return;
  }
  std::map<int, std::size_t> row, column;
  for (const Gain& gain : gains) {
    row.emplace(gain.pair.nominal, 0);
    column.emplace(gain.pair.measured, 0);
  }
  std::vector<int> nominal, measured;
  for (auto& [id, at] : row) at = nominal.size(), nominal.push_back(id);
  for (auto& [id, at] : column) at = measured.size(), measured.push_back(id);
  // One column of its own lets each row stay alone at no gain.
  Table cost(nominal.size(), std::vector<double>(measured.size() + nominal.size(), 0.0));
  for (auto& line : cost) std::fill_n(line.begin(), measured.size(), 1.0);  // worse than alone: never taken
  for (const Gain& gain : gains) cost[row[gain.pair.nominal]][column[gain.pair.measured]] = -gain.gain;
  const std::vector<int> column_of = least_cost_rows(cost);
  for (std::size_t i = 0; i < nominal.size(); ++i) {
    const auto j = static_cast<std::size_t>(column_of[i]);
    if (j < measured.size() && cost[i][j] < 0.0) out.push_back({nominal[i], measured[j]});
  }
}

}  // namespace

std::vector<Pairing> best_assignment(const std::vector<Gain>& gains, int nominal_count, int measured_count) {
  std::vector<int> parent(static_cast<std::size_t>(nominal_count + measured_count));
  std::iota(parent.begin(), parent.end(), 0);
  for (const Gain& gain : gains) {
    const int a = root_of(parent, gain.pair.nominal), b = root_of(parent, nominal_count + gain.pair.measured);
    parent[static_cast<std::size_t>(std::max(a, b))] = std::min(a, b);
  }
  std::map<int, std::vector<Gain>> groups;
  for (const Gain& gain : gains) groups[root_of(parent, gain.pair.nominal)].push_back(gain);
  std::vector<Pairing> pairs;
  for (const auto& [root, group] : groups) solve_group(group, pairs);
  std::sort(pairs.begin(), pairs.end());
  return pairs;
}

}  // namespace fairhole
