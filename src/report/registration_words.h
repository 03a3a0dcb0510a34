// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fairhole/report/report_html.h"

/// How a part sits, in words; registration_picture draws it.
namespace fairhole::report {

/// The worst propagated accuracy of the pose at any hole of the pattern: the largest half axis of its 95 %
/// ellipse, and the hole. Nothing for an empty pattern. Never the fit's residual, which says nothing about
/// it.
struct WorstHole {
  HoleId hole;
  double half_axis_mm = 0.0;
};
std::optional<WorstHole> worst_hole(const JointFindings& joint);

/// Sentences: what matched, what is missing or extra, where the part sits, how well that is known.
std::vector<std::string> registration_words(const JointFindings& joint, const SeatPlan* seat);

}  // namespace fairhole::report
