// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/report/work_order_sheets.h"

#include <fmt/format.h>

#include <algorithm>

#include "flow.h"
#include "words.h"
#include "work_order.h"

namespace fairhole {
namespace {

using namespace report;

Table step_table(const std::vector<WorkStep>& steps) {
  Table table{{{"", drawing::Align::kRight, false, true, 9.0},
               {.head = "step", .wraps = true, .bold = true},
               {.head = "what to do", .wraps = true},
               {.head = "done", .least_mm = 16.0}},
              {}};
  table.height_mm = 2.2;
  int number = 0;
  for (const WorkStep& step : steps) {
    // A caution is read before the tool is taken up.
    std::vector<std::string> lines = step.words;
    if (!step.caution.empty()) lines.insert(lines.begin(), "CAUTION. " + step.caution);
    bool first = true;
    for (const std::string& words : lines) {
      table.rows.push_back({first ? fmt::format("{}", ++number) : "", first ? step.name : "", words, ""});
      first = false;
    }
  }
  return table;
}

}  // namespace

std::vector<drawing::Page> work_order_sheets(const PlateLayout& layout, const std::vector<SeatPlan>& seats,
                                             const FastenerSchedule& schedule, const SheetTitle& title,
                                             const drawing::Paper& paper) {
  Flow flow(std::min(paper.width_mm, paper.height_mm), std::max(paper.width_mm, paper.height_mm));
  flow.heading("Work order");
  flow.paragraph(hole_summary(layout));
  flow.table(step_table(work_steps(layout, seats, schedule)));
  Strip strip{title, layout.plate, layout.hand, layout.marked_face, {}, 1, 1};
  strip.caution = "Does not prove strength. The cautions stand at their steps.";
  return std::move(flow).finished(strip, {});
}

}  // namespace fairhole
