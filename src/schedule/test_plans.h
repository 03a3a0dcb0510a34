// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/schedule/schedule.h"

/// Plans for the tests of the schedule, made without a fairing.
namespace fairhole::schedule_test {

inline constexpr double kMm = 1e-6;  // sizes are sums of a few terms

/// An assembly and its plan, stack by stack.
struct Made {
  Assembly assembly;
  Plan plan;
};

inline FastenerSpec spec(FastenerKind kind, double diameter_mm) {
  FastenerSpec made;
  made.name = fastener_name(kind);
  made.kind = kind;
  made.diameter_mm = diameter_mm;
  made.clearance_mm = kind == FastenerKind::kRivet || kind == FastenerKind::kClearanceBolt ? 1.5875 : 0.0;
  return made;
}

/// One stack through a plate of 12 mm and old parts of these thicknesses, all to one finish diameter.
inline StackPlan& add_stack(Made& made, const FastenerSpec& fastener, double finish_mm,
                            const std::vector<double>& old_mm, Method method = Method::kOpenOut) {
  Stack stack;
  stack.id = "H" + std::to_string(made.plan.stacks.size() + 1);
  stack.plate = "left";
  stack.nominal_mm = {60.0 * static_cast<double>(made.plan.stacks.size()) + 60.0, 100.0};
  stack.fastener = fastener;
  stack.plate_thickness_mm = 12.0;
  StackPlan plan;
  plan.id = stack.id;
  plan.plate = stack.plate;
  plan.centre_mm = plan.nominal_mm = stack.nominal_mm;
  plan.method = method;
  plan.finish_diameter_mm = finish_mm;
  LayerPlan carrier;
  carrier.new_plate = true;
  carrier.thickness_mm = 12.0;
  carrier.finish_diameter_mm = finish_mm;
  plan.layers.push_back(carrier);
  for (std::size_t i = 0; i < old_mm.size(); ++i) {
    OldLayer layer;
    layer.part = "part " + std::to_string(i + 1);
    layer.hole = "A1";
    layer.thickness_mm = old_mm[i];
    layer.on_marked_face = i % 2 == 0;
    stack.layers.push_back(layer);
    LayerPlan planned = carrier;
    planned.new_plate = false;
    planned.part = layer.part;
    planned.hole = layer.hole;
    planned.thickness_mm = old_mm[i];
    plan.layers.push_back(planned);
  }
  made.assembly.stacks.push_back(stack);
  made.plan.stacks.push_back(plan);
  return made.plan.stacks.back();
}

inline FastenerSchedule scheduled(const Made& made, const FastenerMaking& making = {}) {
  ScheduleOptions options;
  for (const Stack& stack : made.assembly.stacks) options.making[stack.fastener.name] = making;
  return schedule_fasteners(made.assembly, made.plan, options);
}

inline const FastenerSpec kFitted = spec(FastenerKind::kFittedBolt, 22.0);

}  // namespace fairhole::schedule_test
