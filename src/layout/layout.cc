// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/layout/layout.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

#include "fairhole/base/length.h"
#include "fairhole/fits/marking.h"
#include "fairhole/fits/reamers.h"

namespace fairhole {
namespace {

bool is_locating(const Plan& plan, const std::string& plate, const std::string& stack) {
  return std::any_of(plan.seats.begin(), plan.seats.end(), [&](const SeatPlan& seat) {
    return seat.plate == plate && (seat.locating_a == stack || seat.locating_b == stack);
  });
}

bool is_reamed(const StackPlan& stack) {
  return std::any_of(stack.layers.begin(), stack.layers.end(),
                     [](const LayerPlan& layer) { return layer.new_plate && layer.action == "ream"; });
}

/// Finished through an old hole that is left as it is.
bool is_guided(const StackPlan& stack) {
  if (stack.finish != Finish::kInPlace) return false;
  const auto any = [&stack](const char* action) {
    return std::any_of(stack.layers.begin(), stack.layers.end(), [action](const LayerPlan& layer) {
      return !layer.new_plate && layer.action == action;
    });
  };
  return stack.method == Method::kTransfer || (stack.method == Method::kBush && any("leave") && !any("ream"));
}

std::string note_for(const StackPlan& stack) {
  std::string note;
  if (is_guided(stack)) {
    for (const LayerPlan& layer : stack.layers) {
      if (layer.action == "leave") note = fmt::format("through {} of {}", layer.hole, layer.part);
    }
  } else if (stack.finish == Finish::kInPlace) {
    note = "all layers together";
  }
  for (const LayerPlan& layer : stack.layers) {
    const char* const between = note.empty() ? "" : "; ";
    if (layer.action == "plug and re-drill")
      note += fmt::format("{}plug {} of {} first", between, layer.hole, layer.part);
    if (layer.bush_outside_mm)
      note += fmt::format("{}bush {} of {}, {} mm outside", between, layer.hole, layer.part,
                          format_mm(*layer.bush_outside_mm, 2));
  }
  return note;
}

void name_own_reamer(const Catalogue& own, DrillStep& step) {
  if (step.tool != ToolKind::kReamer) return;
  const std::optional<Reamer> reamer = reamer_of_size(step.diameter_mm, own);
  step.at_hand = reamer.has_value();
  if (reamer) step.name = reamer->name;
}

// The passes on the bench and in place.
Result<LaidHole> laid_hole(const StackPlan& stack, const LayoutOptions& options) {
  LaidHole hole;
  hole.id = stack.id;
  hole.centre_mm = stack.centre_mm;
  hole.mark_mm = rounded_mark(stack.centre_mm, options.marks);
  hole.rounding_mm = (hole.mark_mm - hole.centre_mm).norm();
  hole.finish_mm = stack.finish_diameter_mm;
  hole.finish = stack.finish;
  const HoleFinish finish = is_reamed(stack) ? HoleFinish::kReamed : HoleFinish::kDrilled;
  if (stack.finish == Finish::kInPlace) {
    for (const LayerPlan& layer : stack.layers) {
      if (layer.new_plate) hole.pilot_mm = layer.pilot_diameter_mm;
    }
  }
  if (hole.pilot_mm) {
    Result<std::vector<DrillStep>> bench =
        drill_chain(*hole.pilot_mm, HoleFinish::kDrilled, options.drills, options.own.drills);
    if (!bench) return bench.problems();
    const double made = bench->back().diameter_mm;
    Result<std::vector<DrillStep>> in_place =
        opening_chain(made, stack.finish_diameter_mm, finish, options.drills, options.own.drills);
    if (!in_place) return in_place.problems();
    hole.bench_steps = *std::move(bench);
    hole.in_place_steps = *std::move(in_place);
  } else {
    Result<std::vector<DrillStep>> bench =
        drill_chain(stack.finish_diameter_mm, finish, options.drills, options.own.drills);
    if (!bench) return bench.problems();
    hole.bench_steps = *std::move(bench);
  }
  for (std::vector<DrillStep>* steps : {&hole.bench_steps, &hole.in_place_steps}) {
    for (DrillStep& step : *steps) name_own_reamer(options.own, step);
  }
  const PunchMarks marks = punch_marks(hole.finish_mm, hole.bench_steps.front().diameter_mm);
  hole.witness_mm = marks.witness_mm;
  hole.pop_mm = marks.pop_mm;
  hole.odds = stack.odds;
  hole.method = stack.method;
  hole.state = stack.state;
  hole.note = note_for(stack);
  return hole;
}

struct Ordered {
  const StackPlan* stack;
  bool locating;
};

std::vector<Ordered> drilling_order(const Plan& plan, const std::string& plate) {
  std::vector<Ordered> order;
  for (const StackPlan& stack : plan.stacks) {
    if (stack.plate == plate && is_drilled(stack))
      order.push_back({&stack, is_locating(plan, plate, stack.id)});
  }
  const auto key = [](const Ordered& entry) {
    return std::tuple(!entry.locating, entry.stack->finish == Finish::kInPlace, entry.stack->group,
                      entry.stack->centre_mm.x(), entry.stack->centre_mm.y(), entry.stack->id);
  };
  std::sort(order.begin(), order.end(),
            [&key](const Ordered& a, const Ordered& b) { return key(a) < key(b); });
  return order;
}

}  // namespace

Eigen::Vector2d rounded_mark(const Eigen::Vector2d& centre_mm, const MarkOptions& marks) {
  if (marks.step_mm <= 0.0) return centre_mm;
  return (centre_mm / marks.step_mm).array().round() * marks.step_mm;
}

Result<PlateLayout> lay_out(const Assembly& assembly, const Plan& plan, const std::string& plate,
                            const PlateFacts& facts, const LayoutOptions& options) {
  const auto shape = std::find_if(assembly.plates.begin(), assembly.plates.end(),
                                  [&plate](const PlateShape& entry) { return entry.name == plate; });
  if (shape == assembly.plates.end()) {
    return Problem{codes::kLayoutNoPlate, "layout", fmt::format("there is no plate {}", plate),
                   "name one of the job's plates"};
  }
  PlateLayout layout;
  layout.plate = plate;
  layout.hand = facts.hand;
  layout.marked_face = facts.marked_face;
  layout.thickness_mm = shape->thickness_mm;
  layout.material = facts.material;
  layout.outline_mm = shape->outline_mm;
  layout.keep_outs = shape->keep_outs;
  layout.joint_line_mm = facts.joint_line_mm;
  layout.marks = options.marks;
  Problems problems;
  for (const Ordered& entry : drilling_order(plan, plate)) {
    Result<LaidHole> hole = laid_hole(*entry.stack, options);
    if (!hole) {
      for (Problem problem : hole.problems()) {
        problem.where = fmt::format("plate {}: stack {}", plate, entry.stack->id);
        problems.push_back(std::move(problem));
      }
      continue;
    }
    hole->order = static_cast<int>(layout.holes.size()) + 1;
    hole->locating = entry.locating;
    layout.holes.push_back(*std::move(hole));
  }
  if (!problems.empty()) return problems;
  layout.diagonals = check_diagonals(layout.holes, options);
  return layout;
}

}  // namespace fairhole
