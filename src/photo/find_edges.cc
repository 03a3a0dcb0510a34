// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "board_cover.h"
#include "fairhole/photo/read_photos.h"

namespace fairhole::photo {

std::vector<SeenPartEdge> find_edges(std::span<const Picture> pictures, std::span<const Board> boards,
                                     const PhotoReading& reading) {
  std::vector<SeenPartEdge> edges;
  if (reading.adjusted.boards.empty()) return edges;
  for (std::size_t p = 0; p < pictures.size(); ++p) {
    std::vector<Eigen::Vector2d> holes;
    for (const PhotoHole& hole : reading.holes)
      if (!hole.doubtful && std::ranges::count(hole.photos, static_cast<int>(p)) > 0)
        holes.push_back(hole.centre_mm);
    const View& view = reading.adjusted.photos[p].view;
    const auto masked = covered_by_boards(boards, reading.adjusted.boards, view, false);
    for (const PartEdge& edge : find_part_edges(pictures[p], view, holes, masked))
      edges.push_back({static_cast<int>(p), edge});
  }
  return edges;
}

}  // namespace fairhole::photo
