// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "level_search.h"

namespace fairhole {

LevelChoice cheapest_levels(const JointCase& joint, std::span<const StackLevels> levels,
                            const SeatEffort& effort) {
  LevelChoice out;
  out.level.assign(static_cast<std::size_t>(joint.stacks), 0);
  out.moves = detail::SeatModel(joint).rest();
  for (const detail::FreePart& piece : detail::free_parts(joint)) {
    const detail::SeatModel model(piece.joint);
    std::vector<StackLevels> own;
    for (const int s : piece.stacks) own.push_back(levels[static_cast<std::size_t>(s)]);
    const detail::LevelTable table(own);
    const detail::LevelSearchResult found =
        detail::search_levels(model, table, detail::effort_for(piece, effort));
    detail::put_moves(piece, found.seats.moves, out.moves);
    for (std::size_t s = 0; s < own.size(); ++s) {
      out.level[static_cast<std::size_t>(piece.stacks[s])] = found.best.level[s];
    }
    out.cost += found.best.cost;
    out.bound += found.bound;
    out.margin_mm = std::min(out.margin_mm, found.seats.margin_mm);
    out.worst_misfit_mm = std::max(out.worst_misfit_mm, found.seats.misfit_mm);
    out.sets_solved += found.solved;
  }
  out.proven = out.bound >= out.cost;
  return out;
}

}  // namespace fairhole
