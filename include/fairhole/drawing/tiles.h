// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/drawing/drawing.h"

namespace fairhole::drawing {

/// A paper size in mm, upright.
struct Paper {
  std::string name;
  double width_mm = 210.0;
  double height_mm = 297.0;
};
/// "A4", "A3", "Letter"; ISO 216 and ANSI A (8 1/2 x 11 in).
Result<Paper> paper_from_name(const std::string& name);

struct TileOptions {
  Paper paper{"A4", 210.0, 297.0};
  bool single_sheet = false;     ///< one long sheet that holds everything, for a plotter
  double margin_mm = 12.0;       ///< no printer prints to the edge; also a thumb's width for dirty hands
  double overlap_mm = 15.0;      ///< what neighbouring tiles share
  double scale_x = 1.0, scale_y = 1.0;  ///< printer correction: nominal over measured length of the check bars
  bool mirrored = false;         ///< x reversed, for marking from the other side (text stays readable)
};

/// Where one tile lies: the part of the drawing it shows (drawing mm, before the correction).
struct Tile {
  int row = 0, column = 0;        ///< from 0, row 0 at the foot
  double x_mm = 0.0, y_mm = 0.0;  ///< lower left of the window
  double width_mm = 0.0, height_mm = 0.0;
  std::string name;               ///< "A1", "B3": letter for the row, number for the column
};

struct TileLayout {
  std::vector<Tile> tiles;  ///< row by row from the foot
  int rows = 0, columns = 0;
  Paper paper;              ///< as turned (portrait or landscape, whichever needs fewer sheets)
};

/// Covers the box [x0,x1] x [y0,y1] (drawing mm) with overlapping tiles. Chooses portrait or landscape.
Result<TileLayout> lay_tiles(double x0_mm, double y0_mm, double x1_mm, double y1_mm, const TileOptions& options);

/// The drawing as full-size pages, one a tile: marks clipped to the tile's window, cut lines, match marks that
/// fall on one another when the tiles are overlapped, page labels ("B3 of 12, join B2 on the left"), a map of
/// all tiles on every page, and a two-axis check bar with its length and the words "measure me".
/// `keep_clear_mm`: circles (centre, radius) no bar, map, label or match mark may touch; the bars go where none is.
std::vector<Page> tile_pages(const Drawing& drawing, const TileLayout& layout, const TileOptions& options,
                             const std::string& title, const std::vector<Circle>& keep_clear_mm);

}  // namespace fairhole::drawing
