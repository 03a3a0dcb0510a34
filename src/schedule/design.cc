// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "design.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "fairhole/base/length.h"
#include "fairhole/fairing/decision.h"
#include "fairhole/fits/fit.h"

namespace fairhole::schedule {
namespace {

using fasteners::Kind;

constexpr double kSameMm = 0.01;

Kind kind_of(FastenerKind kind) {
  switch (kind) {
    case FastenerKind::kRivet:
      return Kind::kHotRivet;
    case FastenerKind::kRivetHeadedFittedBolt:
      return Kind::kRivetHeadedBolt;
    case FastenerKind::kFittedBolt:
      return Kind::kFittedBolt;
    case FastenerKind::kClearanceBolt:
      break;
  }
  return Kind::kClearanceBolt;
}

/// Head first. Packing is put before the last layer, wherever it really lies: the shank then reaches through
/// it and the last layer, which is right for every place but under the nut, and there only longer than need
/// be.
std::vector<fasteners::GripLayer> grip_layers(const Stack& stack, const StackPlan& plan, bool head_on_marked,
                                              double within_mm) {
  std::vector<fasteners::GripLayer> near, carrier, far;
  for (std::size_t i = 0; i < plan.layers.size(); ++i) {
    const LayerPlan& layer = plan.layers[i];
    if (layer.new_plate) {
      carrier.push_back({stack.plate, layer.thickness_mm, within_mm});
      continue;
    }
    const std::size_t old = i - (plan.layers.size() - stack.layers.size());
    auto& side = stack.layers[old].on_marked_face == head_on_marked ? near : far;
    side.push_back({layer.part, layer.thickness_mm, within_mm});
  }
  std::vector<fasteners::GripLayer> all = near;
  all.insert(all.end(), carrier.begin(), carrier.end());
  all.insert(all.end(), far.begin(), far.end());
  if (stack.packing_mm > 0.0 && !all.empty())
    all.insert(all.end() - 1, {"packing", stack.packing_mm, within_mm, true});
  return all;
}

/// Why no length can be given; empty when it can.
std::string what_is_open(const Stack& stack, const StackPlan& plan,
                         const std::vector<fasteners::GripLayer>& layers) {
  if (plan.method == Method::kUndecided) return "The hole is not decided yet.";
  for (const OldLayer& layer : stack.layers) {
    if (layer.form != HoleForm::kTapped && layer.form != HoleForm::kBlind) continue;
    return fmt::format(
        "Hole {} of {} is {}: the bolt's length hangs on its thread and depth, which the job does not hold.",
        layer.hole, layer.part, layer.form == HoleForm::kTapped ? "tapped" : "blind");
  }
  if (layers.size() < 2) {
    return fmt::format(
        "Only {} is known in the grip: say what else the fastener holds, as \"packing\" of the hole group.",
        layers.empty() ? "nothing" : layers.front().part);
  }
  return {};
}

/// Shank limits of a fitted bolt in its hole.
Result<SizeLimits> fitted_shank(double finish_mm, const std::string& fit) {
  const Result<FitRequest> request = parse_fit(fmt::format("{} mm {}", finish_mm, fit));
  if (!request) return request.problems();
  if (!request->shaft) {
    return Problem{codes::kFitNoShaft, "", fmt::format("\"{}\" has no shaft class", fit),
                   "write both classes, as H7/k6"};
  }
  return limits_of(*request->shaft, finish_mm);
}

/// A bolt in a clearance hole is the largest there is a nut for.
Result<Thread> clearance_thread(const std::string& series, double shank_mm, const Catalogue& catalogue) {
  Result<Thread> thread = largest_thread(catalogue, series, shank_mm + kSameMm);
  while (thread && !hexagon_for(catalogue, hexagon_series_of(series), thread->major_mm))
    thread = largest_thread(catalogue, series, thread->major_mm - kSameMm);
  return thread;
}

bool is_series(const std::string& text, const Catalogue& catalogue) {
  return std::any_of(catalogue.threads.begin(), catalogue.threads.end(),
                     [&](const Thread& thread) { return thread.series == text; });
}

/// The head of the neighbouring rivets: as the job gives it, else by the proportions of the rivet that the
/// bolt stands for. An oversize shank keeps it, so that all heads look alike.
Result<fasteners::HeadSize> rivet_head(const FastenerSpec& spec, const FastenerMaking& making,
                                       const Catalogue& catalogue) {
  const Result<RivetHead> named = head_named(catalogue, making.head.value_or(kUsualHead));
  if (!named) return named.problems();
  fasteners::HeadSize head = fasteners::head_of_rivet(*named, spec.diameter_mm);
  if (spec.head_diameter_mm > 0.0) head.diameter_mm = spec.head_diameter_mm;
  if (making.head_height_mm) head.height_mm = *making.head_height_mm;
  return head;
}

Problems order_bolt(const Stack& stack, const FastenerMaking& making, const Catalogue& catalogue,
                    double shank_mm, StackFastener& made, fasteners::BoltOrder& order) {
  const FastenerSpec& spec = stack.fastener;
  order.stack = {place_name(made.place), made.layers};
  order.kind = made.kind;
  order.nominal_mm = shank_mm;
  order.rules.washer_mm = making.washer_mm;
  order.rules.washer_under_head = making.washer_under_head;
  order.rules.lock_nut = making.lock_nut;
  const bool by_series = making.thread && is_series(*making.thread, catalogue);
  if (making.thread && !by_series) order.rules.thread = making.thread;
  order.rules.thread_series = by_series ? *making.thread : thread_series(spec.diameter_mm);
  if (made.kind == Kind::kClearanceBolt) {
    const Result<Thread> thread = order.rules.thread
                                      ? thread_named(catalogue, *order.rules.thread)
                                      : clearance_thread(order.rules.thread_series, shank_mm, catalogue);
    if (!thread) return thread.problems();
    order.rules.thread = thread->name();
    order.nominal_mm = thread->major_mm;
    order.shank = {nanometres(thread->major_mm), nanometres(thread->major_mm)};
    const double room_mm = made.finish_mm - thread->major_mm;
    if (room_mm > spec.clearance_mm + 0.05) {
      made.notes.push_back(fmt::format("The hole leaves {} mm round a {} bolt: put a washer under the head.",
                                       format_mm(room_mm, 1), thread->name()));
    }
    return {};
  }
  const Result<SizeLimits> shank = fitted_shank(shank_mm, making.fit.value_or(kUsualFit));
  if (!shank) return shank.problems();
  order.shank = *shank;
  if (made.kind != Kind::kRivetHeadedBolt) return {};
  const Result<fasteners::HeadSize> head = rivet_head(spec, making, catalogue);
  if (!head) return head.problems();
  order.head = *head;
  order.flat_from_axis_mm = making.flat_from_axis_mm;
  return {};
}

void design_rivet_for(const StackPlan& plan, const FastenerMaking& making, const Catalogue& catalogue,
                      double rivet_mm, StackFastener& made) {
  constexpr double kDrillsLargeMm = 0.2;  // by which a drill cuts over its size; common practice, no source
  double largest_mm = plan.finish_diameter_mm;
  for (const LayerPlan& layer : plan.layers) largest_mm = std::max(largest_mm, layer.finish_diameter_mm);
  const Result<fasteners::RivetDesign> rivet =
      fasteners::design_rivet({{place_name(made.place), made.layers},
                               rivet_mm,
                               plan.finish_diameter_mm,
                               largest_mm + kDrillsLargeMm,
                               making.head.value_or(kUsualHead),
                               making.closing_head.value_or(kUsualHead)},
                              catalogue);
  if (!rivet) {
    made.open = sentence_of(rivet.problems());
    return;
  }
  made.rivet = *rivet;
  made.notes = rivet->notes;
  const bool stocked = std::any_of(catalogue.rivets.begin(), catalogue.rivets.end(), [&](const RivetSize& r) {
    return std::abs(r.diameter_mm - rivet_mm) < kSameMm;
  });
  if (!stocked)
    made.notes.push_back(
        fmt::format("No rivet of {} mm is in the catalogue: ask for it.", format_mm(rivet_mm, 2)));
}

}  // namespace

std::string sentence_of(const Problems& problems) {
  std::string text;
  for (const Problem& problem : problems) {
    if (!text.empty()) text += " ";
    text += fmt::format("{}: {}; {}.", code_name(problem.code), problem.what, problem.remedy);
  }
  return text;
}

std::string place_name(const HolePlace& place) { return place.plate + ", " + place.id; }

const Stack* stack_of(const Assembly& assembly, const StackPlan& plan) {
  const auto found = std::find_if(assembly.stacks.begin(), assembly.stacks.end(), [&](const Stack& stack) {
    return stack.plate == plan.plate && stack.id == plan.id;
  });
  return found == assembly.stacks.end() ? nullptr : &*found;
}

double shank_wanted_mm(const Stack& stack, const StackPlan& plan) {
  const FastenerSpec& spec = stack.fastener;
  if (plan.method == Method::kClear) return spec.diameter_mm;
  if (is_fitted(spec.kind)) return plan.finish_diameter_mm;
  return plan.method == Method::kTransfer ? spec.diameter_mm : plan.finish_diameter_mm - spec.clearance_mm;
}

StackFastener design_fastener(const Stack& stack, const StackPlan& plan, const FastenerMaking& making,
                              double thickness_within_mm, const Catalogue& catalogue) {
  StackFastener made;
  made.place = {plan.plate, plan.id};
  made.name = stack.fastener.name;
  made.kind = kind_of(stack.fastener.kind);
  made.finish_mm = plan.finish_diameter_mm;
  made.layers = grip_layers(stack, plan, making.head_on_marked_face, thickness_within_mm);
  if (is_fitted(stack.fastener.kind)) made.fit = making.fit.value_or(kUsualFit);
  made.own_bore = is_fitted(stack.fastener.kind) && plan.method == Method::kTransfer;
  made.open = what_is_open(stack, plan, made.layers);
  if (!made.open.empty()) return made;
  const double shank_mm = shank_wanted_mm(stack, plan);
  if (made.kind == Kind::kHotRivet) {
    design_rivet_for(plan, making, catalogue, shank_mm, made);
    return made;
  }
  fasteners::BoltOrder order;
  if (const Problems problems = order_bolt(stack, making, catalogue, shank_mm, made, order);
      !problems.empty()) {
    made.open = sentence_of(problems);
    return made;
  }
  const Result<fasteners::BoltDesign> bolt = design_bolt(order, catalogue);
  if (!bolt) {
    made.open = sentence_of(bolt.problems());
    return made;
  }
  made.bolt = *bolt;
  made.notes.insert(made.notes.end(), bolt->notes.begin(), bolt->notes.end());
  return made;
}

}  // namespace fairhole::schedule
