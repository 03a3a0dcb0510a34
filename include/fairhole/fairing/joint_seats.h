// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <limits>
#include <span>
#include <vector>

namespace fairhole {

/// All seats at once, as a bare problem: parts that may move a little, discs (old holes) on them, stacks of
/// discs. What a stack costs depends only on its clean-up circle, the smallest that encloses its discs, which
/// may stand anywhere.

/// From least to most; both inclusive.
struct SeatRange {
  double least = 0.0;
  double most = 0.0;
};

/// How far a part may go from where it stands. Nothing unless stated.
struct SeatPlay {
  SeatRange dx_mm, dy_mm, turn_rad;
};

struct SeatMove {
  double dx_mm = 0.0;
  double dy_mm = 0.0;
  double turn_rad = 0.0;  ///< counter-clockwise in the part's own frame
};

/// A part's move as a disc feels it: by_shift (dx, dy) + by_sine sin(turn) + by_versine (1 - cos(turn)).
struct SeatFollow {
  int part = 0;
  Eigen::Matrix2d by_shift = Eigen::Matrix2d::Identity();
  Eigen::Vector2d by_sine_mm = Eigen::Vector2d::Zero();
  Eigen::Vector2d by_versine_mm = Eigen::Vector2d::Zero();
};

/// A disc whose centre is `centre_mm` plus all that it follows; one that follows nothing is fixed. A part
/// that turns about a point in the stack's own frame is one case (`disc_on_part`); the second leg of an
/// angle, a plate seen from its other side, or a face that shares its part's slide and has a turn of its own
/// (two follows) are others. A straight edge is a disc of huge radius.
struct SeatDisc {
  int stack = 0;
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double radius_mm = 0.0;
  std::vector<SeatFollow> follows;
  bool counts_for_misfit = true;  ///< false: an edge, or a point of the drawing
  /// The stack's centre is this disc's wherever any room is asked of it. It follows one part alone, shift for
  /// shift, and that part does not turn: so discs of other stacks can follow where this stack's centre
  /// stands. All such discs of a stack have one place at rest.
  bool pins = false;
};

/// The disc of a part that turns about `pivot`; `stack_from_part` turns or mirrors the part's directions into
/// the stack's. Centre and pivot are given in the stack's frame.
SeatDisc disc_on_part(int part, int stack, const Eigen::Vector2d& centre_mm, double radius_mm,
                      const Eigen::Vector2d& pivot_mm,
                      const Eigen::Matrix2d& stack_from_part = Eigen::Matrix2d::Identity());

/// Every disc names parts and a stack that exist; |turn| <= pi; all finite.
struct JointCase {
  std::vector<SeatPlay> parts;
  int stacks = 0;
  std::vector<SeatDisc> discs;
};

/// Work that may be done before a search ends unproven. Counts, never clocks: the same case ends the same way
/// everywhere. Where more than twelve parts hang together, less is done: by the square of their number.
struct SeatEffort {
  int turn_boxes = 1000;   ///< boxes of turns looked at for one set of limits
  int level_nodes = 4000;  ///< sets of limits solved for; a set of some of the stacks counts for its share
  int tie_nodes = 12;      ///< how often a smaller worst misfit is asked for at the least cost
};

inline constexpr double kNoLimit = std::numeric_limits<double>::infinity();

/// Where the seats lie that leave the largest common margin.
struct LeastWorst {
  double value_mm = 0.0;  ///< largest (clean-up diameter - limit) over the stacks at `moves`
  double lower_mm = 0.0;  ///< no seats within the play come below this
  std::vector<SeatMove> moves;
};

/// Seats whose largest (clean-up diameter - limit) over all stacks is the least possible. With limits of 0:
/// the least possible largest clean-up diameter. A stack of limit kNoLimit is left out; with none left, value
/// and lower are -infinity.
LeastWorst least_worst(const JointCase& joint, std::span<const double> limit_diameter_mm,
                       const SeatEffort& effort = {});

/// What a stack may be: up to `limit_diameter_mm[k]` at `cost[k]`, both ascending (limits strictly), and
/// beyond the last limit at `cost.back()`: one cost more than limits.
struct StackLevels {
  std::vector<double> limit_diameter_mm;
  std::vector<double> cost;
};

/// A clean-up circle exceeds a limit only when it does so by more than this.
inline constexpr double kHoldsWithinMm = 1e-6;

struct LevelChoice {
  std::vector<int> level;  ///< of each stack; limits.size() for the last resort
  double cost = 0.0;       ///< of these levels
  double bound = 0.0;      ///< no seats within the play cost less
  bool proven = false;     ///< bound is cost
  double margin_mm =
      kNoLimit;  ///< by which all stacks can hold their levels at once; below 0 within tolerance
  double worst_misfit_mm =
      0.0;  ///< farthest of an old centre from its stack's, at `moves`, where a limit holds
  std::vector<SeatMove> moves;
  int sets_solved = 0;  ///< sets of limits that were solved for
};

/// The cheapest levels that seats within the play can hold; among choices of equal cost that were met, the
/// one with the smallest worst misfit.
LevelChoice cheapest_levels(const JointCase& joint, std::span<const StackLevels> levels,
                            const SeatEffort& effort = {});

/// Clean-up diameters of all stacks at `moves`; 0 for a stack without discs.
std::vector<double> clean_up_diameters_mm(const JointCase& joint, std::span<const SeatMove> moves);

/// The level each stack holds at `moves`.
std::vector<int> levels_at(const JointCase& joint, std::span<const StackLevels> levels,
                           std::span<const SeatMove> moves);

}  // namespace fairhole
