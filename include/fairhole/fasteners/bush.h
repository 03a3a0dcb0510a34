// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/fits/interference.h"
#include "fairhole/fits/iso286.h"

namespace fairhole::fasteners {

/// A bush pressed into one layer, reamed afterwards for its bolt.
struct BushOrder {
  std::string hole;  ///< its name, for problems
  double hole_nominal_mm = 0.0;
  std::optional<double> bore_mm;  ///< the hole as measured; none: seat_class of its nominal size
  double bore_sigma_mm = 0.0;
  ToleranceClass seat_class{"H", 7};  ///< of the hole, where it is not measured
  ToleranceClass outside_class{"p", 6};
  double bolt_nominal_mm = 0.0;
  ToleranceClass bore_class{"H", 7};    ///< of the bush's bore, finished
  double pressed_bore_mm = 0.0;         ///< its bore when it is pressed in; 0: the bolt's
  double length_mm = 0.0;               ///< the layer's thickness
  std::optional<double> least_wall_mm;  ///< none: least_bush_wall_mm()
  double metal_round_mm = 0.0;  ///< diameter of the metal that works round the hole; 0: three diameters
  Metal bush, part;
};

struct BushDesign {
  SizeLimits outside;
  SizeLimits bore;  ///< finished, after pressing
  double wall_mm = 0.0;
  double least_interference_mm = 0.0;
  double most_interference_mm = 0.0;
  double closes_least_mm = 0.0;  ///< on the bore's diameter when pressed in
  double closes_most_mm = 0.0;
  DrivingVerdict driving;  ///< at its tightest
  std::vector<std::string> notes;
};

/// Wall: the larger of 2 mm and a tenth of the bolt at least (common practice, no source) or the order's own.
/// Problems: kBushWall; kFitNoShankLeft and the others of shank_for_bore() and limits_of(); kBadBush for
/// sizes that cannot be.
Result<BushDesign> design_bush(const BushOrder& order);

namespace codes {
inline constexpr Code kBadBush{453};   ///< a bush of impossible size
inline constexpr Code kBushWall{781};  ///< no wall left between bolt and hole
}  // namespace codes

}  // namespace fairhole::fasteners
