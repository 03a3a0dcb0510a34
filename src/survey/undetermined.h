// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>

#include "datum.h"
#include "fairhole/base/problem.h"
#include "model.h"

namespace fairhole::survey_detail {

/// Looks for unknowns that the active readings do not fix. Diameters and tape unknowns that no coordinate
/// depends on are held at their start and marked in `unknown_size` (per hole); holes that are not fixed are
/// named, one problem for each group that hangs together, with the readings that would fix it.
struct Determination {
  Problems problems;
  std::vector<bool> unknown_size;
};
Determination check_determined(const Gauge& gauge, const Eigen::VectorXd& state, Model& model);

/// Whether the active readings fix every unknown, without finding out which not.
bool is_determined(const Model& model, const Columns& columns, const Eigen::VectorXd& state);

}  // namespace fairhole::survey_detail
