// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace fairhole {

enum class SpacingRule {
  kOldPractice,  ///< 1.5 diameters to an edge, 3 diameters from hole to hole, of the fastener
  kEn1993        ///< EN 1993-1-8:2005 Table 3.3: 1.2, 2.2 and 2.4 diameters, of the hole
};

/// The diameter a rule multiplies.
enum class DiameterOf { kFastener, kHole };

/// Least distances as multiples of a diameter. Values and sources: src/fits/data/spacing_rules.csv.
struct EdgeRule {
  std::string name;
  DiameterOf diameter_of = DiameterOf::kFastener;
  double end_ratio = 0.0;    ///< hole centre to an edge, in the direction of the load
  double edge_ratio = 0.0;   ///< hole centre to an edge, across the load
  double pitch_ratio = 0.0;  ///< hole centre to hole centre, in the direction of the load
  double gauge_ratio = 0.0;  ///< hole centre to hole centre, across the load
  std::string source;
};
EdgeRule edge_rule(SpacingRule rule);

/// Least distances between centres and to edges, for one fastener in its hole.
struct Spacing {
  double end_mm = 0.0;
  double edge_mm = 0.0;
  double pitch_mm = 0.0;
  double gauge_mm = 0.0;
};

/// Requires finite diameters above 0 (asserted). Where the direction of load is not known, take the larger of
/// end and edge, and of pitch and gauge.
Spacing least_spacing(const EdgeRule& rule, double fastener_mm, double hole_mm);

/// Least wall of a bush round a bore of this diameter: the larger of 2 mm and a tenth of the bore (common
/// practice, no source).
double least_bush_wall_mm(double bore_mm);

}  // namespace fairhole
