// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <utility>

#include "fairhole/base/length.h"
#include "fairhole/drawing/tiles.h"
#include "fairhole/drawing/writers.h"
#include "tile_view.h"

namespace fairhole::drawing {
namespace {

constexpr int kMostRows = 26;  // letters A to Z
constexpr int kMostColumns = 99;
constexpr double kWorstCorrection = 0.05;  // beyond 5 % the print was fitted to the page, not drawn true

Problem bad_tile(std::string what, std::string remedy) {
  return {codes::kDrawingBadTile, "template", std::move(what), std::move(remedy)};
}

/// What paper leaves to the drawing, in the drawing's mm.
Eigen::Vector2d window_size(const Paper& paper, const TileOptions& o, double scale_x, double scale_y) {
  return {(paper.width_mm - 2 * o.margin_mm - kLeftStripMm) / scale_x,
          (paper.height_mm - 2 * o.margin_mm - kFootStripMm) / scale_y};
}

std::optional<Problem> find_bad_options(const TileOptions& o) {
  for (const double scale : {o.scale_x, o.scale_y}) {
    if (!(scale >= 1.0 - kWorstCorrection && scale <= 1.0 + kWorstCorrection)) {
      return bad_tile(
          fmt::format("a printer correction of {:.4f}", scale),
          "print at actual size, not fitted to the page; a printer is then off by a few per cent at most");
    }
  }
  if (!(o.margin_mm >= 0.0 && o.margin_mm <= 50.0)) {
    return bad_tile(fmt::format("a margin of {} mm", o.margin_mm), "a margin is 0 to 50 mm");
  }
  if (!(o.overlap_mm >= 0.0 && o.overlap_mm <= 80.0)) {
    return bad_tile(fmt::format("an overlap of {} mm", o.overlap_mm), "an overlap is 0 to 80 mm");
  }
  return std::nullopt;
}

int sheets_along(double length_mm, double window_mm, double overlap_mm) {
  static constexpr double kRoundingMm = 1e-9;  // a window that fits to the last digit is enough
  return std::max(
      1, static_cast<int>(std::ceil((length_mm - overlap_mm - kRoundingMm) / (window_mm - overlap_mm))));
}

std::string tile_name(int row, int column) {
  return fmt::format("{}{}", static_cast<char>('A' + row), column + 1);
}

/// One sheet that holds the box and is never too small for the check bars.
Paper long_sheet(const Eigen::Vector2d& size_mm, const TileOptions& o) {
  static constexpr double kLeastMm = kCheckBarMm + 60.0;  // bar and tile map side by side
  const double width = size_mm.x() * o.scale_x + 2 * o.margin_mm + kLeftStripMm;
  const double height = size_mm.y() * o.scale_y + 2 * o.margin_mm + kFootStripMm;
  return {"one sheet", std::max(width, kLeastMm + 2 * o.margin_mm),
          std::max(height, kLeastMm + 2 * o.margin_mm)};
}

/// The paper upright or on its side, whichever needs fewer sheets; a tie goes to the drawing's own way round.
Paper turned_paper(const Eigen::Vector2d& size_mm, const TileOptions& o) {
  const Paper upright = o.paper;
  const Paper lying{upright.name, upright.height_mm, upright.width_mm};
  const auto sheets = [&](const Paper& paper) {
    const Eigen::Vector2d window = window_size(paper, o, 1.0, 1.0);
    return sheets_along(size_mm.x(), window.x(), o.overlap_mm) *
           sheets_along(size_mm.y(), window.y(), o.overlap_mm);
  };
  if (sheets(upright) == sheets(lying)) return size_mm.x() > size_mm.y() ? lying : upright;
  return sheets(upright) < sheets(lying) ? upright : lying;
}

std::optional<Problem> find_small_paper(const Paper& paper, const TileOptions& o) {
  // Both bars, the tile map and the overlap must find room whichever way the paper lies.
  const double shortest = std::min(paper.width_mm, paper.height_mm) - 2 * o.margin_mm - kFootStripMm;
  const double needed = kCheckBarMm * (1.0 + kWorstCorrection);
  if (shortest >= needed) return std::nullopt;  // false for NaN
  return bad_tile(
      fmt::format("paper of {} x {} mm with margins of {} mm", paper.width_mm, paper.height_mm, o.margin_mm),
      fmt::format("take A4 or larger: {:.0f} mm must remain inside margins and title strip", needed));
}

}  // namespace

Result<Paper> paper_from_name(const std::string& name) {
  static const std::array<Paper, 3> kPapers{Paper{"A4", 210.0, 297.0}, Paper{"A3", 297.0, 420.0},
                                            Paper{"Letter", 8.5 * kMmPerInch, 11.0 * kMmPerInch}};
  const auto found =
      std::find_if(kPapers.begin(), kPapers.end(), [&](const Paper& p) { return p.name == name; });
  if (found != kPapers.end()) return *found;
  return bad_tile(fmt::format("paper \"{}\"", name), "take A4, A3 or Letter");
}

Result<TileLayout> lay_tiles(double x0_mm, double y0_mm, double x1_mm, double y1_mm,
                             const TileOptions& options) {
  if (!(x1_mm > x0_mm && y1_mm > y0_mm && std::isfinite(x1_mm - x0_mm) && std::isfinite(y1_mm - y0_mm))) {
    return bad_tile(fmt::format("a drawing from ({}, {}) to ({}, {})", x0_mm, y0_mm, x1_mm, y1_mm),
                    "a drawing has a width and a height above 0");
  }
  if (auto problem = find_bad_options(options)) return *problem;
  const Eigen::Vector2d size(x1_mm - x0_mm, y1_mm - y0_mm);
  TileLayout layout;
  layout.paper = options.single_sheet ? long_sheet(size, options) : turned_paper(size, options);
  if (auto problem = find_small_paper(layout.paper, options)) return *problem;

  const Eigen::Vector2d window = window_size(layout.paper, options, options.scale_x, options.scale_y);
  layout.columns = sheets_along(size.x(), window.x(), options.overlap_mm);
  layout.rows = sheets_along(size.y(), window.y(), options.overlap_mm);
  if (layout.rows > kMostRows || layout.columns > kMostColumns) {
    return Problem{codes::kDrawingTooLarge, "template",
                   fmt::format("{} rows of {} sheets", layout.rows, layout.columns),
                   "take larger paper or one sheet"};
  }
  const Eigen::Vector2d step = window - Eigen::Vector2d::Constant(options.overlap_mm);
  const Eigen::Vector2d covered =
      window + Eigen::Vector2d(layout.columns - 1, layout.rows - 1).cwiseProduct(step);
  const Eigen::Vector2d low = Eigen::Vector2d(x0_mm, y0_mm) - (covered - size) / 2;
  for (int row = 0; row < layout.rows; ++row) {
    for (int column = 0; column < layout.columns; ++column) {
      // Seen mirrored, the sheet on the left shows the drawing's right.
      const int from_left = options.mirrored ? layout.columns - 1 - column : column;
      layout.tiles.push_back({row, column, low.x() + from_left * step.x(), low.y() + row * step.y(),
                              window.x(), window.y(), tile_name(row, column)});
    }
  }
  return layout;
}

}  // namespace fairhole::drawing
