// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/fits/iso286.h"

/// Shanks made in batches: one size of shank for several holes, within the fit of each.
namespace fairhole::fasteners {

struct ShankNeed {
  std::string stack;
  SizeLimits shank;   ///< what its own hole allows
  std::string batch;  ///< only needs of one batch (thread, head, class of fastener) may share a size
};

struct ShankGroup {
  std::vector<std::size_t> needs;  ///< indices, ascending
  SizeLimits shank;                ///< within the limits of all its needs
};

/// The fewest groups such that in each a band of `turning_mm` serves all its holes. Exact: a group can share
/// a size when the intervals [least, most - turning] have a point in common, and stabbing intervals from the
/// smallest right end on uses the fewest points. Groups ascend by size within a batch, batches by name.
/// Problems: kShankTooNarrow for every hole whose limits are narrower than the turning tolerance.
Result<std::vector<ShankGroup>> group_shanks(const std::vector<ShankNeed>& needs, double turning_mm);

/// One line of the trade-off: with so many sizes, the widest turning tolerance that still serves every hole.
struct GroupingChoice {
  std::size_t groups = 0;
  double turning_mm = 0.0;
};
/// From the fewest groups that serve at all to one group a hole (less where more groups gain nothing), exact.
std::vector<GroupingChoice> grouping_choices(const std::vector<ShankNeed>& needs);

namespace codes {
inline constexpr Code kShankTooNarrow{782};  ///< a hole allows less than the lathe can hold
}  // namespace codes

}  // namespace fairhole::fasteners
