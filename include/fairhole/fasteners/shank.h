// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/fits/fit.h"

namespace fairhole::fasteners {

/// The finished hole of one layer, as measured.
struct MeasuredBore {
  std::string part;
  double diameter_mm = 0.0;
  double sigma_mm = 0.0;
};

struct ShankForStack {
  SizeLimits shank;
  std::vector<std::string> notes;  ///< layers in which the shank is looser than its class, by how much
};

/// One shank through several layers, within its class in the smallest bore, because a shank that is too large
/// does not go in, and in as many of the next larger ones as agree with it; the looser layers are named with
/// their greatest clearance, which the shank's smallest size and 2 sigma of the bore give. Problems: those of
/// shank_for_bore() for each layer, their place being the part; kBadBores without any bore.
Result<ShankForStack> shank_for_stack(const FitRequest& request, const std::vector<MeasuredBore>& bores);

namespace codes {
inline constexpr Code kBadBores{454};  ///< a shank for a stack of no bore
}  // namespace codes

}  // namespace fairhole::fasteners
