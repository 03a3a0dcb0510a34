// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/rules.h"

#include <algorithm>

namespace fairhole {

double least_edge_mm(const EdgeRule& rule, double fastener_mm, double hole_mm) {
  const Spacing spacing = least_spacing(rule, fastener_mm, hole_mm);
  return std::max(spacing.end_mm, spacing.edge_mm);
}

double least_pitch_mm(const EdgeRule& rule, double fastener_mm, double hole_mm) {
  const Spacing spacing = least_spacing(rule, fastener_mm, hole_mm);
  return std::max(spacing.pitch_mm, spacing.gauge_mm);
}

double least_wall_mm(const FairingRules& rules, double bore_mm) {
  return rules.bush_wall_mm.value_or(least_bush_wall_mm(bore_mm));
}

double DrillingErrors::variance_mm2() const {
  return rounding_step_mm * rounding_step_mm / 12.0 + punch_sigma_mm * punch_sigma_mm +
         wander_sigma_mm * wander_sigma_mm;
}

DrillingErrors drilling_errors(DrillingWay way, double mark_step_mm) {
  switch (way) {
    case DrillingWay::kTemplate:
      return {0.0, 0.15, 0.15};
    case DrillingWay::kCnc:
      return {0.0, 0.02, 0.0};
    case DrillingWay::kMarkedOut:
      break;
  }
  return {mark_step_mm, 0.2, 0.15};
}

}  // namespace fairhole
