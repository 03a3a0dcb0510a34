// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fairhole/inspection/inspection.h"
#include "fairhole/job/check_back.h"

namespace fairhole::job {

struct PlanRead {
  std::string job, date;
  PlannedPlate plate;
  double turning_mm = 0.0;  ///< band the lathe holds on a fitted shank
};

/// The plate of that name (empty: the only one) from plan.json. Problems: kCheckBackPlan, kCheckBackPlate.
Result<PlanRead> read_plan(const NamedText& plan, const std::string& plate);

}  // namespace fairhole::job
