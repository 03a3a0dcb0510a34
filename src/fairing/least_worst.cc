// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "seat_search.h"

namespace fairhole {

LeastWorst least_worst(const JointCase& joint, std::span<const double> limit_diameter_mm,
                       const SeatEffort& effort) {
  LeastWorst out{-kNoLimit, -kNoLimit, {}};
  out.moves = detail::SeatModel(joint).rest();
  for (const detail::FreePart& piece : detail::free_parts(joint)) {
    const detail::SeatModel model(piece.joint);
    std::vector<double> limits;
    for (const int s : piece.stacks) limits.push_back(limit_diameter_mm[static_cast<std::size_t>(s)] / 2.0);
    detail::SeatAim aim;
    aim.boxes = detail::effort_for(piece, effort).turn_boxes;
    const detail::SeatFound found = detail::find_seats(model, model.clean_up_rooms(limits), aim);
    detail::put_moves(piece, found.moves, out.moves);
    out.value_mm = std::max(out.value_mm, 2.0 * found.value_mm);
    out.lower_mm = std::max(out.lower_mm, 2.0 * found.lower_mm);
  }
  return out;
}

}  // namespace fairhole
