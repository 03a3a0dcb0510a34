// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fairhole/drawing/tiles.h"
#include "tile_view.h"

namespace fairhole::drawing {

/// Title strip, sheet label, tile map and check bars of one sheet, all outside the window.
struct SheetFrame {
  const Drawing& drawing;
  const TileLayout& layout;
  const TileOptions& options;
  const TileTitle& title;

  void put(Drawing& out, const Tile& tile, const TileView& view) const;

 private:
  void put_bars(Drawing& out, const TileView& view) const;
  void put_words(Drawing& out, const Tile& tile, double left_mm, double right_mm) const;
  void put_map(Drawing& out, const Tile& tile, const Box& room) const;
  std::string label(const Tile& tile) const;
};

}  // namespace fairhole::drawing
