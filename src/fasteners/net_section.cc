// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/net_section.h"

#include <algorithm>
#include <numeric>
#include <optional>

namespace fairhole::fasteners {

NetLine worst_net_line(const std::vector<StripHole>& holes) {
  std::vector<std::size_t> order(holes.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return holes[a].across_mm < holes[b].across_mm; });
  std::vector<double> lost_mm(holes.size());  // by the worst line that ends at this hole
  std::vector<std::optional<std::size_t>> before(holes.size());
  std::optional<std::size_t> worst;
  for (std::size_t n = 0; n < order.size(); ++n) {
    const std::size_t i = order[n];
    double earlier_mm = 0.0;
    for (std::size_t m = 0; m < n; ++m) {
      const std::size_t j = order[m];
      const double along_mm = holes[i].along_mm - holes[j].along_mm;
      const double across_mm = holes[i].across_mm - holes[j].across_mm;
      if (!(across_mm > 0.0)) continue;
      const double line_mm = lost_mm[j] - along_mm * along_mm / (4.0 * across_mm);
      if (line_mm > earlier_mm) {
        earlier_mm = line_mm;
        before[i] = j;
      }
    }
    lost_mm[i] = holes[i].diameter_mm + earlier_mm;
    if (!worst || lost_mm[i] > lost_mm[*worst]) worst = i;
  }
  NetLine line;
  if (!worst) return line;
  line.lost_mm = lost_mm[*worst];
  for (std::optional<std::size_t> at = worst; at; at = before[*at]) line.holes.push_back(*at);
  std::reverse(line.holes.begin(), line.holes.end());
  return line;
}

}  // namespace fairhole::fasteners
