// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/base/result.h"

/// What a fastener goes through. All lengths mm; layers in order from the head to the nut (or closing head).
namespace fairhole::fasteners {

enum class Kind { kHotRivet, kRivetHeadedBolt, kFittedBolt, kClearanceBolt };
const char* kind_name(
    Kind kind);  ///< "hot rivet", "rivet-headed fitted bolt", "fitted bolt", "clearance bolt"

struct GripLayer {
  std::string part;
  double thickness_mm = 0.0;
  double plus_minus_mm = 0.0;  ///< how far it may be off, either way
  bool packing = false;        ///< packing or shim: carries no bearing
};

struct GripStack {
  std::string id;
  std::vector<GripLayer> layers;
};

/// The grip and where the shear planes and bearing layers end, measured from the head side's outer face.
struct Grip {
  double length_mm = 0.0;  ///< all layers, packing too
  double plus_minus_mm = 0.0;
  double bearing_mm = 0.0;  ///< far face of the last layer that bears: up to here no thread
  double bearing_plus_minus_mm = 0.0;
};

/// Problem: kBadGrip for a stack without a bearing layer, or a thickness or uncertainty that cannot be; all
/// of them.
Result<Grip> grip_of(const GripStack& stack);

namespace codes {
inline constexpr Code kBadGrip{450};  ///< a stack that cannot be gripped
}  // namespace codes

}  // namespace fairhole::fasteners
