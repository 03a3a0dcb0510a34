// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/fasteners/bolt.h"
#include "fairhole/fasteners/group.h"
#include "fairhole/fasteners/rivet.h"

/// What the lathe makes and what is bought: pure data for schedules.
namespace fairhole::fasteners {

inline constexpr double kFacingAndPartingMm = 6.0;  ///< of bar, for one piece
inline constexpr double kCleanUpMm = 1.0;           ///< of bar, on the diameter

/// What bolts must have in common to share a size of shank: kind, thread, head.
std::string batch_of(const BoltDesign& design);

/// Bolts that are the same piece.
struct TurningLine {
  std::vector<std::string> stacks;
  BoltDesign design;            ///< of the first; shank limits as below
  SizeLimits shank;             ///< serves all its holes
  std::size_t shank_group = 0;  ///< counts sizes of shank from 0
  Bar bar;  ///< round bar for the head (rivet head 1 mm over, hexagon milled from across its corners)
  double piece_mm = 0.0;  ///< bar for one: head, length, 6 mm for facing and parting
};

/// Bolts to be made, grouped to the fewest sizes of shank that a turning tolerance allows; within a size by
/// shank and total length. Clearance bolts that are on the shelf with their thread clear of the layers are
/// left out. Problems: kShankTooNarrow, kNotInCatalogue (bar).
Result<std::vector<TurningLine>> turning_list(const std::vector<BoltDesign>& designs, double turning_mm,
                                              const Catalogue& catalogue);

struct BuyingLine {
  std::string what;  ///< "nut M20", "washer 22.5 x 37 x 8 mm, to be made", "round bar 36 mm"
  int quantity = 0;  ///< pieces, or mm of bar
  bool is_length = false;
};

/// Bar, nuts, lock-nuts, washers, bolts off the shelf, rivets; sorted by `what`.
std::vector<BuyingLine> buying_list(const std::vector<TurningLine>& turning,
                                    const std::vector<BoltDesign>& designs,
                                    const std::vector<RivetDesign>& rivets, const BoltRules& rules);

}  // namespace fairhole::fasteners
