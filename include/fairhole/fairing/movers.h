// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/fairing/assembly.h"
#include "fairhole/fairing/joint_seats.h"

/// What contact leaves of the parts' freedom: a seat's place in its carrier's plane is its nominal one and
/// the sum of the movers that it follows.
namespace fairhole {

/// Moves that add to nothing: every seat where the job has it.
std::vector<SeatMove> no_moves(const Assembly& assembly);

/// The seat that `moves` (one a mover) make of the nominal one. A seat that no mover moves stays as it is
/// seated.
PlateFromFace seat_at(const Assembly& assembly, std::size_t seat, const std::vector<SeatMove>& moves);

/// Moves that bring each seat as near as they can to where it is seated: shared movers to the mean of what
/// their faces ask for, own movers take the rest, all within their play.
std::vector<SeatMove> moves_to_seats(const Assembly& assembly);

/// One sentence for each seat that its movers keep farther than `tolerance_mm` from where its own holes ask
/// it to be: a loop of parts that does not close, with size and place.
std::vector<std::string> closure_warnings(const Assembly& assembly, double tolerance_mm);

/// The assembly with its parts moved: seats, holes and bounds.
Assembly with_seats(const Assembly& assembly, const std::vector<SeatMove>& moves);

/// Whether every seat lies within its play.
bool within_play(const Assembly& assembly);

/// One mover of its own for every seat of a joint, as far as its play allows.
std::vector<Mover> own_movers(const std::vector<SeatedFace>& seats);

}  // namespace fairhole
