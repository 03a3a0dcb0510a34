// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fairhole/drawing/drawing.h"
#include "fairhole/report/sheets.h"
#include "placement.h"

/// The strip at the foot of every sheet: which job, which plate, which hand, seen on which face.
namespace fairhole::report {

inline constexpr double kStripHeightMm = 27.0;

struct Strip {
  SheetTitle title;
  std::string plate, hand, marked_face;
  std::string scale;  ///< "1 : 5"; empty where nothing is drawn to scale
  int sheet = 1, of = 1;
  std::string caution = {};  ///< empty: caution_line(), where the cautions stand on the last sheet
};

/// Draws the strip into `box` (kStripHeightMm high, at least 170 wide). Long names are wrapped, then cut
/// short.
void draw_title_strip(drawing::Drawing& on, const Box& box, const Strip& strip);

/// The machine seen from above, toe up: its two side plates, the one in hand heavy, and an arrow onto the
/// marked face ("outer" or "inner"; none for other names). `box` is about square.
void draw_hand_picture(drawing::Drawing& on, const Box& box, const std::string& hand,
                       const std::string& marked_face);

}  // namespace fairhole::report
