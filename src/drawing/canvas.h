// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cairo.h>

#include <cstdint>
#include <span>

#include "fairhole/drawing/drawing.h"

namespace fairhole::drawing {

/// Colours of the inks on white paper.
inline constexpr std::uint32_t kInkRgb = 0x1E2326;
inline constexpr std::uint32_t kNewRgb = 0x1F4E79;
inline constexpr std::uint32_t kWarnRgb = 0xA8431F;
inline constexpr std::uint32_t kOldRgb = 0x5C666B;
inline constexpr std::uint32_t kPaperRgb = 0xFFFFFF;
std::uint32_t rgb(Ink ink);

/// Lengths in mm of dash and gap, in turn; empty for a solid line.
std::span<const double> dash_pattern_mm(Dash dash);

/// Paints a page on a cairo surface with `units_per_mm` device units to the millimetre. Round shapes are our
/// own Bezier curves, so that their error does not depend on the surface's tolerance.
void paint(cairo_t* cairo, const Page& page, double units_per_mm);

/// Cairo's write callback; `closure` is a std::string that the bytes are added to.
cairo_status_t append_bytes(void* closure, const unsigned char* data, unsigned length);

}  // namespace fairhole::drawing
