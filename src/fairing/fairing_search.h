// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <optional>
#include <set>
#include <vector>

#include "choice_case.h"
#include "decided.h"
#include "fairhole/fairing/assemble.h"
#include "fairhole/fairing/joint_fairing.h"

/// All seats and all decisions with the holes given on which the parts hang.
namespace fairhole::detail {

struct FairingAnswer {
  Assembly assembly;  ///< parts at their seats
  Decided decided;
  double bound = 0.0;
  bool proven = false;
};

/// Solves the bare problem, decides again at the seats found, and tells the bare problem more where that
/// costs more than the bound: ovals, pitches, and of these one range of directions after the other.
class FairingSearch {
 public:
  FairingSearch(const Assembly& assembly, const FairingRules& rules, const SeatEffort& effort,
                const Plan* before);

  FairingAnswer answer(const std::vector<LocatingPair>& locating);

 private:
  /// Neighbours with holes, told of each other.
  struct Between {
    SeatRange turned_rad;      ///< directions that were looked at
    double along_rad = 0.0;    ///< the one found
    double short_by_mm = 0.0;  ///< of the pitch
  };
  /// What one bare problem led to.
  struct Looked {
    bool holds = true;  ///< some moves within the play agree
    bool done = false;  ///< the bound is what the choice found costs
    double bound = 0.0;
    std::set<std::size_t> failed;         ///< stacks whose option does not serve at the seats found
    std::vector<NeighbourPair> too_near;  ///< as decided there; not told of each other
    std::map<NeighbourPair, Between> between;
    std::map<std::size_t, CornerSides> corners;  ///< of stacks: of which no side was chosen
  };
  /// Some of the directions between neighbours, some sides of corners, and what they led to.
  struct Sides {
    PitchArcs arcs;
    std::map<std::size_t, CornerSides> corners;
    Looked looked;
  };

  FairingAnswer as_asked() const;
  Looked look(const ChoiceExactness& exactness);
  ChoiceFound first_of(const AssemblyChoice& choice) const;
  void decide_at(const AssemblyChoice& choice, const ChoiceFound& found, Looked& looked);
  std::vector<StackCase> cases_at(const Assembly& at, const AssemblyChoice& choice, const ChoiceFound& found,
                                  Looked& looked) const;
  bool tell_more(const Looked& looked, ChoiceExactness& exactness) const;
  void look_surely(ChoiceExactness exactness, const Looked& looked, double bound);
  double bound_by_sides(ChoiceExactness exactness, const Looked& looked);
  Sides looked_at(PitchArcs arcs, std::map<std::size_t, CornerSides> corners, ChoiceExactness& exactness);
  std::vector<Sides> split_corner(const Sides& sides, ChoiceExactness& exactness);
  std::vector<Sides> split_pitch(const Sides& sides, ChoiceExactness& exactness);
  bool costs_no_more(double bound) const;
  SeatEffort effort_left() const;
  double direction_rad(const NeighbourPair& pair) const;

  const Assembly& assembly_;
  const FairingRules& rules_;
  SeatEffort effort_;
  std::vector<StackCase> cases_;
  std::vector<std::vector<Option>> options_;
  std::optional<FairingAnswer> best_;
  std::vector<SeatMove> moves_;              ///< to begin with: those found last
  std::vector<Eigen::Vector2d> centres_mm_;  ///< of the stacks, as decided last
  int solved_ = 0;
};

}  // namespace fairhole::detail
