// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/drawing/drawing.h"
#include "fairhole/drawing/tiles.h"
#include "fairhole/report/sheets.h"
#include "fairhole/schedule/schedule.h"

namespace fairhole {

/// The fasteners on paper: schedule of bolts and of rivets, what is left open and why, how many sizes of
/// shank against how fine a lathe, one dimensioned picture of every piece to turn, the buying list, the check
/// of sense. The paper is turned with its long side level.
std::vector<drawing::Page> fastener_sheets(const FastenerSchedule& schedule, const SenseReport& sense,
                                           const SheetTitle& title, const drawing::Paper& paper);

/// "left-toe: T1 to T12; right-toe: T1" from places in the order of the plan.
std::string places_words(const std::vector<HolePlace>& places);

/// "left-near-angle 12.7 + left-toe 12 + packing 3 = 27.7".
std::string grip_words(const std::vector<fasteners::GripLayer>& layers);

/// "20.653 to 20.640": rounded inwards, so that what is on paper lies within the limits.
std::string limits_words(const SizeLimits& limits);

/// "20.653 to 20.640", or what it is turned to while its bore is not made.
std::string shank_words(const FastenerPiece& piece);

}  // namespace fairhole
