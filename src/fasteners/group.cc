// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/group.h"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

namespace fairhole::fasteners {
namespace {

/// Needs by batch, then by their largest size, then by their place.
std::vector<std::size_t> stabbing_order(const std::vector<ShankNeed>& needs) {
  std::vector<std::size_t> order(needs.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    if (needs[a].batch != needs[b].batch) return needs[a].batch < needs[b].batch;
    return needs[a].shank.max_nm < needs[b].shank.max_nm;
  });
  return order;
}

/// Greedy stabbing with a band of `turning_nm`. Requires every need at least as wide.
std::vector<ShankGroup> stab(const std::vector<ShankNeed>& needs, const std::vector<std::size_t>& order,
                             std::int64_t turning_nm) {
  std::vector<ShankGroup> groups;
  const std::string* batch = nullptr;
  std::int64_t band_from_nm = 0;  // the band of the group at work is [this, this + turning]
  for (const std::size_t i : order) {
    const ShankNeed& need = needs[i];
    if (batch == nullptr || *batch != need.batch || need.shank.min_nm > band_from_nm) {
      band_from_nm = need.shank.max_nm - turning_nm;
      batch = &need.batch;
      groups.push_back({{}, need.shank});
    }
    ShankGroup& group = groups.back();
    group.needs.push_back(i);
    group.shank.min_nm = std::max(group.shank.min_nm, need.shank.min_nm);
    group.shank.max_nm = std::min(group.shank.max_nm, need.shank.max_nm);
  }
  for (ShankGroup& group : groups) std::sort(group.needs.begin(), group.needs.end());
  return groups;
}

}  // namespace

Result<std::vector<ShankGroup>> group_shanks(const std::vector<ShankNeed>& needs, double turning_mm) {
  const std::int64_t turning_nm = std::max<std::int64_t>(nanometres(turning_mm), 0);
  Problems problems;
  for (const ShankNeed& need : needs) {
    if (need.shank.max_nm - need.shank.min_nm >= turning_nm) continue;
    problems.push_back({codes::kShankTooNarrow, need.stack,
                        fmt::format("its shank may be {:.4f} to {:.4f} mm, and turning takes {} mm",
                                    need.shank.min_mm(), need.shank.max_mm(), turning_mm),
                        "choose a wider class, measure the bore more closely, or turn closer"});
  }
  if (!problems.empty()) return problems;
  return stab(needs, stabbing_order(needs), turning_nm);
}

std::vector<GroupingChoice> grouping_choices(const std::vector<ShankNeed>& needs) {
  // The number of groups changes only where the band equals a difference between one need's largest and
  // another's smallest size; over those widths it never falls.
  std::int64_t narrowest_nm = INT64_MAX;
  for (const ShankNeed& need : needs)
    narrowest_nm = std::min(narrowest_nm, need.shank.max_nm - need.shank.min_nm);
  if (needs.empty() || narrowest_nm < 0) return {};
  std::vector<std::int64_t> widths_nm{0, narrowest_nm};
  for (const ShankNeed& a : needs) {
    for (const ShankNeed& b : needs) {
      const std::int64_t width_nm = a.shank.max_nm - b.shank.min_nm;
      if (a.batch == b.batch && width_nm > 0 && width_nm < narrowest_nm) widths_nm.push_back(width_nm);
    }
  }
  std::sort(widths_nm.begin(), widths_nm.end());
  widths_nm.erase(std::unique(widths_nm.begin(), widths_nm.end()), widths_nm.end());
  const std::vector<std::size_t> order = stabbing_order(needs);
  std::vector<GroupingChoice> choices;
  for (std::size_t i = 0; i < widths_nm.size();) {
    const std::size_t groups = stab(needs, order, widths_nm[i]).size();
    // The last width with as many groups.
    const auto more = std::partition_point(
        widths_nm.begin() + static_cast<std::ptrdiff_t>(i), widths_nm.end(),
        [&](std::int64_t width_nm) { return stab(needs, order, width_nm).size() <= groups; });
    choices.push_back({groups, static_cast<double>(*(more - 1)) / 1e6});
    i = static_cast<std::size_t>(more - widths_nm.begin());
  }
  return choices;
}

}  // namespace fairhole::fasteners
