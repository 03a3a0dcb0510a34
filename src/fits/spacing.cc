// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/spacing.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "table.h"

namespace fairhole {

EdgeRule edge_rule(SpacingRule rule) {
  const fits::Table table(embedded::spacing_rules_csv);
  const auto row = static_cast<std::size_t>(rule);  // the file keeps the order of the enumeration
  return {table.text(row, "rule"),
          table.text(row, "diameter_of") == "hole" ? DiameterOf::kHole : DiameterOf::kFastener,
          table.number(row, "end"),
          table.number(row, "edge"),
          table.number(row, "pitch"),
          table.number(row, "gauge"),
          table.text(row, "source")};
}

Spacing least_spacing(const EdgeRule& rule, double fastener_mm, double hole_mm) {
  const double diameter_mm = rule.diameter_of == DiameterOf::kHole ? hole_mm : fastener_mm;
  assert(std::isfinite(diameter_mm) && diameter_mm > 0.0);
  return {rule.end_ratio * diameter_mm, rule.edge_ratio * diameter_mm, rule.pitch_ratio * diameter_mm,
          rule.gauge_ratio * diameter_mm};
}

double least_bush_wall_mm(double bore_mm) {
  constexpr double kLeastMm = 2.0;
  constexpr double kShare = 0.1;
  return std::max(kLeastMm, kShare * bore_mm);
}

}  // namespace fairhole
