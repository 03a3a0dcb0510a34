// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/layout/layout.h"

/// What to do with a plate, in sentences.
namespace fairhole::report {

/// "22 holes: 16 finished in place at 22.23 mm (pilot 20 mm), 6 drilled on the bench at 18 mm."
std::string hole_summary(const PlateLayout& layout);

/// The order of work, one step a sentence or two.
std::vector<std::string> order_of_work(const PlateLayout& layout, const std::vector<SeatPlan>& seats);

/// The drill chain: "6 mm, 13 mm, 20 mm", "reamer 7/8 in".
std::string steps_words(const std::vector<DrillStep>& steps);

/// "none" or "anticlockwise, 1.0 mm in 500 mm".
std::string turn_words(const SeatPlan& seat);

/// Setting a part by hand is no finer than this, 1 sigma; figures for it carry no more digits.
inline constexpr double kSettingSigmaMm = 0.25;

}  // namespace fairhole::report
