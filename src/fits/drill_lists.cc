// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
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

std::span<const Drill> number_and_letter_drills() {
  static const std::vector<Drill> drills = read_number_letter_drills();
  return drills;
}

}  // namespace fairhole
