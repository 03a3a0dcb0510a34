// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "layout_stage.h"

#include <algorithm>

namespace fairhole::job {
namespace {

std::optional<DrilledWith> drilled_with(const Job& job, const PlateLayout& layout, const Plan& plan) {
  for (const PlatesTogether& pair : job.pairs) {
    if (!pair.together || (pair.a != layout.plate && pair.b != layout.plate)) continue;
    DrilledWith with{pair.a == layout.plate ? pair.b : pair.a, pair.b_from_a.mirrored, {}};
    for (const LaidHole& hole : layout.holes) {
      const bool in_both = std::any_of(plan.stacks.begin(), plan.stacks.end(), [&](const StackPlan& stack) {
        return stack.plate == with.plate && stack.id == hole.id && is_drilled(stack);
      });
      if (in_both) with.ids.push_back(hole.id);
    }
    if (!with.ids.empty()) return with;
  }
  return std::nullopt;
}

}  // namespace

Result<std::vector<PlateLayout>> lay_out_plates(const Job& job, const std::set<std::string>& spoiled,
                                                const Assembly& assembly, const Plan& plan,
                                                const Outputs& outputs) {
  LayoutOptions options;
  options.marks = {outputs.mark_step_mm, outputs.inches};
  options.drills = outputs.inches ? DrillUnit::kInch : DrillUnit::kAny;
  options.own = job.own_catalogue;
  std::vector<PlateLayout> layouts;
  Problems problems;
  for (const Plate& plate : job.plates) {
    if (spoiled.contains(plate.name)) continue;
    Result<PlateLayout> layout =
        lay_out(assembly, plan, plate.name,
                {plate.hand, plate.marked_face, plate.material, plate.joint_line_mm}, options);
    if (layout) {
      layout->drilled_with = drilled_with(job, *layout, plan);
      layouts.push_back(*std::move(layout));
    } else {
      append(problems, layout.problems());
    }
  }
  if (!problems.empty()) return problems;
  return layouts;
}

}  // namespace fairhole::job
