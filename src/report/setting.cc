// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "setting.h"

#include <fmt/format.h>

#include <cmath>

#include "fairhole/base/length.h"
#include "words.h"
#include "work_order.h"

namespace fairhole::report {
namespace {

/// Within this of a right angle the part's edges run with the plate's, and each is set from its own.
constexpr double kSquareDeg = 10.0;

/// "12.3 mm from the end edge of left-toe", "0.5 mm beyond ...", "flush with ...".
std::string from_edge(double distance_mm, const char* edge, const std::string& carrier) {
  const int decimals = decimals_for(kSettingSigmaMm);
  const std::string size = format_mm(std::abs(distance_mm), decimals);
  if (size == format_mm(0.0, decimals)) return fmt::format("flush with the {} of {}", edge, carrier);
  return fmt::format("{} mm {} the {} of {}", size, distance_mm > 0.0 ? "from" : "beyond", edge, carrier);
}

bool runs_with(const Eigen::Vector2d& direction, int axis) {
  return std::abs(direction[1 - axis]) < std::sin(Angle::degrees(kSquareDeg).radians());
}

/// "x +0.2, y -0.1 mm off T1's mark", "on T4's mark"; on an old carrier off the middle of the carrier's own
/// hole.
std::string stands_words(const StackPlan& stack, const std::string& joint) {
  Eigen::Vector2d off = Eigen::Vector2d::Zero();
  bool on_old_hole = false;
  for (const LayerPlan& layer : stack.layers) {
    if (layer.joint == joint) off += layer.misfit_mm;
    if (layer.joint.empty() && !layer.new_plate) off -= layer.misfit_mm, on_old_hole = true;
  }
  const std::string from = on_old_hole ? "the middle of hole " + stack.id : stack.id + "'s mark";
  const int decimals = decimals_for(kSettingSigmaMm);
  const std::string none = format_mm(0.0, decimals);
  const auto with_sign = [&](double mm) {
    const std::string size = format_mm(std::abs(mm), decimals);
    return size == none ? size : (mm < 0.0 ? "-" : "+") + size;
  };
  const std::string x = with_sign(off.x()), y = with_sign(off.y());
  if (x == none && y == none) return "on " + from;
  return fmt::format("x {}, y {} mm off {}", x, y, from);
}

}  // namespace

std::string setting_words(const SeatPlan& seat, const JointFindings& joint) {
  const std::string long_edge = joint.long_edge_is_heel ? "heel" : "long datum edge";
  const std::string end =
      joint.datum_end.empty() ? "datum end" : fmt::format("datum end ({})", joint.datum_end);
  const std::string x = from_edge(seat.set_x_mm, "end edge", seat.plate);
  const std::string y = from_edge(seat.set_y_mm, "long datum edge", seat.plate);
  const Eigen::Vector2d direction = seat.plate_from_face.motion.linear().col(0);
  std::string says;
  if (runs_with(direction, 0)) {
    says = fmt::format("Set its {} {}, and its {} {}, both measured at the corner of the two", long_edge, y,
                       end, x);
  } else if (runs_with(direction, 1)) {
    says = fmt::format("Set its {} {}, and its {} {}, both measured at the corner of the two", long_edge, x,
                       end, y);
  } else {
    says = fmt::format("Set the corner of its {} and its {} {}, and {}", end, long_edge, x, y);
  }
  if (const std::string turn = turn_words(seat); turn != "none") says += "; turn it " + turn;
  return says + ".";
}

std::string first_holes_words(const SeatPlan& seat, const Plan& plan) {
  if (seat.locating_a.empty() || seat.locating_b.empty())
    return "It has fewer than two sound holes to hang it on: clamp it, and measure its place again after "
           "every hole.";
  const StackPlan* a = nullptr;
  const StackPlan* b = nullptr;
  for (const StackPlan& stack : plan.stacks) {
    if (stack.plate != seat.plate) continue;
    if (stack.id == seat.locating_a) a = &stack;
    if (stack.id == seat.locating_b) b = &stack;
  }
  const std::string both = fmt::format("Drill and bolt {} and {} first", seat.locating_a, seat.locating_b);
  if (a == nullptr || b == nullptr) return both + ".";
  return fmt::format(
      "{}: {} mm apart. These decide its place: set it so that the middle of its hole stands {}, and {}.",
      both, format_mm((a->centre_mm - b->centre_mm).norm(), 0), stands_words(*a, seat.joint),
      stands_words(*b, seat.joint));
}

}  // namespace fairhole::report
