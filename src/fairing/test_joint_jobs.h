// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fmt/core.h>

#include <Eigen/LU>
#include <algorithm>
#include <map>
#include <numbers>
#include <optional>
#include <random>
#include <string>

#include "fairhole/fairing/movers.h"
#include "fairhole/fairing/plan.h"
#include "fairhole/fairing/rules.h"
#include "test_stacks.h"

/// Random whole jobs with seats that may move: one or two plates, up to four parts with a face on either
/// plate.
namespace fairhole::test {

struct JointShape {
  int most_parts = 3;
  int least_stacks = 2, most_stacks = 6;
  bool bushes = true;        ///< outsides of bushes are at hand for some fasteners
  bool awkward = true;       ///< forms, bounds, keep-outs, pins, ovals, holes that hold the place
  double part_off_mm = 1.0;  ///< how far a part's holes stand off the drawing together, 1 sigma
  double scatter_mm = 0.35;  ///< and each by itself
  double turn_sigma_rad = 0.002;
  double survey_sigma_mm = 0.1;
};

class JointJobMaker {
 public:
  JointJobMaker(unsigned seed, JointShape shape) : random_(seed), shape_(shape) {}

  Assembly make() {
    const int plates = 1 + one_of(2);
    for (int p = 0; p < plates; ++p) add_plate(p == 0 ? "left" : "right");
    const int parts = 1 + one_of(shape_.most_parts);
    for (int k = 0; k < parts; ++k) add_part(fmt::format("part {}", k + 1));
    const int stacks = shape_.least_stacks + one_of(shape_.most_stacks - shape_.least_stacks + 1);
    for (int i = 0; i < stacks; ++i) add_stack(i);
    assembly_.covariance_mm2 =
        shape_.survey_sigma_mm * shape_.survey_sigma_mm * Eigen::MatrixXd::Identity(2 * rows_, 2 * rows_);
    for (std::size_t i = 0; i < assembly_.seats.size(); ++i) stand_at_registration(i);
    return assembly_;
  }

 private:
  double normal() { return normal_(random_); }
  bool chance(double p) { return std::bernoulli_distribution(p)(random_); }
  int one_of(int count) { return std::uniform_int_distribution<int>(0, count - 1)(random_); }
  double between(double a, double b) {
    return a + (b - a) * std::uniform_real_distribution<double>()(random_);
  }

  void add_plate(const std::string& name) {
    PlateShape plate{name, {{0.0, 0.0}, {600.0, 0.0}, {600.0, 300.0}, {0.0, 300.0}}, {}, 12.0, true};
    if (shape_.awkward && chance(0.2)) {  // beside a row of holes
      const double y = 100.0 + 16.0 + between(0.0, 4.0);
      plate.keep_outs = {{"weld", {{60.0, y}, {260.0, y}, {260.0, y + 20.0}, {60.0, y + 20.0}}}};
    }
    assembly_.plates.push_back(plate);
  }

  SeatRange any_range(double most) {
    if (chance(0.1)) return {};
    const double ends[] = {between(-most, most), between(-most, most)};
    if (chance(0.3)) return {std::min(ends[0], ends[1]), std::max(ends[0], ends[1])};
    return {-std::abs(ends[0]), std::abs(ends[1])};
  }

  Play any_play() {
    const SeatRange along = any_range(3.0), across = any_range(3.0), turn = any_range(0.006);
    return {along.least,
            along.most,
            across.least,
            across.most,
            Angle::radians(turn.least),
            Angle::radians(turn.most)};
  }

  void add_seat(const std::string& part, const std::string& plate) {
    SeatedFace seat;
    seat.part = part, seat.face = plate + " face", seat.plate = plate;
    seat.joint = part + " on " + plate;
    seat.nominal.motion = {
        {between(20.0, 300.0), between(20.0, 200.0)}, Angle::degrees(90.0 * one_of(4)), chance(0.5)};
    seat.play = any_play();
    seat.seat = seat.nominal;
    assembly_.seats.push_back(seat);
  }

  /// One face, or one on each plate: as free as each other, or moving as one but for a slack.
  void add_part(const std::string& name) {
    const std::size_t first = assembly_.seats.size();
    const bool both = assembly_.plates.size() == 2 && chance(0.5);
    if (both || chance(0.5)) add_seat(name, "left");
    if (both || assembly_.seats.size() == first) add_seat(name, assembly_.plates.back().name);
    std::vector<Mover> own = own_movers(assembly_.seats);
    for (std::size_t i = first; i < assembly_.seats.size(); ++i) assembly_.movers.push_back(own[i]);
    if (!both || chance(0.2)) return;
    share(assembly_.movers[assembly_.movers.size() - 2], assembly_.movers.back(), name);
  }

  void share(Mover& mover, Mover& slack, const std::string& name) {
    Mover::Follower follower = slack.followers.front();
    follower.plate_from_mover = rotation(Angle::degrees(90.0 * one_of(4)));
    if (chance(0.5)) follower.plate_from_mover.col(1) *= -1.0;
    const double up_mm = between(-100.0, 100.0), along_mm = between(-200.0, 200.0);
    follower.pivot_mm += Eigen::Vector2d(along_mm, up_mm);
    // Together they may not turn farther than either may.
    const Play& play = assembly_.seats.back().play;
    SeatRange turn{play.turn_min.radians(), play.turn_max.radians()};
    if (follower.plate_from_mover.determinant() < 0.0) turn = {-turn.most, -turn.least};
    turn = {std::max(turn.least, mover.play.turn_rad.least), std::min(turn.most, mover.play.turn_rad.most)};
    if (turn.least > turn.most) return;
    mover.name = name;
    mover.play.turn_rad = turn;
    mover.followers.push_back(follower);
    slack.play = {{-0.3, 0.3}, {-0.3, 0.3}, {}};
  }

  void add_stack(int index) {
    Stack made = stack_of(one_of(3) == 0 ? rivet() : fitted_bolt(), {});
    if (shape_.bushes && index % 2 == 0) made.fastener.bush_outsides_mm = {27.0, 30.0};
    made.plate =
        assembly_.plates[static_cast<std::size_t>(one_of(static_cast<int>(assembly_.plates.size())))].name;
    made.id = fmt::format("S{}", index + 1);
    made.group = chance(0.5) ? "toe" : "heel";
    made.nominal_mm = {100.0 + 80.0 * (index % 5), 100.0 + 90.0 * (index / 5)};
    if (shape_.awkward && chance(0.05)) made.pinned_method = method_name(static_cast<Method>(one_of(7)));
    if (shape_.awkward && chance(0.05)) made.pinned_finish_mm = 22.0 + 2.0 * one_of(4);
    for (const SeatedFace& seat : assembly_.seats) {
      if (seat.plate == made.plate && chance(0.7)) made.layers.push_back(layer(seat, made));
    }
    assembly_.stacks.push_back(made);
  }

  OldLayer layer(const SeatedFace& seat, const Stack& stack) {
    const double clearance = is_fitted(stack.fastener.kind) ? 0.0 : stack.fastener.clearance_mm;
    OldLayer made = old_hole(seat.part, stack.nominal_mm.x() + shape_.scatter_mm * normal(),
                             stack.nominal_mm.y() + shape_.scatter_mm * normal(),
                             stack.fastener.diameter_mm + clearance + 0.3 * std::abs(normal()));
    made.face = seat.face, made.joint = seat.joint, made.hole = stack.id;
    made.diameter_sigma_mm = 0.03;
    if (chance(0.25)) {
      made.ovality_mm = 0.8 * std::abs(normal());
      made.ovality_axis_rad = between(0.0, std::numbers::pi);
    }
    if (shape_.awkward) make_awkward(made);
    made.covariance_index = rows_++;
    return made;
  }

  void make_awkward(OldLayer& made) {
    if (chance(0.15)) made.form = static_cast<HoleForm>(one_of(10));
    if (made.form == HoleForm::kSlotted) made.ovality_mm = 8.0;
    if (chance(0.1)) made.largest_mm = 24.0;
    if (chance(0.05)) made.may_be_opened = false;
    if (chance(0.05)) made.fixed = true;
    if (chance(0.3)) {
      const Angle turn = Angle::degrees(90.0 * one_of(4));
      const Eigen::Vector2d normal_out = rotation(turn) * Eigen::Vector2d::UnitX();
      const double room = 28.0 + 2.0 * normal();
      made.bounds.push_back({normal_out, normal_out.dot(made.centre_mm) - room, chance(0.5), "heel fillet"});
    }
  }

  /// Each part's holes stand off together; registration asks for the seat that takes this back, within the
  /// play.
  void stand_at_registration(std::size_t index) {
    SeatedFace& seat = assembly_.seats[index];
    const Angle turn = Angle::radians(std::clamp(shape_.turn_sigma_rad * normal(),
                                                 seat.play.turn_min.radians(), seat.play.turn_max.radians()));
    const Eigen::Vector2d shift(
        std::clamp(shape_.part_off_mm * normal(), seat.play.along_min_mm, seat.play.along_max_mm),
        std::clamp(shape_.part_off_mm * normal(), seat.play.across_min_mm, seat.play.across_max_mm));
    seat.seat.motion.turn = seat.nominal.motion.turn + turn;
    seat.seat.motion.shift_mm = seat.nominal.motion.shift_mm + shift;
    const double off_y = normal(), off_x = normal();
    const Eigen::Vector2d off = shape_.part_off_mm * Eigen::Vector2d(off_x, off_y);
    for (Stack& stack : assembly_.stacks) {
      for (OldLayer& layer : stack.layers) {
        if (layer.joint != seat.joint) continue;
        layer.centre_mm += off;
        for (OldLayer::Bound& bound : layer.bounds) bound.offset_mm += bound.normal.dot(off);
      }
    }
  }

  std::mt19937_64 random_;
  std::normal_distribution<double> normal_;
  JointShape shape_;
  Assembly assembly_;
  int rows_ = 0;
};

/// Small errors, and none of setting: the doubt of a hole does not hang on which holes locate its part. The
/// odds are tested elsewhere.
inline FairingRules quick_rules() {
  FairingRules rules;
  rules.draws = 1;
  rules.drilling = drilling_errors(DrillingWay::kCnc);
  rules.setting_sigma_mm = 0.0;
  return rules;
}

/// What the plan costs by the rules of docs/fairing.md, counted from what it does with each hole.
class Recount {
 public:
  Recount(const Assembly& assembly, const Plan& plan, const CostWeights& weights) {
    std::map<std::string, std::map<double, int>> sizes;
    for (std::size_t i = 0; i < plan.stacks.size(); ++i) {
      const StackPlan& stack = plan.stacks[i];
      const std::optional<double> size = add_stack(assembly.stacks[i], stack, weights);
      if (size) ++sizes[stack.plate + "|" + stack.group][*size];
    }
    for (const auto& [group, counts] : sizes) {
      int all = 0, most = 0;
      for (const auto& [size, count] : counts) all += count, most = std::max(most, count);
      odd += all - most;
    }
    cost += weights.odd_size * odd + weights.plug * plugs;
  }

  double cost = 0.0;
  int plugs = 0, bushes = 0, odd = 0, steps = 0, undecided = 0;

 private:
  std::optional<double> add_stack(const Stack& stack, const StackPlan& plan, const CostWeights& weights) {
    if (plan.method == Method::kUndecided) {
      const bool nothing_fits = plan.state == State::kUndecided && plan.cost > 0.0;
      cost += nothing_fits ? 10.0 * weights.plug : 0.0;
      undecided += nothing_fits ? 1 : 0;
      return std::nullopt;
    }
    bool reams = false, left = false;
    for (std::size_t k = 0; k < stack.layers.size(); ++k) {
      const LayerPlan& layer = plan.layers[k + (stack.plate_is_new ? 1 : 0)];
      plugs += layer.action == "plug and re-drill" ? 1 : 0;
      if (layer.action == "bush") {
        ++bushes;
        const double seat = *layer.bush_outside_mm, was = *stack.layers[k].diameter_mm;
        cost += weights.bush + weights.metal_per_cm3 / 1000.0 * stack.layers[k].thickness_mm *
                                   std::numbers::pi / 4.0 * std::max(0.0, seat * seat - was * was);
      }
      left = left || layer.action == "leave";
      if (layer.action != "ream") continue;
      reams = true;
      const double found = *stack.layers[k].diameter_mm;
      cost += weights.metal_per_cm3 / 1000.0 * stack.layers[k].thickness_mm * std::numbers::pi / 4.0 *
              std::max(0.0, plan.finish_diameter_mm * plan.finish_diameter_mm - found * found);
    }
    const bool opened = plan.method == Method::kOpenOut ||
                        ((plan.method == Method::kPlug || plan.method == Method::kBush) && reams);
    const bool fitted = stack.fastener.kind == FastenerKind::kFittedBolt;
    const double asked = stack.fastener.diameter_mm + (fitted ? 0.0 : stack.fastener.clearance_mm);
    for (const double size : stack.fastener.sizes_mm) {
      const bool over = opened && size > asked + 1e-6 && size <= plan.finish_diameter_mm + 1e-6;
      steps += over ? 1 : 0;
      cost += over ? weights.oversize : 0.0;
    }
    const bool afresh = plan.method == Method::kPlug || plan.method == Method::kBush;
    const bool drawn = plan.method == Method::kDrillToDrawing || (afresh && !left);
    if (opened || drawn) return plan.finish_diameter_mm;
    return std::nullopt;
  }
};

}  // namespace fairhole::test
