// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/stack.h"

#include <fmt/format.h>

#include <cmath>

namespace fairhole::fasteners {

const char* kind_name(Kind kind) {
  switch (kind) {
    case Kind::kHotRivet:
      return "hot rivet";
    case Kind::kRivetHeadedBolt:
      return "rivet-headed fitted bolt";
    case Kind::kFittedBolt:
      return "fitted bolt";
    case Kind::kClearanceBolt:
      break;
  }
  return "clearance bolt";
}

Result<Grip> grip_of(const GripStack& stack) {
  Problems problems;
  Grip grip;
  for (const GripLayer& layer : stack.layers) {
    const bool thick = std::isfinite(layer.thickness_mm) && layer.thickness_mm > 0.0;
    if (!thick || !(layer.plus_minus_mm >= 0.0) || layer.plus_minus_mm >= layer.thickness_mm) {
      problems.push_back({codes::kBadGrip, stack.id,
                          fmt::format("layer \"{}\" is {} +- {} mm thick", layer.part, layer.thickness_mm,
                                      layer.plus_minus_mm),
                          "state a thickness above 0 and how far it may be off, less than itself"});
    }
    grip.length_mm += layer.thickness_mm;
    grip.plus_minus_mm += layer.plus_minus_mm;
    if (layer.packing) continue;
    grip.bearing_mm = grip.length_mm;
    grip.bearing_plus_minus_mm = grip.plus_minus_mm;
  }
  if (problems.empty() && grip.bearing_mm == 0.0) {
    problems.push_back({codes::kBadGrip, stack.id, "no layer that bears on the fastener",
                        "name at least one layer that is no packing"});
  }
  if (!problems.empty()) return problems;
  return grip;
}

}  // namespace fairhole::fasteners
