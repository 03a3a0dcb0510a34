// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <vector>

#include "fairhole/fairing/decision.h"
#include "fairhole/fairing/joint_seats.h"

/// What each way to treat a stack asks of the seats, told as discs: how far each of them may lie from the
/// stack's centre.
namespace fairhole::detail {

/// A disc of a stack where its part stands now.
struct DemandDisc {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  std::string joint;    ///< moves with this seat; empty: stays
  bool is_hole = true;  ///< an old hole: counts in the misfit
  /// An oval hole passes a shank anywhere along its axis: the disc may slide so far either way.
  Eigen::Vector2d slide_mm = Eigen::Vector2d::Zero();
};

/// The `joint` of the disc that is the shared centre of two stacks.
inline constexpr const char* kSharedCentre = "\n";

/// A straight edge is told as the rim of a disc of this radius: over 8 mm along the edge they part by less
/// than `kEdgeSagMm`.
inline constexpr double kEdgeRadiusMm = 2e4;
inline constexpr double kEdgeSagMm = 8.0 * 8.0 / (2.0 * kEdgeRadiusMm);

/// Of re-entrant corners: one of their edges, or how many there are.
using CornerSides = std::map<int, int>;

/// How exactly demands are told.
struct Exactness {
  /// What no seats can undercut, so that bounds hold; or a little more than is needed, so that seats that
  /// keep it surely serve.
  bool surely = false;
  bool shared_centre = false;  ///< the centre is another stack's too: plates drilled as a pair
  bool ovals_slide =
      false;  ///< ovals that a shank passes slide; else a disc about their middle tells it from outside
  CornerSides sides = {};  ///< at re-entrant corners of the plate, by their number: the edge kept to
};

struct StackDemand {
  std::vector<DemandDisc> discs;
  std::vector<std::vector<double>>
      rooms;            ///< one for each option, of all discs; empty: no seat makes it possible
  CornerSides corners;  ///< at which nothing is asked, as no side is chosen: how many sides they have
};

/// `reach_mm`: how far holes of this stack may come to lie from where they are; edges farther off are left
/// out.
StackDemand demand_of(const StackCase& stack_case, const std::vector<Option>& options,
                      const FairingRules& rules, const Exactness& exactness, double reach_mm);

}  // namespace fairhole::detail
