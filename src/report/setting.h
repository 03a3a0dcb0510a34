// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fairhole/report/report_html.h"

/// How a part is set by hand on its carrier.
namespace fairhole::report {

/// "Set its heel 0.5 mm beyond the end edge of left-toe, and its datum end (top) 358.0 mm from the long datum
/// edge of left-toe, both measured at the corner of the two; turn it anticlockwise, 0.5 mm in 500 mm."
std::string setting_words(const SeatPlan& seat, const JointFindings& joint);

/// "Drill and bolt T1 and T4 first: 228 mm apart. These decide its place: set it so that the middle of its
/// hole stands x +0.2, y -0.1 mm off T1's mark, and on T4's mark." In the carrier's x and y.
std::string first_holes_words(const SeatPlan& seat, const Plan& plan);

}  // namespace fairhole::report
