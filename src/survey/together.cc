// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "together.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "fairhole/survey/survey.h"

namespace fairhole::survey_detail {
namespace {

/// Readings that something checks, with their redundancy.
struct Checked {
  std::vector<int> numbers;
  std::vector<double> redundancy;  // by observation number
};

Checked checked_readings(const Model& model, const Columns& columns, const Solution& s) {
  Checked out;
  out.redundancy.assign(model.observations.size(), 0.0);
  for (std::size_t i = 0; i < model.observations.size(); ++i) {
    if (model.observations[i].reading < 0 || !model.observations[i].active) continue;
    const int number = static_cast<int>(i);
    out.redundancy[i] = residual_covariance(model, columns, s, number, number);
    if (out.redundancy[i] >= kLeastRedundancy) out.numbers.push_back(number);
  }
  return out;
}

class Groups {
 public:
  explicit Groups(std::size_t count) : parent_(count) { std::iota(parent_.begin(), parent_.end(), 0); }
  int root(int i) {
    while (parent_[static_cast<std::size_t>(i)] != i) i = parent_[static_cast<std::size_t>(i)];
    return i;
  }
  void join(int i, int j) {
    const int a = root(i);
    const int b = root(j);
    parent_[static_cast<std::size_t>(std::max(a, b))] = std::min(a, b);
  }

 private:
  std::vector<int> parent_;
};

/// For each reading the later ones it is compared with.
std::vector<std::vector<int>> partners(const Model& model, const std::vector<int>& numbers) {
  std::vector<std::vector<int>> out(numbers.size());
  if (static_cast<int>(numbers.size()) <= kMostPairReadings) {
    for (std::size_t k = 0; k < numbers.size(); ++k) {
      out[k].assign(numbers.begin() + static_cast<std::ptrdiff_t>(k) + 1, numbers.end());
    }
    return out;
  }
  std::vector<std::vector<int>> of_hole(static_cast<std::size_t>(model.hole_count()));
  for (std::size_t k = numbers.size(); k-- > 0;) {
    const Reading& r = model.reading(model.observations[static_cast<std::size_t>(numbers[k])]);
    for (const HoleId* id : {&r.from, &r.to, &r.line_end}) {
      if (id->empty()) continue;
      auto& later = of_hole[static_cast<std::size_t>(model.hole(*id))];
      out[k].insert(out[k].end(), later.begin(), later.end());
      later.push_back(numbers[k]);
    }
  }
  return out;
}

}  // namespace

double residual_covariance(const Model& model, const Columns& columns, const Solution& s, int i, int j) {
  const auto a = static_cast<std::size_t>(i);
  const auto b = static_cast<std::size_t>(j);
  const double fit = covariance_of(s.equations[a], s.equations[b], columns, s.q);
  return (i == j ? 1.0 : 0.0) - fit / (model.observations[a].sigma * model.observations[b].sigma);
}

std::vector<std::vector<int>> alike_groups(const Model& model, const Columns& columns, const Solution& s) {
  const Checked checked = checked_readings(model, columns, s);
  const auto candidates = partners(model, checked.numbers);
  Groups groups(model.observations.size());
  for (std::size_t k = 0; k < checked.numbers.size(); ++k) {
    const int i = checked.numbers[k];
    for (const int j : candidates[k]) {
      if (i == j || groups.root(i) == groups.root(j)) continue;
      const double scale = std::sqrt(checked.redundancy[static_cast<std::size_t>(i)] *
                                     checked.redundancy[static_cast<std::size_t>(j)]);
      if (std::abs(residual_covariance(model, columns, s, i, j)) > kTogetherCorrelation * scale)
        groups.join(i, j);
    }
  }
  std::map<int, std::vector<int>> by_root;
  for (const int i : checked.numbers) by_root[groups.root(i)].push_back(i);
  std::vector<std::vector<int>> out;
  for (auto& [root, members] : by_root) {
    if (members.size() > 1) out.push_back(std::move(members));
  }
  return out;
}

}  // namespace fairhole::survey_detail
