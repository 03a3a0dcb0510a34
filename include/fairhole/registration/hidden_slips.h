// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "fairhole/pattern/slip.h"
#include "fairhole/registration/registration.h"

namespace fairhole {

/// Which of the readings behind a face may be slips, when the drawing is asked too: a hole that stands five
/// millimetres out of its row because of one reading that nothing else checks was more likely misread than
/// drilled there. Compared are: nothing is wrong; each reading's slips; each hole truly off (in one place in
/// fifty, by a few millimetres). Scatter as in the registration, integrated out over its prior. Explanations
/// of the same misfit share one odds among them; others are taken one after the other.
/// Readings that can do no harm are left out. docs/registration.md has the formulas.
std::vector<HiddenSlip> hidden_slips(const MeasuredFace& face, const Registration& registration,
                                     double expected_scatter_mm = 0.5);

}  // namespace fairhole
