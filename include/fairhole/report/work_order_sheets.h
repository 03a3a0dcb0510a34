// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/drawing/drawing.h"
#include "fairhole/drawing/tiles.h"
#include "fairhole/layout/layout.h"
#include "fairhole/report/sheets.h"
#include "fairhole/schedule/schedule.h"

namespace fairhole {

/// One step of a plate's work, and what bites at it.
struct WorkStep {
  std::string name;  ///< "Pilot on the bench"
  std::vector<std::string> words;
  std::string caution;  ///< empty: none at this step
};

/// The whole sequence for one plate, from whitening it to signing it off.
std::vector<WorkStep> work_steps(const PlateLayout& layout, const std::vector<SeatPlan>& seats,
                                 const FastenerSchedule& schedule);

/// On one or two sheets, with a box to tick for every step.
std::vector<drawing::Page> work_order_sheets(const PlateLayout& layout, const std::vector<SeatPlan>& seats,
                                             const FastenerSchedule& schedule, const SheetTitle& title,
                                             const drawing::Paper& paper);

}  // namespace fairhole
