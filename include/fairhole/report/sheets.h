// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/drawing/drawing.h"
#include "fairhole/drawing/tiles.h"
#include "fairhole/layout/layout.h"

/// Where holes become lines and words.
namespace fairhole {

/// What every sheet says in its title strip.
struct SheetTitle {
  std::string job;
  std::string date;       ///< ISO, from the job or SOURCE_DATE_EPOCH
  std::string plan_hash;  ///< first 12 hex digits of the plan's SHA-256
};

struct DxfContent {
  bool pilots_for_finish = false;  ///< every hole at its pilot diameter instead of its finish diameter
};

/// The plate as a DXF drawing (see drawing/writers.h for the file). Layers in plain words: "plate outline",
/// "drill or cut to size", "pilot, cut", "finish in place, do not cut", "pop marks", "joint line", "labels",
/// "ordinates", "check bar".
drawing::Drawing plate_dxf(const PlateLayout& layout, const SheetTitle& title,
                           const DxfContent& content = {});

/// Full-size template pages.
Result<std::vector<drawing::Page>> plate_template(const PlateLayout& layout, const SheetTitle& title,
                                                  const drawing::TileOptions& options);

/// The drilling sheet: the plate to scale with running ordinates, hole table, drill chain, check diagonals,
/// how to set each part, cautions; as many pages as it needs.
struct SheetOptions {
  drawing::Paper paper{"A4", 210.0, 297.0};  ///< A4 or A3; turned to whichever way shows the plate larger
  std::string way_of_drilling;  ///< what the odds are for: "marked out by hand", "template", "CNC"
};
Result<std::vector<drawing::Page>> drilling_sheet(const PlateLayout& layout,
                                                  const std::vector<SeatPlan>& seats, const SheetTitle& title,
                                                  const SheetOptions& options = {});

namespace codes {
inline constexpr Code kSheetTooSmall{680};  ///< the ordinates do not fit on the paper asked for
}  // namespace codes

}  // namespace fairhole
