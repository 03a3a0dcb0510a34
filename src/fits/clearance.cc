// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/clearance.h"

#include <fmt/format.h>

#include <array>
#include <cassert>
#include <cmath>

#include "table.h"

namespace fairhole {
namespace {

const char* column_of(ClearanceSeries series) {
  switch (series) {
    case ClearanceSeries::kFine:
      return "fine_mm";
    case ClearanceSeries::kMedium:
      return "medium_mm";
    case ClearanceSeries::kCoarse:
      break;
  }
  return "coarse_mm";
}

}  // namespace

Result<double> bolt_clearance_hole_mm(double nominal_mm, ClearanceSeries series) {
  constexpr double kSameMm = 1e-6;  // nominal sizes are whole millimetres
  const fits::Table table(embedded::clearance_holes_csv);
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (std::abs(table.number(row, "nominal_mm") - nominal_mm) < kSameMm)
      return table.number(row, column_of(series));
  }
  return Problem{codes::kNoClearanceHole, "",
                 fmt::format("no clearance hole is listed for a bolt of {} mm", nominal_mm),
                 fmt::format("use a metric bolt from {} to {}, or state the hole's diameter",
                             table.text(0, "thread"), table.text(table.rows() - 1, "thread"))};
}

Result<double> en1090_hole_mm(double nominal_mm, En1090Hole kind) {
  constexpr double kSameMm = 1e-6;
  constexpr double kLongSlotOver = 1.5;
  constexpr std::array<const char*, 3> kColumns{"normal_mm", "oversize_mm", "short_slot_mm"};
  const fits::Table table(embedded::en1090_holes_csv);
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (std::abs(table.number(row, "nominal_mm") - nominal_mm) >= kSameMm) continue;
    if (kind == En1090Hole::kLongSlot) return nominal_mm * (1.0 + kLongSlotOver);
    return table.number(row, kColumns.at(static_cast<std::size_t>(kind)));
  }
  return Problem{codes::kNoClearanceHole, "",
                 fmt::format("EN 1090-2 lists no hole for a bolt of {} mm", nominal_mm),
                 fmt::format("use a metric bolt from {} to {}, or state the hole's diameter",
                             table.text(0, "bolt"), table.text(table.rows() - 1, "bolt"))};
}

double normal_clearance_mm(double bolt_mm) {
  const fits::Table table(embedded::en1090_holes_csv);
  double clearance_mm = table.number(0, "normal_mm") - table.number(0, "nominal_mm");
  for (std::size_t row = 1; row < table.rows() && table.number(row, "nominal_mm") <= bolt_mm; ++row)
    clearance_mm = table.number(row, "normal_mm") - table.number(row, "nominal_mm");
  return clearance_mm;
}

double rivet_hole_mm(double cold_diameter_mm) {
  assert(std::isfinite(cold_diameter_mm) && cold_diameter_mm > 0.0);
  return cold_diameter_mm + fits::allowance_mm("rivet hole over cold rivet");
}

}  // namespace fairhole
