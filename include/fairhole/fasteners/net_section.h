// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

namespace fairhole::fasteners {

/// A hole in a strip of plate that carries along x.
struct StripHole {
  double along_mm = 0.0;
  double across_mm = 0.0;
  double diameter_mm = 0.0;
};

/// The line through holes, from edge to edge across the load, that leaves the least width.
struct NetLine {
  std::vector<std::size_t> holes;  ///< from one edge to the other
  double lost_mm = 0.0;            ///< sum of diameters less s^2 / 4 p for each step along (s) and across (p)
};

/// Staggered holes: each diagonal gives back s^2 / (4 p) of the width (EN 1993-1-1:2005 6.2.2.2(4), the rule
/// of Cochrane 1922). Exact over all lines that go steadily across: a longest path. No holes: nothing lost.
NetLine worst_net_line(const std::vector<StripHole>& holes);

}  // namespace fairhole::fasteners
