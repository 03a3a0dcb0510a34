// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/schedule/schedule.h"
#include "table.h"

/// The schedule's tables, on paper and in the report.
namespace fairhole::report {

std::vector<HolePlace> places_of(const FastenerSchedule& schedule, const FastenerPiece& piece);
/// The layers of its stacks: "bracket or strap 16 + plate 12 = 28".
std::string piece_grip_words(const FastenerSchedule& schedule, const FastenerPiece& piece);
/// "20.7 to 22.6": finish diameters of the piece's holes.
std::string holes_range(const FastenerSchedule& schedule, const FastenerPiece& piece);
/// "13.5 x 22 x 3 mm" of the washer at the nut.
std::string washer_words(const fasteners::BoltDesign& bolt);
std::string head_words(const fasteners::BoltDesign& bolt);
/// The design that a piece's bolts share; null for rivets.
const fasteners::BoltDesign* design_of(const FastenerSchedule& schedule, const FastenerPiece& piece);

Table bolt_table(const FastenerSchedule& schedule);
Table rivet_table(const FastenerSchedule& schedule);
Table bush_table(const FastenerSchedule& schedule);
Table open_table(const FastenerSchedule& schedule);  ///< holes without a design, and why
Table note_table(const FastenerSchedule& schedule);
Table trade_off_table(const FastenerSchedule& schedule);
Table buying_table(const FastenerSchedule& schedule);
Table sense_table(const SenseReport& sense);

}  // namespace fairhole::report
