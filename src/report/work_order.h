// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/layout/layout.h"

/// What to do with a plate, in sentences.
namespace fairhole::report {

/// A hole finished through an old one takes that hole's size, which is as a caliper found it.
bool takes_old_size(const LaidHole& hole);

/// "22 holes: 6 drilled on the bench at 18 mm, 4 finished in place at 22.23 mm and 12 finished through the
/// old holes (20.7 to 21.2 mm)."
std::string hole_summary(const PlateLayout& layout);

/// The order of work, one step a sentence or two.
std::vector<std::string> order_of_work(const PlateLayout& layout, const std::vector<SeatPlan>& seats);

/// The drill chain: "6 mm, 13 mm, 20 mm", "reamer 7/8 in", "adjustable reamer, 20.7 mm".
std::string steps_words(const std::vector<DrillStep>& steps);

/// "none" or "anticlockwise, 1.0 mm in 500 mm".
std::string turn_words(const SeatPlan& seat);

/// Setting a part by hand is no finer than this, 1 sigma; figures for it carry no more digits.
inline constexpr double kSettingSigmaMm = 0.25;

}  // namespace fairhole::report
