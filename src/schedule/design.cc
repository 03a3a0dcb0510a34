// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "design.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "fairhole/base/length.h"
#include "fairhole/fairing/decision.h"
#include "fairhole/fits/clearance.h"
#include "fairhole/fits/fit.h"

namespace fairhole::schedule {
namespace {

using fasteners::Kind;

constexpr double kSameMm = 0.01;
constexpr double kSameRoomMm = 0.05;  // a hole is not known closer

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

bool is_threaded(const OldLayer& layer) {
  return layer.form == HoleForm::kTapped || layer.form == HoleForm::kBlind;
}

/// The layer whose thread holds the bolt; null where a nut does.
const OldLayer* threaded_layer(const Stack& stack) {
  const auto found = std::find_if(stack.layers.begin(), stack.layers.end(), is_threaded);
  return found == stack.layers.end() ? nullptr : &*found;
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
    if (is_threaded(stack.layers[old])) continue;  // it holds the bolt; it is not gripped
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

const fasteners::TappedHole* thread_of(const OldLayer& layer, const TappedHoles& tapped) {
  const auto found = tapped.find({layer.part, layer.face, layer.hole});
  return found == tapped.end() ? nullptr : &found->second;
}

/// Why no length can be given; empty when it can.
std::string what_is_open(const Stack& stack, const StackPlan& plan, const TappedHoles& tapped,
                         const std::vector<fasteners::GripLayer>& layers) {
  if (plan.method == Method::kUndecided) return "The hole is not decided yet.";
  if (const OldLayer* layer = threaded_layer(stack)) {
    if (std::count_if(stack.layers.begin(), stack.layers.end(), is_threaded) > 1)
      return "Two holes of the stack are tapped or blind: one bolt cannot serve both.";
    if (thread_of(*layer, tapped) != nullptr) return {};
    return fmt::format(
        "Hole {} of {} is {}: the bolt's length hangs on its thread and depth; state \"thread\" and "
        "\"thread_depth\" of the hole.",
        layer->hole, layer->part, layer->form == HoleForm::kTapped ? "tapped" : "blind");
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

/// More room round a bolt than its head covers: a washer under it, which counts in its lengths.
void cover_wide_hole(const FastenerSpec& spec, const Thread& thread, StackFastener& made,
                     fasteners::BoltRules& rules) {
  const double room_mm = made.finish_mm - thread.major_mm;
  if (room_mm <= std::max(spec.clearance_mm, normal_clearance_mm(thread.major_mm)) + kSameRoomMm) return;
  rules.washer_under_head = true;
  made.notes.push_back(fmt::format("The hole leaves {} mm round a {} bolt: with a washer under the head.",
                                   format_mm(room_mm, 1), thread.name()));
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
    cover_wide_hole(spec, *thread, made, order.rules);
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

/// A bolt into a thread passes its plate with room; the thread keeps its place. So it has no fit, and the
/// thread's own size.
void design_screw(const Stack& stack, const fasteners::TappedHole& hole, const FastenerMaking& making,
                  const Catalogue& catalogue, StackFastener& made) {
  constexpr double kUnderNominalMm = 0.1;  // what a shank may be small that fills nothing
  const Result<Thread> thread = thread_named(catalogue, hole.thread);
  fasteners::BoltOrder order;
  if (made.kind == Kind::kFittedBolt) made.kind = Kind::kClearanceBolt;
  made.fit.clear();
  made.own_bore = false;
  if (thread && thread->major_mm > made.finish_mm + kSameMm) {
    made.open = fmt::format("Thread {} does not pass the plate's hole of {} mm.", thread->name(),
                            format_mm(made.finish_mm, 2));
    return;
  }
  order.stack = {place_name(made.place), made.layers};
  order.kind = made.kind;
  order.nominal_mm = thread ? thread->major_mm : stack.fastener.diameter_mm;
  order.shank = {nanometres(order.nominal_mm - kUnderNominalMm), nanometres(order.nominal_mm)};
  order.rules.washer_mm = making.washer_mm;
  order.rules.washer_under_head = making.washer_under_head;
  if (thread && made.kind == Kind::kClearanceBolt)
    cover_wide_hole(stack.fastener, *thread, made, order.rules);
  if (made.kind == Kind::kRivetHeadedBolt) {
    const Result<fasteners::HeadSize> head = rivet_head(stack.fastener, making, catalogue);
    if (head) order.head = *head;
    order.flat_from_axis_mm = making.flat_from_axis_mm;
  }
  const Result<fasteners::BoltDesign> bolt = design_bolt_into(hole, order, catalogue);
  if (!bolt) {
    made.open = sentence_of(bolt.problems());
    return;
  }
  made.bolt = *bolt;
  made.notes.insert(made.notes.end(), bolt->notes.begin(), bolt->notes.end());
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
                              const ScheduleOptions& options, const Catalogue& catalogue) {
  StackFastener made;
  made.place = {plan.plate, plan.id};
  made.name = stack.fastener.name;
  made.kind = kind_of(stack.fastener.kind);
  made.finish_mm = plan.finish_diameter_mm;
  const OldLayer* threaded = threaded_layer(stack);
  const bool head_on_marked = threaded != nullptr ? !threaded->on_marked_face : making.head_on_marked_face;
  made.layers = grip_layers(stack, plan, head_on_marked, options.thickness_within_mm);
  if (is_fitted(stack.fastener.kind)) made.fit = making.fit.value_or(kUsualFit);
  made.own_bore = is_fitted(stack.fastener.kind) && plan.method == Method::kTransfer;
  made.open = what_is_open(stack, plan, options.tapped, made.layers);
  if (!made.open.empty()) return made;
  if (threaded != nullptr) {
    design_screw(stack, *thread_of(*threaded, options.tapped), making, catalogue, made);
    return made;
  }
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
