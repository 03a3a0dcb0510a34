// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// A whole job, and the drilled plate checked back: the worked example, its pilots drilled 0.1 mm to the right
// of the plan.
#include <fmt/format.h>

#include <algorithm>

#include "fairhole/job/check_back.h"
#include "fairhole/job/load.h"
#include "fairhole/job/run.h"

int main(int, char** arguments) {
  using namespace fairhole;
  const auto loaded = job::load_job(arguments[1]);
  if (!loaded) return exit_status(loaded.problems());
  const auto result = job::run(*loaded);  // all files in memory; job::write_results() writes them as one set
  if (!result) return exit_status(result.problems());
  for (const StackPlan& stack : result->report.plan.stacks)
    fmt::print("{}: {}, {:.1f} mm\n", stack.id, method_name(stack.method), stack.finish_diameter_mm);

  std::string measured = "# caliper: 0.05\nkind,from,to,reading,sigma,note\n";
  for (const LaidHole& hole : result->report.layouts.at(0).holes)
    measured +=
        fmt::format("along,{0},,{1},0.05,\nacross,{0},,{2},0.05,\ndia,{0},,{3},,\n", hole.id,
                    hole.centre_mm.x() + 0.1, hole.centre_mm.y(), hole.pilot_mm.value_or(hole.finish_mm));
  const auto is_plan = [](const job::ResultFile& file) { return file.name == "plan.json"; };
  const auto plan = std::ranges::find_if(result->files, is_plan);
  job::CheckBackRequest request;
  request.plan = {plan->name, plan->bytes};
  request.measured = {"pilots.csv", measured};
  const auto checked = job::check_back(request);
  if (!checked) return exit_status(checked.problems());
  for (const HoleVerdict& hole : checked->inspection.holes)
    fmt::print("{} {}: {:+.2f} mm along, {}\n", stage_name(checked->inspection.stage), hole.id,
               hole.offset_mm->x(), verdict_name(hole.position));
}
