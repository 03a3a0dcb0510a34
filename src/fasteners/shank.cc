// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/shank.h"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

namespace fairhole::fasteners {

Result<ShankForStack> shank_for_stack(const FitRequest& request, const std::vector<MeasuredBore>& bores) {
  if (bores.empty()) {
    return Problem{codes::kBadBores, "", "a shank is asked for and no bore is given",
                   "state the bore of one layer at least"};
  }
  Problems problems;
  std::vector<SizeLimits> each;
  for (const MeasuredBore& bore : bores) {
    const Result<SizeLimits> shank = shank_for_bore(request, bore.diameter_mm, bore.sigma_mm);
    if (shank) {
      each.push_back(*shank);
      continue;
    }
    for (Problem problem : shank.problems()) {
      problem.where = bore.part + (problem.where.empty() ? "" : ", " + problem.where);
      problems.push_back(std::move(problem));
    }
  }
  if (!problems.empty()) return problems;

  std::vector<std::size_t> order(each.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return each[a].max_nm < each[b].max_nm; });
  ShankForStack found{each[order.front()], {}};
  std::vector<std::size_t> loose;
  for (const std::size_t i : order) {
    if (each[i].min_nm > found.shank.max_nm) {
      loose.push_back(i);
      continue;
    }
    found.shank.min_nm = std::max(found.shank.min_nm, each[i].min_nm);
    found.shank.max_nm = std::min(found.shank.max_nm, each[i].max_nm);
  }
  for (const std::size_t i : loose) {
    const double loosest_mm = bores[i].diameter_mm + 2.0 * bores[i].sigma_mm - found.shank.min_mm();
    found.notes.push_back(fmt::format("In \"{}\" the shank is looser than {}: up to {:.3f} mm of clearance.",
                                      bores[i].part, request.shaft->name(), loosest_mm));
  }
  return found;
}

}  // namespace fairhole::fasteners
