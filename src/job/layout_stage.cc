// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "layout_stage.h"

namespace fairhole::job {

Result<std::vector<PlateLayout>> lay_out_plates(const Job& job, const std::set<std::string>& spoiled,
                                                const Assembly& assembly, const Plan& plan,
                                                const Outputs& outputs) {
  LayoutOptions options;
  options.marks = {outputs.mark_step_mm, outputs.inches};
  options.drills = outputs.inches ? DrillUnit::kInch : DrillUnit::kAny;
  std::vector<PlateLayout> layouts;
  Problems problems;
  for (const Plate& plate : job.plates) {
    if (spoiled.contains(plate.name)) continue;
    Result<PlateLayout> layout =
        lay_out(assembly, plan, plate.name,
                {plate.hand, plate.marked_face, plate.material, plate.joint_line_mm}, options);
    if (layout) {
      layouts.push_back(*std::move(layout));
    } else {
      append(problems, layout.problems());
    }
  }
  if (!problems.empty()) return problems;
  return layouts;
}

}  // namespace fairhole::job
