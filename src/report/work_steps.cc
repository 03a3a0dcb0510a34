// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <functional>

#include "fairhole/base/length.h"
#include "fairhole/report/fastener_sheets.h"
#include "fairhole/report/work_order_sheets.h"
#include "words.h"
#include "work_order.h"

namespace fairhole {
namespace {

using namespace report;
using fasteners::Kind;

std::string ids_of(const PlateLayout& layout, const std::vector<std::string>& ids) {
  std::vector<HolePlace> places;
  for (const std::string& id : ids) places.push_back({layout.plate, id});
  return ids.empty() ? "" : places_words(places).substr(layout.plate.size() + 2);
}

std::vector<std::string> where(const PlateLayout& layout, const std::function<bool(const LaidHole&)>& keep) {
  std::vector<std::string> ids;
  for (const LaidHole& hole : layout.holes) {
    if (keep(hole)) ids.push_back(hole.id);
  }
  std::sort(ids.begin(), ids.end(), [](const std::string& a, const std::string& b) {
    return std::pair(a.size(), a) < std::pair(b.size(), b);
  });
  return ids;
}

/// "6 mm, 13 mm, 17.5 mm: T1 to T4", a line for each chain of tools.
std::vector<std::string> by_chain(const PlateLayout& layout, bool in_place,
                                  const std::function<bool(const LaidHole&)>& keep) {
  std::vector<std::pair<std::string, std::vector<std::string>>> chains;
  for (const LaidHole& hole : layout.holes) {
    const std::string chain = steps_words(in_place ? hole.in_place_steps : hole.bench_steps);
    if (!keep(hole) || chain.empty()) continue;
    auto known = std::find_if(chains.begin(), chains.end(), [&](const auto& c) { return c.first == chain; });
    if (known == chains.end()) known = chains.insert(chains.end(), {chain, {}});
    known->second.push_back(hole.id);
  }
  std::vector<std::string> lines;
  for (auto& [chain, ids] : chains) {
    std::sort(ids.begin(), ids.end(), [](const std::string& a, const std::string& b) {
      return std::pair(a.size(), a) < std::pair(b.size(), b);
    });
    lines.push_back(fmt::format("{}: {}.", ids_of(layout, ids), chain));
  }
  return lines;
}

bool in_place(const LaidHole& hole) { return hole.finish == Finish::kInPlace; }

std::vector<std::string> of_kind(const PlateLayout& layout, const FastenerSchedule& schedule,
                                 const std::function<bool(Kind)>& keep) {
  return where(layout, [&](const LaidHole& hole) {
    const StackFastener* fastener = schedule.stack_of({layout.plate, hole.id});
    return fastener != nullptr && keep(fastener->kind);
  });
}

void mark_out(const PlateLayout& layout, std::vector<WorkStep>& steps) {
  const std::string face = layout.marked_face.empty() ? "marked" : layout.marked_face;
  steps.push_back(
      {"Make ready",
       {fmt::format("The {} plate, its {} face up, datum corner at the lower left. Whiten it. Clean the old "
                    "parts' faces and holes.",
                    layout.hand.empty() ? layout.plate : layout.hand, face)},
       "Old paint is often lead: do not burn, grind or dry-sand it without protection."});
  steps.push_back(
      {"Mark out",
       {"From the two datum edges, every figure of the drilling sheet from the edge itself, never from hole "
        "to hole."},
       ""});
  if (!layout.diagonals.empty()) {
    std::string text = "Before you punch:";
    for (const CheckDiagonal& d : layout.diagonals)
      text += fmt::format(" {} to {} {} \u00b1 {} mm;", d.from, d.to, format_mm(d.length_mm, 1),
                          format_mm(d.tolerance_mm, 1));
    text.back() = '.';
    steps.push_back({"Check diagonals", {text}, ""});
  }
  steps.push_back({"Pop and scribe", {"Punch each centre; scribe its witness circle."}, ""});
}

void on_the_bench(const PlateLayout& layout, std::vector<WorkStep>& steps) {
  const char* const breaks =
      "A drill that breaks through snatches: clamp the work. Swarf cuts: goggles, and a brush, not a hand.";
  const std::vector<std::string> pilots = by_chain(layout, false, in_place);
  if (!pilots.empty()) steps.push_back({"Pilot on the bench", pilots, breaks});
  const std::vector<std::string> whole =
      by_chain(layout, false, [](const LaidHole& h) { return !in_place(h); });
  if (!whole.empty()) steps.push_back({"Drill to size on the bench", whole, pilots.empty() ? breaks : ""});
  steps.push_back(
      {"Check back, stage pilot",
       {"Deburr both faces. Measure the holes again and run check-back. Open out no hole that is not "
        "conforming; do first what it says."},
       ""});
}

std::vector<std::string> locating(const SeatPlan& seat) {
  std::vector<std::string> ids;
  for (const std::string& id : {seat.locating_a, seat.locating_b}) {
    if (!id.empty()) ids.push_back(id);
  }
  return ids;
}

/// A plug stands before anything near it is drilled.
void plugs(const PlateLayout& layout, std::vector<WorkStep>& steps) {
  std::vector<std::string> noted;
  for (const LaidHole& hole : layout.holes) {
    if (hole.method == Method::kPlug) noted.push_back(fmt::format("{}: {}.", hole.id, hole.note));
  }
  if (!noted.empty())
    steps.push_back(
        {"Plugs", noted, "Plugging and welding in a carrying structure are for a competent person."});
}

void set_parts(const PlateLayout& layout, const std::vector<SeatPlan>& seats, std::vector<WorkStep>& steps) {
  WorkStep step{
      "Set the parts and bolt up", {}, "Hung parts kill. Prop every part; never stand or reach under one."};
  for (const SeatPlan& seat : seats) {
    if (seat.plate != layout.plate) continue;
    const std::vector<std::string> ids = locating(seat);
    step.words.push_back(fmt::format(
        "{}: as the drilling sheet says{}.", seat.part,
        ids.empty()
            ? "; clamp it"
            : fmt::format("; clamp, drill {} through first and put service bolts in", list_words(ids))));
  }
  if (step.words.empty()) return;
  step.words.emplace_back(
      "Measure every place again. Then service bolts in every third hole of each row, its ends first, before "
      "any hole "
      "is opened out; move them as the work goes on.");
  steps.push_back(step);
}

void bushes(const PlateLayout& layout, const FastenerSchedule& schedule, std::vector<WorkStep>& steps) {
  std::vector<std::string> words;
  for (std::size_t i = 0; i < schedule.bushes.size(); ++i) {
    const LayerBush& bush = schedule.bushes[i];
    const HolePlace& place = schedule.stacks[bush.stack].place;
    if (place.plate != layout.plate) continue;
    const BushPiece* piece = schedule.piece_of_bush(i);
    words.push_back(fmt::format("{}: {}{} of {}, seat {} mm {}.", place.id,
                                piece != nullptr ? piece->mark + " in " : "", bush.hole, bush.part,
                                format_mm(bush.seat_mm, 1), bush.seat_class));
  }
  if (words.empty()) return;
  words.emplace_back(
      "All parts clamped, cut each seat true with its pilot, or with the old hole that the drilling sheet "
      "drills it through. Take that part off, press the bush in, clamp again. Its bore is finished with the "
      "rest.");
  steps.push_back({"Bushes", words, ""});
}

void in_the_machine(const PlateLayout& layout, const FastenerSchedule& schedule,
                    std::vector<WorkStep>& steps) {
  const auto through = by_chain(layout, true, [](const LaidHole& h) { return takes_old_size(h); });
  if (!through.empty()) {
    std::vector<std::string> words{
        "The old hole is the jig; its part clamped home, the tool square to the plate."};
    words.insert(words.end(), through.begin(), through.end());
    steps.push_back({"Finish through the old part", words, ""});
  }
  const auto opened =
      by_chain(layout, true, [](const LaidHole& h) { return in_place(h) && !takes_old_size(h); });
  if (!opened.empty()) {
    std::vector<std::string> words{
        "All layers together, up in steps, the reamer last, by hand or slow. Never drift a "
        "hole that is not fair."};
    words.insert(words.end(), opened.begin(), opened.end());
    steps.push_back({"Open out and ream in place", words, ""});
  }
  std::vector<std::string> apart{"Deburr between the layers, clean the faces of swarf, bolt up again."};
  for (const LaidHole& hole : layout.holes) {
    const StackFastener* made = schedule.stack_of({layout.plate, hole.id});
    if (made == nullptr || !made->bolt || !made->bolt->into_thread) continue;
    for (const std::string& note : made->bolt->notes) apart.push_back(hole.id + ": " + note);
  }
  steps.push_back({"Take apart, deburr", apart, ""});
}

void fasten(const PlateLayout& layout, const FastenerSchedule& schedule, std::vector<WorkStep>& steps) {
  const auto fitted =
      of_kind(layout, schedule, [](Kind k) { return k == Kind::kFittedBolt || k == Kind::kRivetHeadedBolt; });
  const auto rivets = of_kind(layout, schedule, [](Kind k) { return k == Kind::kHotRivet; });
  const auto clear = of_kind(layout, schedule, [](Kind k) { return k == Kind::kClearanceBolt; });
  steps.push_back(
      {"Check back, stage finished",
       {fmt::format("Gauge every bore twice, measure the places, run check-back with --record.{}",
                    fitted.empty() ? "" : " It gives each fitted bolt its shank: turn them now.")},
       ""});
  if (!fitted.empty()) {
    const auto first = where(layout, [&](const LaidHole& hole) {
      return hole.locating && std::find(fitted.begin(), fitted.end(), hole.id) != fitted.end();
    });
    steps.push_back(
        {"Fit the bolts",
         {fmt::format("{}{}. One at a time in place of its service bolt, each in the hole it was turned for, "
                      "oiled, driven home lightly; nut up.",
                      first.empty() ? "" : ids_of(layout, first) + " first; then the rest of ",
                      ids_of(layout, fitted))},
         ""});
  }
  if (!rivets.empty()) {
    steps.push_back(
        {"Rivet",
         {fmt::format("{}. Two or three trial rivets first. Plies drawn tight by service bolts beside the "
                      "rivet; from the middle of each row outwards, by turns.",
                      ids_of(layout, rivets))},
         "Hot rivets and torches burn, smoke and set fire to what lies near: clear the place, keep water and "
         "a watch. Presses kill: keep hands out."});
  }
  if (!clear.empty())
    steps.push_back({"Clearance bolts", {ids_of(layout, clear) + ". Washers as the schedule says."}, ""});
  const std::string tap = rivets.empty() ? "" : "Tap every rivet: a loose one rings dull, cut it out. ";
  steps.push_back(
      {"Inspect and sign",
       {tap + "No feeler of 0.1 mm between the plies beside a fastener. Nuts tight, two threads through. "
              "Sign the record."},
       "This work does not prove strength: a competent person accepts it under the local code."});
}

}  // namespace

std::vector<WorkStep> work_steps(const PlateLayout& layout, const std::vector<SeatPlan>& seats,
                                 const FastenerSchedule& schedule) {
  std::vector<WorkStep> steps;
  mark_out(layout, steps);
  on_the_bench(layout, steps);
  plugs(layout, steps);
  set_parts(layout, seats, steps);
  bushes(layout, schedule, steps);
  in_the_machine(layout, schedule, steps);
  fasten(layout, schedule, steps);
  return steps;
}

}  // namespace fairhole
