// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "board_cover.h"

#include <cmath>

namespace fairhole::photo {
namespace {

constexpr double kPaperMarginMm = 6.0;  // paper round the outermost markers
constexpr double kPrintMarginMm = 1.5;

/// A rectangle of the sheet in the picture; empty where it lies out of sight.
std::vector<Eigen::Vector2d> outline_of(const Eigen::Array2d& low, const Eigen::Array2d& high,
                                        const PlacedBoard& placed, const View& view) {
  std::vector<Eigen::Vector2d> outline;
  const double c = std::cos(placed.turn_rad), s = std::sin(placed.turn_rad);
  for (const Eigen::Array2d& corner :
       {low, Eigen::Array2d(high.x(), low.y()), high, Eigen::Array2d(low.x(), high.y())}) {
    const Eigen::Vector2d d = placed.scale.cwiseProduct(corner.matrix());
    const Eigen::Vector2d w =
        placed.origin_mm + Eigen::Vector2d(c * d.x() - s * d.y(), s * d.x() + c * d.y());
    const auto p = project(view, {w.x(), w.y(), placed.lift_mm});
    if (!p) return {};
    outline.push_back(*p);
  }
  return outline;
}

/// What of a board hides the face: the whole sheet; of a rubbing each print by itself, for its marks lie
/// between.
std::vector<std::vector<Eigen::Vector2d>> covered(const Board& board, const PlacedBoard& placed,
                                                  const View& view, bool each_print) {
  const double margin = each_print ? kPrintMarginMm : kPaperMarginMm;
  std::vector<std::vector<Eigen::Vector2d>> outlines;
  Eigen::Array2d sheet_low = Eigen::Array2d::Constant(1e9), sheet_high = -sheet_low;
  const auto add = [&](const Eigen::Array2d& low, const Eigen::Array2d& high) {
    if (auto outline = outline_of(low - margin, high + margin, placed, view); !outline.empty())
      outlines.push_back(std::move(outline));
  };
  for (const PrintedEdge& edge : printed_edges(board)) {
    const Eigen::Array2d low = edge.a_mm.cwiseMin(edge.b_mm).array(),
                         high = edge.a_mm.cwiseMax(edge.b_mm).array();
    sheet_low = sheet_low.min(low);
    sheet_high = sheet_high.max(high);
  }
  if (!each_print) {
    add(sheet_low, sheet_high);
    return outlines;
  }
  for (const InkBox& box : printed_boxes(board))
    if (box.black) add(box.low_mm.array(), box.high_mm.array());
  return outlines;
}

}  // namespace

std::vector<std::vector<Eigen::Vector2d>> covered_by_boards(std::span<const Board> boards,
                                                            std::span<const PlacedBoard> placed,
                                                            const View& view, bool each_print) {
  std::vector<std::vector<Eigen::Vector2d>> all;
  for (std::size_t b = 0; b < boards.size(); ++b) {
    if (!placed[b].seen) continue;
    for (auto& outline : covered(boards[b], placed[b], view, each_print)) all.push_back(std::move(outline));
  }
  return all;
}

}  // namespace fairhole::photo
