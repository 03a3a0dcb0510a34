// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

#include "fairhole/base/length.h"
#include "fairhole/fits/drills.h"
#include "table.h"

namespace fairhole {
namespace {

std::vector<Drill> read_inch_drills() {
  const fits::Table table(embedded::drills_fractional_inch_csv);
  std::vector<Drill> drills;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const double diameter_mm = table.length_mm(row, "size_in");
    drills.push_back({diameter_mm, format_inches(diameter_mm)});
  }
  return drills;
}

std::vector<Drill> read_metric_drills() {
  const fits::Table table(embedded::drills_metric_csv);
  std::vector<Drill> drills;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    drills.push_back({table.length_mm(row, "size_mm"), table.text(row, "size_mm") + " mm"});
  }
  return drills;
}

std::vector<Drill> read_number_letter_drills() {
  const fits::Table table(embedded::drills_number_letter_csv);
  std::vector<Drill> drills;
  for (std::size_t row = 0; row < table.rows(); ++row)
    drills.push_back({table.length_mm(row, "size_in"), table.text(row, "name")});
  return drills;
}

std::vector<Drill> merged_drills(std::span<const Drill> a, std::span<const Drill> b) {
  std::vector<Drill> drills;
  std::merge(a.begin(), a.end(), b.begin(), b.end(), std::back_inserter(drills),
             [](const Drill& left, const Drill& right) { return left.diameter_mm < right.diameter_mm; });
  return drills;
}

}  // namespace

std::span<const Drill> drill_list(DrillUnit unit) {
  static const std::vector<Drill> inch = read_inch_drills();
  static const std::vector<Drill> metric = read_metric_drills();
  static const std::vector<Drill> any = merged_drills(inch, metric);
  switch (unit) {
    case DrillUnit::kInch:
      return inch;
    case DrillUnit::kMetric:
      return metric;
    case DrillUnit::kAny:
      break;
  }
  return any;
}

std::vector<Drill> drills_at_hand(DrillUnit unit, std::span<const Drill> own) {
  constexpr double kSameMm = 1e-9;  // a size written in mm and in inches is one size
  std::vector<Drill> sorted(own.begin(), own.end());
  std::stable_sort(sorted.begin(), sorted.end(),
                   [](const Drill& a, const Drill& b) { return a.diameter_mm < b.diameter_mm; });
  std::vector<Drill> all = merged_drills(sorted, drill_list(unit));  // of equals the own one first
  const auto same = [](const Drill& a, const Drill& b) {
    return std::abs(a.diameter_mm - b.diameter_mm) < kSameMm;
  };
  all.erase(std::unique(all.begin(), all.end(), same), all.end());
  return all;
}

std::span<const Drill> number_and_letter_drills() {
  static const std::vector<Drill> drills = read_number_letter_drills();
  return drills;
}

}  // namespace fairhole
