// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/drawing/drawing.h"

/// A large drawing at full size on small paper. Neighbouring sheets show a common strip, the overlap. In its
/// middle runs the cut line: the sheet to the right or above is cut along it and laid on its neighbour so
/// that its edge meets the same line there, broken, and the halves of the match marks meet. Nobody needs the
/// paper's edges, which no printer holds to.
namespace fairhole::drawing {

/// A paper size in mm, upright.
struct Paper {
  std::string name;
  double width_mm = 210.0;
  double height_mm = 297.0;
};
/// "A4", "A3", "Letter"; ISO 216 and ANSI A (8 1/2 x 11 in).
Result<Paper> paper_from_name(const std::string& name);

/// Length of the two check bars in the drawing's own millimetres; fits A4 and Letter both
/// ways.
inline constexpr double kCheckBarMm = 100.0;

struct TileOptions {
  Paper paper{"A4", 210.0, 297.0};
  bool single_sheet =
      false;                ///< one long sheet that holds everything, for a plotter; `paper` is not looked at
  double margin_mm = 12.0;  ///< no printer prints to the edge; also a thumb's width for dirty hands
  double overlap_mm = 15.0;  ///< what neighbouring tiles share
  /// Printer correction: kCheckBarMm over the length that the x bar (y bar) measured on an uncorrected print.
  double scale_x = 1.0, scale_y = 1.0;
  bool mirrored = false;  ///< x reversed, for marking from the other side (text stays readable)
};

/// Where one tile lies: the part of the drawing it shows (drawing mm, before the correction).
struct Tile {
  int row = 0, column = 0;        ///< from 0, row 0 at the foot, column 0 on the left of the laid-out paper
  double x_mm = 0.0, y_mm = 0.0;  ///< lower left of the window
  double width_mm = 0.0, height_mm = 0.0;
  std::string name;  ///< "A1", "B3": letter for the row, number for the column
};

struct TileLayout {
  std::vector<Tile> tiles;  ///< row by row from the foot
  int rows = 0, columns = 0;
  Paper paper;  ///< as turned (portrait or landscape, whichever needs fewer sheets)
};

/// Covers the box [x0,x1] x [y0,y1] (drawing mm) with overlapping tiles, what is left over shared evenly on
/// all sides. Portrait or landscape is chosen as for a true printer, so that a correction never turns the
/// paper. Problems: kDrawingBadTile (paper too small for the check bars, a correction beyond 5 %, an overlap
/// that leaves nothing), kDrawingTooLarge (more than 26 rows or 99 columns).
Result<TileLayout> lay_tiles(double x0_mm, double y0_mm, double x1_mm, double y1_mm,
                             const TileOptions& options);

/// What the foot of every page says.
struct TileTitle {
  std::string headline;  ///< in the largest type: which plate, which hand, which face
  std::string line;      ///< in small type: job, date, hash
};

/// The drawing as full-size pages, one a tile: marks clipped to the tile's window, cut lines and match marks,
/// page label ("Sheet B3, 7 of 12. Join B2 on the left, A3 below."), a map of all tiles, and two check bars
/// with the words "measure me". Everything of the drawing and the bars is scaled by the correction: circles
/// become ellipses where it differs in x and y. Letters keep their proportions and line widths stay.
/// Bars, map and words stand outside the window; cut lines break and match marks move out of the way of the
/// `keep_clear_mm` circles (drawing mm), so that nothing new comes near their centres.
std::vector<Page> tile_pages(const Drawing& drawing, const TileLayout& layout, const TileOptions& options,
                             const TileTitle& title, const std::vector<Circle>& keep_clear_mm);

}  // namespace fairhole::drawing
