// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/SparseCore>
#include <string>
#include <vector>

#include "fairhole/fairing/assembly.h"
#include "fairhole/fairing/decision.h"
#include "fairhole/fairing/rules.h"

/// How errors move the holes, and the odds that follow. Errors of a layer relative to the new hole: its
/// survey as far as hanging the part on its locating holes leaves it, the setting of the part's seat, and the
/// new hole's own error.
namespace fairhole {

/// A seat's two locating holes. Setting errors e_a, e_b are independent, `setting_sigma_mm` each axis; the
/// part moves as a rigid body by their mean, and turns by the part of their difference across a -> b over the
/// distance. With one hole only it shifts; with none it does not move.
struct LocatingPair {
  std::string joint;
  std::string stack_a, stack_b;  ///< empty: none
  Eigen::Vector2d a_mm = Eigen::Vector2d::Zero(), b_mm = Eigen::Vector2d::Zero();
};

/// Covariance of a point of the part about its seat.
Eigen::Matrix2d setting_covariance(const LocatingPair& pair, const Eigen::Vector2d& point_mm,
                                   double sigma_mm);

/// Two holes of each seat to drill and bolt first: the pair farthest apart (ties by id) among `fit` stacks
/// (in the order of the assembly's); when fewer than two are fit, among all. None for
/// an old face that carries others: its own place does not matter.
std::vector<LocatingPair> choose_locating(const Assembly& assembly, const std::vector<bool>& fit);

/// What the survey's errors (in the order of Assembly::covariance_mm2) come to once every part hangs on its
/// locating holes: these stand where they should, so an error that all of a part's holes share (the tape's
/// zero, the corner of its datum edges, where a photograph's frame lies) moves nothing, and the others count
/// relative to theirs. On an old carrier all counts relative to the carrier's own hole of each stack. A seat
/// that `stays` keeps its errors. The matrix is 2n x 2n; linear in the turn.
Eigen::SparseMatrix<double> hanging(const Assembly& assembly, const std::vector<LocatingPair>& locating);

/// What 1 mm of a hidden slip does to all old centres, parts hung by `hung` (from hanging()).
Eigen::VectorXd moves_of(const AssemblySlip& slip, const Eigen::SparseMatrix<double>& hung);

/// Survey and setting covariance of each layer of each stack.
std::vector<StackCase> stack_cases(const Assembly& assembly, const std::vector<LocatingPair>& locating,
                                   const FairingRules& rules);

struct Odds {
  std::vector<double> stack;  ///< in the order of the assembly's stacks
  double job = 0.0;           ///< that every decided stack comes true at once
  double job_sigma = 0.0;     ///< standard error of `job`
};

/// Monte Carlo over `rules.draws` with `rules.seed`: all layers and stacks together, so that shared seats and
/// surveys correlate them, and so do slips that hide in the readings. `events[i]` is that of stack i; null
/// where undecided (odds 0, not in the job's).
Odds monte_carlo_odds(const Assembly& assembly, const std::vector<const StackEvent*>& events,
                      const std::vector<LocatingPair>& locating, const FairingRules& rules);

}  // namespace fairhole
