// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "check_plan_seats.h"

#include <fmt/core.h>

#include <cmath>
#include <numbers>

#include "check_plan_neighbours.h"
#include "fairhole/base/length.h"

namespace fairhole::detail {
namespace {

constexpr double kRoundingRad = 1e-9;

double wrapped(double angle_rad) { return std::remainder(angle_rad, 2.0 * std::numbers::pi); }

/// A part's change of place in its plate: a turn about where its datum corner stood, and that corner's shift.
struct Change {
  Eigen::Vector2d from_mm = Eigen::Vector2d::Zero();
  Eigen::Vector2d to_mm = Eigen::Vector2d::Zero();
  double turn_rad = 0.0;

  Eigen::Vector2d turned(const Eigen::Vector2d& v) const {
    const double c = std::cos(turn_rad), s = std::sin(turn_rad);
    return {c * v.x() - s * v.y(), s * v.x() + c * v.y()};
  }
  Eigen::Vector2d operator()(const Eigen::Vector2d& p) const { return to_mm + turned(p - from_mm); }
};

Change change_of(const SeatedFace& registered, const SeatPlan& planned) {
  const Motion& from = registered.seat.motion;
  const Motion& to = planned.plate_from_face.motion;
  return {from.shift_mm, to.shift_mm, wrapped(to.turn.radians() - from.turn.radians())};
}

bool is_blank(const OldLayer& layer) { return !layer.measured || layer.form == HoleForm::kPlugged; }

class SeatChecker {
 public:
  SeatChecker(const SeatedFace& seat, const SeatPlan& plan, Problems& problems)
      : seat_(seat), plan_(plan), problems_(problems) {}

  void run() {
    const Motion& nominal = seat_.nominal.motion;
    const Motion& planned = plan_.plate_from_face.motion;
    const Eigen::Vector2d shift = planned.shift_mm - nominal.shift_mm;
    const double turn = wrapped(planned.turn.radians() - nominal.turn.radians());
    const Play& play = seat_.play;
    within("along", shift.x(), play.along_min_mm, play.along_max_mm);
    within("across", shift.y(), play.across_min_mm, play.across_max_mm);
    if (turn < play.turn_min.radians() - kRoundingRad || turn > play.turn_max.radians() + kRoundingRad) {
      add(codes::kPlanSeatOutOfPlay,
          fmt::format("the seat is turned by {:.3f} degree from nominal", Angle::radians(turn).degrees()),
          fmt::format("a turn from {:.3f} to {:.3f} degree", play.turn_min.degrees(),
                      play.turn_max.degrees()));
    }
    const Eigen::Vector2d told = Eigen::Vector2d(plan_.along_mm, plan_.across_mm) - shift;
    if (told.norm() > kRoundingMm || std::abs(wrapped(plan_.turn.radians() - turn)) > kRoundingRad) {
      add(codes::kPlanHoleOffSeat, "the figures to set the part by are not those of its seat",
          "along, across and turn from the nominal seat");
    }
  }

 private:
  void add(Code code, std::string what, std::string remedy) {
    problems_.push_back({code, fmt::format("joint {}", seat_.joint), std::move(what), std::move(remedy)});
  }

  void within(const char* which, double shift_mm, double least_mm, double most_mm) {
    if (shift_mm >= least_mm - kRoundingMm && shift_mm <= most_mm + kRoundingMm) return;
    add(codes::kPlanSeatOutOfPlay,
        fmt::format("the seat is {} mm {} from nominal", format_mm(shift_mm, 2), which),
        fmt::format("from {} to {} mm", format_mm(least_mm, 2), format_mm(most_mm, 2)));
  }

  const SeatedFace& seat_;
  const SeatPlan& plan_;
  Problems& problems_;
};

}  // namespace

Problems check_plan_seats(const Assembly& registered, const Plan& plan) {
  if (plan.seats.size() != registered.seats.size()) {
    return {{codes::kPlanSeatMissing, "plan",
             fmt::format("{} seats planned, {} joints there", plan.seats.size(), registered.seats.size()),
             "one seat for each joint"}};
  }
  Problems problems;
  for (std::size_t i = 0; i < plan.seats.size(); ++i) {
    const SeatedFace& seat = registered.seats[i];
    const SeatPlan& planned = plan.seats[i];
    const bool same = planned.joint == seat.joint && planned.part == seat.part && planned.plate == seat.plate;
    if (!same || planned.plate_from_face.motion.mirrored != seat.nominal.motion.mirrored) {
      problems.push_back(
          {codes::kPlanSeatMissing, fmt::format("joint {}", seat.joint),
           same ? "the part is seated by its other hand"
                : fmt::format("in its place stands the seat of {} in joint {}", planned.part, planned.joint),
           "one seat for each joint"});
      continue;
    }
    SeatChecker(seat, planned, problems).run();
  }
  return problems;
}

Assembly seated_as_planned(const Assembly& registered, const Plan& plan) {
  Assembly seated = registered;
  for (std::size_t i = 0; i < registered.seats.size(); ++i) {
    const SeatedFace& seat = registered.seats[i];
    const Change change = change_of(seat, plan.seats[i]);
    for (Stack& stack : seated.stacks) {
      for (OldLayer& layer : stack.layers) {
        if (stack.plate != seat.plate || layer.joint != seat.joint) continue;
        if (!is_blank(layer)) layer.centre_mm = change(layer.centre_mm);
        layer.ovality_axis_rad += change.turn_rad;
        for (OldLayer::Bound& bound : layer.bounds) {
          const Eigen::Vector2d on_edge = change(bound.normal * bound.offset_mm);
          bound.normal = change.turned(bound.normal);
          bound.offset_mm = bound.normal.dot(on_edge);
        }
      }
    }
  }
  return seated;
}

Problems check_plan_holes(const Assembly& seated, const Plan& plan) {
  Problems problems;
  for (std::size_t i = 0; i < seated.stacks.size(); ++i) {
    const Stack& stack = seated.stacks[i];
    const StackPlan& planned = plan.stacks[i];
    const std::size_t skip = stack.plate_is_new ? 1 : 0;
    for (std::size_t k = 0; k < stack.layers.size(); ++k) {
      const OldLayer& layer = stack.layers[k];
      const LayerPlan& old = planned.layers[k + skip];
      const double off_mm = (old.centre_mm - layer.centre_mm).norm();
      const double told_mm = (old.misfit_mm - (layer.centre_mm - planned.centre_mm)).norm();
      if (off_mm <= kRoundingMm && told_mm <= kRoundingMm) continue;
      problems.push_back({codes::kPlanHoleOffSeat, fmt::format("stack {}", planned.id),
                          fmt::format("{} of {} is {} mm from where its part's seat puts it", layer.hole,
                                      layer.part, format_mm(std::max(off_mm, told_mm), 2)),
                          "one rigid seat for all holes of a face"});
    }
  }
  return problems;
}

}  // namespace fairhole::detail
