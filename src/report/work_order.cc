// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "work_order.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "fairhole/base/length.h"
#include "words.h"

namespace fairhole::report {
namespace {

/// Any size that is neither bought nor of the shop's own is set on an adjustable reamer.
std::string reamer_words(const DrillStep& step) {
  if (step.at_hand || is_bought_size(step.diameter_mm)) return "reamer " + step.name;
  return fmt::format("adjustable reamer, {} mm", found_mm(step.diameter_mm));
}

std::vector<std::string> ids_where(const PlateLayout& layout, auto&& keep) {
  std::vector<std::string> ids;
  for (const LaidHole& hole : layout.holes) {
    if (keep(hole)) ids.push_back(hole.id);
  }
  return ids;
}

std::string together_words(const DrilledWith& with) {
  const std::string holes = with.ids.size() > 6
                                ? fmt::format("the {} holes that both plates have", with.ids.size())
                                : list_words(with.ids);
  return fmt::format(
      "Drilled together with {}: mark {} out on one of the two only, clamp the plates {}, and pilot both at "
      "once with the "
      "smaller of their two pilots. Take them apart before any hole is finished: each has its own size.",
      with.plate, holes,
      with.other_hand ? "back to back, as they stand on the machine"
                      : "one on the other, marked faces the same way");
}

}  // namespace

bool takes_old_size(const LaidHole& hole) {
  return hole.method == Method::kTransfer && hole.finish == Finish::kInPlace;
}

std::string hole_summary(const PlateLayout& layout) {
  std::map<Finish, std::vector<const LaidHole*>> kinds;
  std::vector<const LaidHole*> through;  // each finished to its own old hole: the sizes are what was found
  for (const LaidHole& hole : layout.holes) {
    (takes_old_size(hole) ? through : kinds[hole.finish]).push_back(&hole);
  }
  std::vector<std::string> parts;
  for (const auto& [finish, holes] : kinds) {
    std::map<double, std::size_t> sizes;
    for (const LaidHole* hole : holes) ++sizes[hole->finish_mm];
    const char* how = finish == Finish::kInPlace ? "finished in place at"
                      : finish == Finish::kBench ? "drilled on the bench at"
                                                 : "left at";
    for (const auto& [size, count] : sizes)
      parts.push_back(fmt::format("{} {} {} mm", count, how, size_mm(size)));
  }
  if (!through.empty()) {
    const auto [least, most] =
        std::minmax_element(through.begin(), through.end(),
                            [](const LaidHole* a, const LaidHole* b) { return a->finish_mm < b->finish_mm; });
    parts.push_back(
        fmt::format("{} finished through the old holes ({})", through.size(),
                    range_words(found_mm((*least)->finish_mm), found_mm((*most)->finish_mm), " mm")));
  }
  std::string text = count_words(layout.holes.size(), "hole", "holes");
  if (!parts.empty()) text += ": " + list_words(parts);
  return text + ".";
}

std::vector<std::string> order_of_work(const PlateLayout& layout, const std::vector<SeatPlan>& seats) {
  std::vector<std::string> steps;
  std::string face = layout.marked_face.empty() ? std::string("marked") : layout.marked_face;
  steps.push_back(
      fmt::format("Check that this is the {} plate and that its {} face is towards you, datum corner at "
                  "the lower left. Whiten it.",
                  layout.hand.empty() ? layout.plate : layout.hand, face));
  steps.emplace_back(
      "Mark out from the two datum edges, every figure from the edge itself, never from hole to hole.");
  if (!layout.diagonals.empty()) {
    steps.emplace_back(
        "Measure the check diagonals. If one is out by more than its tolerance, find the mistake "
        "before you punch.");
  }
  steps.emplace_back("Punch each centre and scribe its witness circle.");
  if (layout.drilled_with) steps.push_back(together_words(*layout.drilled_with));
  const auto first = ids_where(layout, [](const LaidHole& h) { return h.locating; });
  if (!first.empty()) steps.push_back(fmt::format("Drill {} first.", list_words(first)));
  const bool sits =
      std::any_of(seats.begin(), seats.end(), [&](const SeatPlan& s) { return s.plate == layout.plate; });
  if (sits) {
    steps.emplace_back(
        "Set each part as the table says and clamp it; their places belong together, so shift none alone to "
        "suit a hole. Drill its two first holes through, bolt them up, and measure its place again before "
        "the rest.");
  }
  const auto doubtful = ids_where(
      layout, [](const LaidHole& h) { return h.state == State::kLookAgain || h.state == State::kUndecided; });
  if (!doubtful.empty()) {
    steps.push_back(fmt::format("Look again at {} before a drill touches {}.", list_words(doubtful),
                                doubtful.size() == 1 ? "it" : "them"));
  }
  steps.emplace_back("Drill the rest on the bench, up in steps, in the order of the table.");
  const auto bushed = ids_where(layout, [](const LaidHole& h) { return h.method == Method::kBush; });
  if (!bushed.empty()) {
    steps.push_back(fmt::format(
        "Bushes at {}: with all parts clamped cut each seat true with its pilot, or with the old hole that "
        "the table drills it through; take that part off, press the bush in, clamp again and bore it with "
        "the "
        "rest.",
        list_words(bushed)));
  }
  const auto in_place = ids_where(layout, [](const LaidHole& h) { return h.finish == Finish::kInPlace; });
  if (!in_place.empty()) {
    steps.push_back(fmt::format(
        "With all parts clamped and on service bolts, finish {} in place: open out in steps, "
        "ream last. Never drift a hole that is not fair.",
        in_place.size() > 6 ? fmt::format("the {} holes so marked", in_place.size()) : list_words(in_place)));
  }
  steps.emplace_back("Take the parts apart, deburr between the layers, clean and bolt up.");
  return steps;
}

std::string steps_words(const std::vector<DrillStep>& steps) {
  std::string text;
  for (const DrillStep& step : steps) {
    if (!text.empty()) text += ", ";
    text += step.tool == ToolKind::kReamer ? reamer_words(step) : step.name;
  }
  return text;
}

std::string turn_words(const SeatPlan& seat) {
  constexpr double kOverMm = 500.0;
  const double rise_mm = std::abs(std::tan(seat.turn.radians())) * kOverMm;
  const int decimals = decimals_for(kSettingSigmaMm);
  const std::string rise = format_mm(rise_mm, decimals);
  if (rise == format_mm(0.0, decimals)) return "none";
  return fmt::format("{}, {} mm in {} mm", seat.turn.radians() > 0.0 ? "anticlockwise" : "clockwise", rise,
                     kOverMm);
}

}  // namespace fairhole::report
