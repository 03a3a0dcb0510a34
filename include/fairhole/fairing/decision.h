// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "fairhole/fairing/assembly.h"
#include "fairhole/fairing/plan.h"
#include "fairhole/fairing/rules.h"

/// The decision model: what can be done with one stack, seats held. It knows no search; a search picks among
/// these options. All mm, plate frame.
namespace fairhole {

/// One stack with what surrounds it.
struct StackCase {
  const Stack* stack = nullptr;
  const PlateShape* plate = nullptr;  ///< may be null: no edges known
  /// Of each layer's centre relative to the plate, survey and setting of the seat together, without the new
  /// hole's own error; in the order of the stack's layers.
  std::vector<Eigen::Matrix2d> layer_cov_mm2;
  std::optional<Eigen::Vector2d> given_centre_mm =
      {};  ///< plates drilled as a pair: the centre is not this stack's alone
  /// A hole beside this one that keeps beyond its own line: normal . p - offset is to be the pitch between
  /// the two, and `least_mm`, which the other asks, at the least.
  struct Neighbour {
    const Stack* stack = nullptr;
    Eigen::Vector2d normal = Eigen::Vector2d::UnitX();
    double offset_mm = 0.0;
    double least_mm = 0.0;
  };
  std::vector<Neighbour> neighbours = {};  ///< where seats and sizes leave the pitch in question
  double slip_probability = 0.0;  ///< that a hidden slip moves one of the layers; for the odds' lower bound
};

/// Sizes this near are one: they are typed or converted from inches, never measured.
inline constexpr double kSameSizeMm = 1e-6;

/// How an old layer enters the event that must come true.
enum class Role {
  kIgnored,   ///< blank, plugged or re-drilled: cannot fail
  kEnclosed,  ///< reamed, or opened for a bush: a circle must enclose the old hole
  kPassed,    ///< left: the shank must pass it
  kGuides     ///< left: the new plate's pilot must lie inside it, so that it guides the finishing tool
};

/// An old hole as a hull of two discs of `radius_mm` at centre +- half_axis (zero for a round hole).
struct LayerEvent {
  Role role = Role::kIgnored;
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  Eigen::Vector2d half_axis_mm = Eigen::Vector2d::Zero();
  double radius_mm = 0.0;
  double radius_sigma_mm = 0.0;
  double opened_mm =
      0.0;  ///< enclosed: diameter of the circle, that of the finished hole or of a bush's seat
};

/// What must come true for a stack to go together:
///  open out: every old hole lies in the finish circle about the new hole as drilled;
///  transfer: the pilot as drilled lies inside the old hole;
///  clear:    one circle of the shank lies inside every old hole and the new one;
///  bush:     as its other holes are treated; the bush's seat, about the new hole as drilled or about the
///            old hole that guides, takes in the old hole it replaces.
struct StackEvent {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();  ///< of the new hole as planned
  double pilot_mm = 0.0;
  double shank_mm = 0.0;
  std::optional<double> new_hole_mm;  ///< diameter of the new hole the shank must pass; absent: none
  std::vector<LayerEvent> layers;     ///< in the order of the stack's layers
};

/// One way to treat a stack.
struct Option {
  Method method = Method::kUndecided;
  bool allowed = false;
  bool hopeless =
      false;  ///< forbidden by what no other seat mends: form, size at hand, doubt, what is pinned
  double finish_mm = 0.0;    ///< of the new plate's hole
  double fastener_mm = 0.0;  ///< shank that edges and heads are reckoned with
  Finish finish = Finish::kBench;
  std::optional<double> pilot_mm;
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double margin_mm = 0.0;  ///< on diameter, old holes grown at the confidence asked for
  double need_mm = 0.0;    ///< open out: the grown holes' own need, were no edge or fixed hole in the way
  double cost = 0.0;       ///< without the group's odd-size share
  bool counts_as_size = false;  ///< takes a reamer size: odd if it is not its group's usual one
  double position_zone_mm = 0.0;
  double least_diameter_mm = 0.0, largest_diameter_mm = 0.0;
  std::vector<int> plugged;  ///< indices of layers to plug
  std::vector<int> bushed;   ///< indices of layers that get a bush
  double bush_outside_mm = 0.0;
  std::string reason;     ///< what a fitter would say for it
  std::string forbidden;  ///< the rule that forbids it: which layer, how much, which edge
  StackEvent event;       ///< its odds: event_lower_bound, or the Monte Carlo of odds.h
};

/// Every option of the stack in order of method and size, allowed or not. Never empty: a stack that nothing
/// can be said of yields one undecided option that says what to measure.
std::vector<Option> options_for(const StackCase& stack_case, const FairingRules& rules);

/// True when the event holds for one set of errors: shifts of the layers relative to the plate, the new
/// hole's own error and the errors of the old radii.
bool event_holds(const StackEvent& event, const std::vector<Eigen::Vector2d>& layer_shift_mm,
                 const Eigen::Vector2d& drill_shift_mm, const std::vector<double>& radius_error_mm);

/// 1 less the sum of the layers' chances of failing (Bonferroni), each from the exact chance of a normal
/// error in a circle; rounding and diameter errors are averaged over by Gauss rules. Never below 0.
double event_lower_bound(const StackEvent& event, const std::vector<Eigen::Matrix2d>& layer_cov_mm2,
                         const DrillingErrors& drilling);

/// The hole the job asks for: shank of a fitted kind, shank and clearance of the others.
double asked_finish_mm(const FastenerSpec& fastener);
bool is_fitted(FastenerKind kind);

}  // namespace fairhole
