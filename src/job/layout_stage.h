// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <set>
#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/fairing/plan.h"
#include "fairhole/job/job.h"
#include "fairhole/layout/layout.h"

namespace fairhole::job {

/// The layout of every new plate that is not spoiled.
Result<std::vector<PlateLayout>> lay_out_plates(const Job& job, const std::set<std::string>& spoiled,
                                                const Assembly& assembly, const Plan& plan,
                                                const Outputs& outputs);

}  // namespace fairhole::job
