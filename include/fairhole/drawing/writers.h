// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>

#include "fairhole/base/result.h"
#include "fairhole/drawing/drawing.h"

namespace fairhole::drawing {

enum class DxfVersion { kR2000, kR12 };

struct DxfOptions {
  DxfVersion version = DxfVersion::kR2000;
};

/// DXF in millimetres ($INSUNITS 4, $MEASUREMENT 1), ASCII (text in \U+XXXX), CIRCLE entities exact to the
/// last double digit (shortest round-trip decimals), closed polylines as LWPOLYLINE (R12: POLYLINE). Pure;
/// the caller writes the bytes. Blank texts and marks in the paper's ink are left out. R12 knows layer names
/// of at most 31 letters, digits, $, - and _ alone: there "pop marks" becomes POP_MARKS; and it knows no
/// ellipse, which becomes a closed polyline within 0.001 mm. Problems: a mark on a layer that is not listed,
/// a layer name DXF forbids or listed twice, bad numbers.
Result<std::string> write_dxf(const Drawing& drawing, const DxfOptions& options = {});

struct PdfOptions {
  std::string title = {};
  std::string author = {};
  /// Seconds since 1970 for the PDF's dates; the same value gives the same bytes.
  long long created_unix = 0;
};

/// Full-size PDF: 1 mm = 72/25.4 pt, one page a Page. Circles up to 1 m across within 0.001 mm of true. Sets
/// the viewer preferences PrintScaling None and Duplex Simplex. Text embedded (DejaVu Sans subset). The same
/// arguments give the same bytes. Problems: bad numbers, no page, a page over 5080 mm (14400 pt) on a side.
Result<std::string> write_pdf(std::span<const Page> pages, const PdfOptions& options = {});

/// Stand-alone SVG with width and height in mm; circles as <circle>. `css_classes`: strokes carry class names
/// (ink, new, warn, old, paper, black) instead of colours, for a page that brings its own style sheet: `.ink
/// { color: ... }` (strokes and fills take currentColor).
Result<std::string> write_svg(const Page& page, bool css_classes = false);

/// PNG of the page at `dpi`, 8-bit RGB on white, its dpi said in a pHYs chunk. Problems: bad numbers, more
/// than 32767 px on a side.
Result<std::string> write_png(const Page& page, double dpi = 150.0);

namespace codes {
inline constexpr Code kDrawingLayer{280};
inline constexpr Code kDrawingBadNumber{281};  ///< not finite, beyond +-100 m, or a size that is not above 0
inline constexpr Code kDrawingTooLarge{282};   ///< more than the paper or the format holds
inline constexpr Code kDrawingBadTile{283};    ///< paper, margin, overlap or correction that cannot be
}  // namespace codes

}  // namespace fairhole::drawing
