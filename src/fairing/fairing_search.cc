// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairing_search.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "choice_search.h"
#include "fairhole/fairing/movers.h"

namespace fairhole::detail {
namespace {

/// The seats of an earlier plan, or those that registration asks for.
std::vector<SeatMove> moves_before(const Assembly& assembly, const Plan* before) {
  if (before == nullptr) return moves_to_seats(assembly);
  Assembly seated = assembly;
  for (SeatedFace& seat : seated.seats) {
    for (const SeatPlan& plan : before->seats) {
      if (plan.joint == seat.joint && plan.plate == seat.plate) seat.seat = plan.plate_from_face;
    }
  }
  return moves_to_seats(seated);
}

bool has_oval(const Stack& stack) {
  return std::any_of(stack.layers.begin(), stack.layers.end(),
                     [](const OldLayer& layer) { return layer.ovality_mm > 0.0; });
}

Eigen::Vector2d shift_of(const SeatMove& move) { return {move.dx_mm, move.dy_mm}; }

}  // namespace

FairingSearch::FairingSearch(const Assembly& assembly, const FairingRules& rules, const SeatEffort& effort,
                             const Plan* before)
    : assembly_(assembly), rules_(rules), effort_(effort), moves_(moves_before(assembly, before)) {
  for (const Stack& stack : assembly.stacks) centres_mm_.push_back(stack.nominal_mm);
}

FairingAnswer FairingSearch::answer(const std::vector<LocatingPair>& locating) {
  cases_ = stack_cases(assembly_, locating, rules_);
  options_.clear();
  for (const StackCase& entry : cases_) options_.push_back(options_for(entry, rules_));
  best_.reset();
  solved_ = 0;
  if (assembly_.stacks.empty()) {  // nothing to decide, and so nothing to pay
    best_ = as_asked();
    best_->proven = true;
    return *std::move(best_);
  }
  ChoiceExactness exactness;
  double bound = 0.0;
  Looked looked;
  do {
    looked = look(exactness);
    if (!looked.holds) {  // parts stay where their own holes ask them to be
      best_ = as_asked();
      return *std::move(best_);
    }
    bound = std::max(bound, looked.bound);
  } while (!costs_no_more(bound) && tell_more(looked, exactness));
  if (!costs_no_more(bound)) look_surely(exactness, looked, bound);
  if (!costs_no_more(bound)) bound = std::max(bound, bound_by_sides(exactness, looked));
  best_->proven = costs_no_more(bound);
  best_->bound = std::min(bound, best_->decided.cost());
  return *std::move(best_);
}

bool FairingSearch::costs_no_more(double bound) const {
  return best_->decided.cost() <= bound + slack_of(bound);
}

/// Decided where registration has the parts.
FairingAnswer FairingSearch::as_asked() const {
  FairingAnswer answer;
  answer.assembly = assembly_;
  Looked nothing;
  answer.decided = decide(answer.assembly, cases_at(answer.assembly, {}, {}, nothing), rules_);
  give_up_too_near(answer.assembly, rules_, answer.decided);
  return answer;
}

/// The same doubts about holes that have moved by a few millimetres. Centres that plates share and lines that
/// neighbours keep to are where the choice has them.
std::vector<StackCase> FairingSearch::cases_at(const Assembly& at, const AssemblyChoice& choice,
                                               const ChoiceFound& found, Looked& looked) const {
  std::vector<StackCase> cases = cases_;
  for (std::size_t i = 0; i < cases.size(); ++i) {
    cases[i].stack = &at.stacks[i];
    cases[i].plate = nullptr;
    for (const PlateShape& plate : at.plates) {
      if (plate.name == at.stacks[i].plate) cases[i].plate = &plate;
    }
  }
  for (const auto& [stack, centre] : choice.shared)
    cases[stack].given_centre_mm = centre.centre_mm(found.moves);
  const auto asked_mm = [&](std::size_t own, std::size_t other) {
    const int k = choice.option_of[own][static_cast<std::size_t>(found.option[own])];
    return k < 0 ? 0.0
                 : pitch_asked_mm(at.stacks[own], options_[own][static_cast<std::size_t>(k)],
                                  at.stacks[other], rules_);
  };
  for (const auto& [pair, told] : choice.neighbours) {
    const double of_a = asked_mm(pair.a, pair.b), of_b = asked_mm(pair.b, pair.a);
    if (of_a <= 0.0 || of_b <= 0.0) continue;
    const double pitch = std::max(of_a, of_b);
    const auto centre = [&](std::size_t stack, int part) -> Eigen::Vector2d {
      return at.stacks[stack].nominal_mm + shift_of(found.moves[static_cast<std::size_t>(part)]);
    };
    const Eigen::Vector2d a = centre(pair.a, told.part_a), b = centre(pair.b, told.part_b);
    keep_apart(cases[pair.a], a, cases[pair.b], b, pitch);
    looked.between[pair] = {told.turned_rad, std::atan2((b - a).y(), (b - a).x()), pitch - (b - a).norm()};
  }
  return cases;
}

/// What was found last, as far as the new problem has the same parts.
ChoiceFound FairingSearch::first_of(const AssemblyChoice& choice) const {
  ChoiceFound first;
  first.moves = moves_;
  first.moves.resize(choice.given_parts);
  first.moves.resize(choice.bare.joint.parts.size());
  const auto put = [&](int part, std::size_t stack) {
    const Eigen::Vector2d shift = centres_mm_[stack] - assembly_.stacks[stack].nominal_mm;
    first.moves[static_cast<std::size_t>(part)] = {shift.x(), shift.y(), 0.0};
  };
  for (const auto& [pair, told] : choice.neighbours) {
    put(told.part_a, pair.a);
    put(told.part_b, pair.b);
  }
  return first;
}

void FairingSearch::decide_at(const AssemblyChoice& choice, const ChoiceFound& found, Looked& looked) {
  FairingAnswer here;
  here.assembly = with_seats(assembly_, found.moves);
  here.decided = decide(here.assembly, cases_at(here.assembly, choice, found, looked), rules_);
  for (std::size_t i = 0; i < assembly_.stacks.size(); ++i) {
    const int wanted = choice.option_of[i][static_cast<std::size_t>(found.option[i])];
    if (wanted >= 0 && !here.decided.options[i][static_cast<std::size_t>(wanted)].allowed)
      looked.failed.insert(i);
    const Option* option = chosen_option(here.decided, i);
    centres_mm_[i] = option != nullptr ? option->centre_mm : assembly_.stacks[i].nominal_mm;
  }
  for (const PitchConflict& conflict : pitch_conflicts(here.assembly, here.decided, rules_)) {
    if (!choice.neighbours.contains(conflict.pair)) looked.too_near.push_back(conflict.pair);
  }
  give_up_too_near(here.assembly, rules_, here.decided);
  const double cost = here.decided.cost();
  if (!best_ || cost < best_->decided.cost() - slack_of(cost)) best_ = std::move(here);
}

FairingSearch::Looked FairingSearch::look(const ChoiceExactness& exactness) {
  const AssemblyChoice choice = choice_case(assembly_, cases_, options_, rules_, exactness);
  const ChoiceFound first = first_of(choice);
  const ChoiceFound found = cheapest_choice(choice.bare, effort_left(), &first);
  solved_ += found.sets_solved;
  Looked looked;
  looked.bound = found.bound;
  looked.done = found.proven;
  looked.holds = !found.option.empty();
  looked.corners = choice.corners;
  if (!looked.holds) return looked;
  decide_at(choice, found, looked);
  moves_ = found.moves;
  return looked;
}

/// Problems that are told more share as much work again as one by itself may do.
SeatEffort FairingSearch::effort_left() const {
  SeatEffort left = effort_;
  left.level_nodes =
      std::clamp(2 * effort_.level_nodes - solved_, effort_.level_nodes / 8, effort_.level_nodes);
  return left;
}

/// Whether there was anything to add.
bool FairingSearch::tell_more(const Looked& looked, ChoiceExactness& exactness) const {
  const std::size_t before = exactness.sliding_stacks.size() + exactness.neighbours.size();
  for (const std::size_t stack : looked.failed) {
    if (has_oval(assembly_.stacks[stack])) exactness.sliding_stacks.insert(stack);
  }
  for (const NeighbourPair& pair : looked.too_near) exactness.neighbours[pair];
  return exactness.sliding_stacks.size() + exactness.neighbours.size() > before;
}

double FairingSearch::direction_rad(const NeighbourPair& pair) const {
  const Eigen::Vector2d between = centres_mm_[pair.b] - centres_mm_[pair.a];
  return std::atan2(between.y(), between.x());
}

/// Pitches kept by their tangents, and where that does not do a little less of each room: what comes out
/// surely serves.
void FairingSearch::look_surely(ChoiceExactness exactness, const Looked& looked, double bound) {
  constexpr int kRounds = 6;
  exactness.tangents = true;
  exactness.surely = exactness.neighbours.empty();
  for (auto& [pair, arc] : exactness.neighbours) {
    const auto between = looked.between.find(pair);
    arc.along_rad = between != looked.between.end() ? between->second.along_rad : direction_rad(pair);
  }
  for (int round = 0; round < kRounds; ++round) {
    const Looked sure = look(exactness);
    if (costs_no_more(bound)) return;
    const bool more = !sure.failed.empty() && !exactness.surely;
    for (const NeighbourPair& pair : sure.too_near)
      exactness.neighbours[pair].along_rad = direction_rad(pair);
    if (sure.too_near.empty() && !more) return;
    exactness.surely = exactness.surely || sure.too_near.empty();
  }
}

/// What no plan undercuts, by splitting the directions between neighbours where the pitch is short: over a
/// narrower range the chord is nearer to the arc, and where they were split it is on it.
double FairingSearch::bound_by_sides(ChoiceExactness exactness, const Looked& looked) {
  const int most = solved_ + effort_.level_nodes;
  const auto lower = [](const Sides& x, const Sides& y) { return x.looked.bound < y.looked.bound; };
  std::vector<Sides> open{{exactness.neighbours, exactness.sides, looked}};
  for (;;) {
    const auto least = std::min_element(open.begin(), open.end(), lower);
    if (costs_no_more(least->looked.bound) || !least->looked.done || solved_ >= most)
      return least->looked.bound;
    const Sides sides = *least;
    std::vector<Sides> parts = split_corner(sides, exactness);
    if (parts.empty()) parts = split_pitch(sides, exactness);
    if (parts.empty()) return sides.looked.bound;
    open.erase(least);
    for (Sides& part : parts) {
      part.looked.bound = std::max(part.looked.bound, sides.looked.bound);
      open.push_back(std::move(part));
    }
  }
}

FairingSearch::Sides FairingSearch::looked_at(PitchArcs arcs, std::map<std::size_t, CornerSides> corners,
                                              ChoiceExactness& exactness) {
  exactness.neighbours = arcs;
  exactness.sides = corners;
  return {std::move(arcs), std::move(corners), look(exactness)};
}

/// At a corner beside which an option did not serve: one part for each edge that may be kept to.
std::vector<FairingSearch::Sides> FairingSearch::split_corner(const Sides& sides,
                                                              ChoiceExactness& exactness) {
  std::vector<Sides> out;
  for (const auto& [stack, corners] : sides.looked.corners) {
    if (!sides.looked.failed.contains(stack)) continue;
    const auto& [corner, count] = *corners.begin();
    for (int side = 0; side < count; ++side) {
      std::map<std::size_t, CornerSides> chosen = sides.corners;
      chosen[stack][corner] = side;
      out.push_back(looked_at(sides.arcs, std::move(chosen), exactness));
    }
    return out;
  }
  return out;
}

/// Neighbours that were left out are told of each other; else the directions of the two that are most short
/// of their pitch are split where they were found.
std::vector<FairingSearch::Sides> FairingSearch::split_pitch(const Sides& sides, ChoiceExactness& exactness) {
  constexpr double kShortMm = 1e-6;
  constexpr double kRim = 0.05;  // of the range: no part of it is nothing
  std::vector<Sides> out;
  if (!sides.looked.too_near.empty()) {
    PitchArcs arcs = sides.arcs;
    for (const NeighbourPair& pair : sides.looked.too_near) arcs[pair];
    out.push_back(looked_at(std::move(arcs), sides.corners, exactness));
    return out;
  }
  const std::pair<const NeighbourPair, Between>* shortest = nullptr;
  for (const auto& entry : sides.looked.between) {
    if (entry.second.short_by_mm > (shortest != nullptr ? shortest->second.short_by_mm : kShortMm))
      shortest = &entry;
  }
  if (shortest == nullptr) return out;
  const SeatRange& all = shortest->second.turned_rad;
  const double rim = kRim * (all.most - all.least);
  const double at = std::clamp(shortest->second.along_rad, all.least + rim, all.most - rim);
  for (const SeatRange& part : {SeatRange{all.least, at}, SeatRange{at, all.most}}) {
    PitchArcs arcs = sides.arcs;
    arcs[shortest->first].turned_rad = part;
    out.push_back(looked_at(std::move(arcs), sides.corners, exactness));
  }
  return out;
}

}  // namespace fairhole::detail
