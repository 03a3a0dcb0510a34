// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "design.h"

namespace fairhole::schedule {
namespace {

using fasteners::BoltDesign;
using fasteners::ShankNeed;
using fasteners::TurningLine;

/// Whole mm over the largest bore it may have to fill, with something to turn away.
double blank_mm(const SizeLimits& as_found) {
  constexpr double kToTurnAwayMm = 0.5;
  return std::ceil(as_found.max_mm() + kToTurnAwayMm);
}

bool off_the_shelf(const BoltDesign& bolt) { return bolt.stock && !bolt.stock->thread_in_layer; }

/// A fit finer than the lathe holds is nothing to make a list of.
void open_what_the_lathe_cannot_hold(double turning_mm, FastenerSchedule& schedule) {
  for (StackFastener& stack : schedule.stacks) {
    if (!stack.bolt || stack.own_bore || stack.kind == fasteners::Kind::kClearanceBolt) continue;
    const double band_mm = stack.bolt->shank.max_mm() - stack.bolt->shank.min_mm();
    if (band_mm >= turning_mm) continue;
    stack.open = fmt::format("Its fit leaves the shank {:.3f} mm, and the lathe holds {:.3f} mm.", band_mm,
                             turning_mm);
    stack.bolt.reset();
  }
}

/// What is on the lathe for each stack: its own shank, or the blank that a bore not yet made will be fitted
/// from.
std::vector<BoltDesign> designs_to_turn(const FastenerSchedule& schedule, bool own_bore) {
  constexpr double kBlankWithinMm = 0.2;
  std::vector<BoltDesign> designs;
  for (const StackFastener& stack : schedule.stacks) {
    if (!stack.bolt || stack.own_bore != own_bore) continue;
    designs.push_back(*stack.bolt);
    if (!own_bore) continue;
    const double size_mm = blank_mm(stack.bolt->shank);
    designs.back().shank = {nanometres(size_mm - kBlankWithinMm), nanometres(size_mm)};
  }
  return designs;
}

/// Washers to be made, of one thread and thickness: one hole for all of them, as long as the nut keeps a ring
/// to stand on.
void share_made_washers(const Catalogue& catalogue, FastenerSchedule& schedule) {
  constexpr double kLeastRingMm = 3.0;
  std::map<std::pair<std::string, double>, double> widest_mm;
  const auto key = [](const BoltDesign& bolt) { return std::pair(bolt.thread.name(), bolt.nut_washer_mm); };
  const auto fits_nut = [&](const BoltDesign& bolt, double hole_mm) {
    const Result<Hexagon> nut =
        hexagon_for(catalogue, hexagon_series_of(bolt.thread.series), bolt.thread.major_mm);
    return nut && hole_mm + 2.0 * kLeastRingMm <= nut->across_flats_mm;
  };
  for (const StackFastener& stack : schedule.stacks) {
    if (!stack.bolt || !stack.bolt->washer_made) continue;
    if (!fits_nut(*stack.bolt, stack.bolt->nut_washer_hole_mm)) continue;
    double& hole_mm = widest_mm[key(*stack.bolt)];
    hole_mm = std::max(hole_mm, stack.bolt->nut_washer_hole_mm);
  }
  for (StackFastener& stack : schedule.stacks) {
    if (!stack.bolt || !stack.bolt->washer_made) continue;
    double& hole_mm = stack.bolt->nut_washer_hole_mm;
    hole_mm = std::max(hole_mm, widest_mm[key(*stack.bolt)]);
  }
}

/// The bar that washers to be made are parted from.
void add_washer_bar(const Catalogue& catalogue, FastenerSchedule& schedule) {
  constexpr double kPartingMm = 3.0;
  std::map<std::string, double> bar_mm;
  for (const StackFastener& stack : schedule.stacks) {
    if (!stack.bolt || !stack.bolt->washer_made) continue;
    const Result<Bar> bar = bar_from(catalogue, BarShape::kRound, stack.bolt->nut_washer_outside_mm);
    if (bar) bar_mm[bar->name] += stack.bolt->nut_washer_mm + kPartingMm;
  }
  for (const auto& [name, length_mm] : bar_mm)
    schedule.buying.push_back(
        {fmt::format("round bar {}, for washers", name), static_cast<int>(std::ceil(length_mm)), true});
}

std::size_t index_of(const FastenerSchedule& schedule, const std::string& name) {
  const auto found =
      std::find_if(schedule.stacks.begin(), schedule.stacks.end(),
                   [&](const StackFastener& stack) { return place_name(stack.place) == name; });
  return static_cast<std::size_t>(found - schedule.stacks.begin());
}

void add_turned(const ScheduleOptions& options, const Catalogue& catalogue, bool own_bore,
                FastenerSchedule& schedule) {
  const Result<std::vector<TurningLine>> lines =
      turning_list(designs_to_turn(schedule, own_bore), options.turning_mm, catalogue);
  if (!lines) {  // no bar in the catalogue: said for every stack, whose lengths still stand
    for (StackFastener& stack : schedule.stacks) {
      if (stack.bolt && stack.own_bore == own_bore && !off_the_shelf(*stack.bolt))
        stack.notes.push_back(lines.problems().front().what + ".");
    }
    return;
  }
  for (const TurningLine& line : *lines) {
    FastenerPiece piece;
    for (const std::string& name : line.stacks) piece.stacks.push_back(index_of(schedule, name));
    piece.kind = line.design.kind;
    piece.to_own_bore = own_bore;
    if (own_bore) {
      piece.blank_mm = line.shank.max_mm();
    } else {
      piece.shank = line.shank;
    }
    piece.turning = line;
    for (const std::size_t i : piece.stacks) {  // one washer for all of the lot
      double& hole_mm = piece.turning->design.nut_washer_hole_mm;
      hole_mm = std::max(hole_mm, schedule.stacks[i].bolt->nut_washer_hole_mm);
    }
    schedule.pieces.push_back(std::move(piece));
  }
}

void add_bought(FastenerSchedule& schedule) {
  std::map<std::tuple<std::string, double, double, double, double>, std::size_t> known;
  for (std::size_t i = 0; i < schedule.stacks.size(); ++i) {
    const StackFastener& stack = schedule.stacks[i];
    std::tuple<std::string, double, double, double, double> key;
    if (stack.rivet) {
      const fasteners::RivetDesign& rivet = *stack.rivet;
      key = {"", rivet.rivet_mm, rivet.length_mm, rivet.made_head.diameter_mm,
             rivet.closing_head.diameter_mm};
    } else if (stack.bolt && !stack.own_bore && off_the_shelf(*stack.bolt)) {
      const BoltDesign& bolt = *stack.bolt;
      key = {bolt.thread.name(), 0.0, bolt.stock->length_mm, bolt.nut_washer_mm, bolt.head_washer_mm};
    } else {
      continue;
    }
    const auto [place, is_new] = known.emplace(key, schedule.pieces.size());
    if (is_new) {
      schedule.pieces.push_back({"", stack.kind, {}, std::nullopt, false, 0.0, true, std::nullopt});
    }
    schedule.pieces[place->second].stacks.push_back(i);
  }
}

/// Every number of shank sizes from one a hole down, and what the lathe may then be off by.
void add_trade_offs(FastenerSchedule& schedule) {
  std::map<std::string, std::pair<std::vector<ShankNeed>, bool>> batches;
  for (const StackFastener& stack : schedule.stacks) {
    if (!stack.bolt || stack.kind == fasteners::Kind::kClearanceBolt) continue;
    const std::string batch = batch_of(*stack.bolt);
    auto& [needs, as_found] = batches[batch];
    needs.push_back({place_name(stack.place), stack.bolt->shank, batch});
    as_found |= stack.own_bore;
  }
  for (const auto& [batch, entry] : batches) {
    const auto& [needs, as_found] = entry;
    schedule.trade_offs.push_back({batch, needs.size(), as_found, grouping_choices(needs)});
  }
}

void add_buying(const ScheduleOptions& options, FastenerSchedule& schedule) {
  std::map<std::pair<bool, std::string>, int> all;
  for (const bool lock_nut : {false, true}) {
    const auto takes = [&](const StackFastener& stack) {
      const auto found = options.making.find(stack.name);
      return (found != options.making.end() && found->second.lock_nut) == lock_nut;
    };
    std::vector<TurningLine> turning;
    for (const FastenerPiece& piece : schedule.pieces) {
      if (piece.turning && takes(schedule.stacks[piece.stacks.front()])) turning.push_back(*piece.turning);
    }
    std::vector<BoltDesign> designs;
    std::vector<fasteners::RivetDesign> rivets;
    for (const StackFastener& stack : schedule.stacks) {
      if (!takes(stack)) continue;
      if (stack.bolt) designs.push_back(*stack.bolt);
      if (stack.rivet) rivets.push_back(*stack.rivet);
    }
    fasteners::BoltRules rules;
    rules.lock_nut = lock_nut;
    for (const fasteners::BuyingLine& line : buying_list(turning, designs, rivets, rules))
      all[{!line.is_length, line.what}] += line.quantity;
  }
  for (const BushPiece& piece : schedule.bush_pieces) {
    if (!piece.bar) continue;
    const double length_mm = piece.piece_mm * static_cast<double>(piece.bushes.size());
    all[{false, "round bar " + piece.bar->name}] += static_cast<int>(std::ceil(length_mm));
  }
  for (const auto& [key, quantity] : all) schedule.buying.push_back({key.second, quantity, !key.first});
}

}  // namespace

void make_pieces(const ScheduleOptions& options, const Catalogue& catalogue, FastenerSchedule& schedule) {
  open_what_the_lathe_cannot_hold(options.turning_mm, schedule);
  share_made_washers(catalogue, schedule);
  add_turned(options, catalogue, false, schedule);
  add_turned(options, catalogue, true, schedule);
  add_bought(schedule);
  std::sort(
      schedule.pieces.begin(), schedule.pieces.end(),
      [](const FastenerPiece& a, const FastenerPiece& b) { return a.stacks.front() < b.stacks.front(); });
  for (std::size_t i = 0; i < schedule.pieces.size(); ++i)
    schedule.pieces[i].mark = fmt::format("F{}", i + 1);
  make_bush_pieces(catalogue, schedule);
  add_trade_offs(schedule);
  add_washer_bar(catalogue, schedule);
  add_buying(options, schedule);
}

}  // namespace fairhole::schedule
