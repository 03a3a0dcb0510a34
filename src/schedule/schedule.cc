// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/schedule/schedule.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "design.h"
#include "fairhole/fairing/decision.h"

namespace fairhole {
namespace {

using namespace schedule;

/// What had to be taken because the job does not state it, one sentence a fastener.
std::string assumed_words(const FastenerSpec& spec, const FastenerMaking& making) {
  std::string taken;
  const auto add = [&taken](const std::string& text) { taken += (taken.empty() ? "" : ", ") + text; };
  const bool fitted = is_fitted(spec.kind);
  if (fitted && !making.fit) add(fmt::format("fit {}", kUsualFit));
  if (spec.kind != FastenerKind::kRivet && !making.thread)
    add(fmt::format("{} thread", thread_series(spec.diameter_mm)));
  const bool headed = spec.kind == FastenerKind::kRivet || spec.kind == FastenerKind::kRivetHeadedFittedBolt;
  if (headed && !making.head) add("snap head");
  if (spec.kind == FastenerKind::kRivet && !making.closing_head) add("snap closing head");
  if (spec.kind == FastenerKind::kRivetHeadedFittedBolt &&
      (spec.head_diameter_mm <= 0.0 || !making.head_height_mm))
    add("the head by the rivet's proportions (measure a neighbouring rivet)");
  return taken.empty() ? taken : fmt::format("{}: {} taken, as the job states none.", spec.name, taken);
}

}  // namespace

std::string thread_series(double diameter_mm) {
  constexpr double kSixteenthMm = 25.4 / 16.0;
  constexpr double kSame = 1e-6;  // sizes are typed or converted, never measured
  const auto whole = [](double ratio) { return std::abs(ratio - std::round(ratio)) < kSame; };
  return whole(diameter_mm / kSixteenthMm) && !whole(diameter_mm) ? "BSW" : "metric";
}

const FastenerPiece* FastenerSchedule::piece_of(const HolePlace& place) const {
  for (const FastenerPiece& piece : pieces) {
    for (const std::size_t i : piece.stacks) {
      if (stacks[i].place == place) return &piece;
    }
  }
  return nullptr;
}

const StackFastener* FastenerSchedule::stack_of(const HolePlace& place) const {
  const auto found = std::find_if(stacks.begin(), stacks.end(),
                                  [&](const StackFastener& stack) { return stack.place == place; });
  return found == stacks.end() ? nullptr : &*found;
}

const BushPiece* FastenerSchedule::piece_of_bush(std::size_t bush) const {
  for (const BushPiece& piece : bush_pieces) {
    if (std::find(piece.bushes.begin(), piece.bushes.end(), bush) != piece.bushes.end()) return &piece;
  }
  return nullptr;
}

FastenerSchedule schedule_fasteners(const Assembly& assembly, const Plan& plan,
                                    const ScheduleOptions& options) {
  const Catalogue& catalogue = options.catalogue != nullptr ? *options.catalogue : standard_catalogue();
  FastenerSchedule schedule;
  schedule.thickness_within_mm = options.thickness_within_mm;
  schedule.turning_mm = options.turning_mm;
  bool usual_bush_fit = false;
  for (const StackPlan& entry : plan.stacks) {
    const Stack* stack = stack_of(assembly, entry);
    if (stack == nullptr || entry.method == Method::kLeaveOut) continue;
    const auto found = options.making.find(stack->fastener.name);
    const FastenerMaking making = found != options.making.end() ? found->second : FastenerMaking{};
    schedule.stacks.push_back(design_fastener(*stack, entry, making, options, catalogue));
    const std::string words = assumed_words(stack->fastener, making);
    if (!words.empty() &&
        std::find(schedule.assumed.begin(), schedule.assumed.end(), words) == schedule.assumed.end())
      schedule.assumed.push_back(words);
    const std::vector<LayerBush> bushes =
        design_bushes(entry, schedule.stacks.back(), making, schedule.stacks.size() - 1, options);
    schedule.bushes.insert(schedule.bushes.end(), bushes.begin(), bushes.end());
    usual_bush_fit |= !bushes.empty() && !making.bush_fit;
  }
  if (usual_bush_fit)
    schedule.assumed.push_back(fmt::format("Bushes: fit {} in their seats.", kUsualBushFit));
  if (!schedule.bushes.empty())
    schedule.assumed.emplace_back("Bushes: of steel in steel, with metal of three diameters round the seat.");
  make_pieces(options, catalogue, schedule);
  return schedule;
}

}  // namespace fairhole
