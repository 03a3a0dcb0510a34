// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/joint_fairing.h"

#include <fmt/core.h>

#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <utility>

#include "choice_case.h"
#include "decided.h"
#include "fairhole/base/length.h"
#include "fairhole/fairing/movers.h"

namespace fairhole {
namespace {

using detail::Decided;

/// What one choice of locating holes leads to.
struct Answer {
  Assembly assembly;  ///< parts at their seats
  Decided decided;
  double bound = 0.0;
  bool proven = false;
};

double slack_of(double cost) { return 1e-9 * (1.0 + cost); }

/// The same doubts about holes that have moved by a few millimetres; `moves` place the centres that plates
/// share.
std::vector<StackCase> cases_at(const Assembly& assembly, const std::vector<StackCase>& cases,
                                const std::map<std::size_t, detail::SharedCentre>& shared,
                                const std::vector<SeatMove>& moves) {
  std::vector<StackCase> moved = cases;
  for (std::size_t i = 0; i < moved.size(); ++i) {
    moved[i].stack = &assembly.stacks[i];
    moved[i].plate = nullptr;
    for (const PlateShape& plate : assembly.plates) {
      if (plate.name == assembly.stacks[i].plate) moved[i].plate = &plate;
    }
  }
  for (const auto& [stack, centre] : shared) moved[stack].given_centre_mm = centre.centre_mm(moves);
  return moved;
}

/// The locating holes where their parts now stand.
std::vector<LocatingPair> moved_pairs(const Assembly& assembly, std::vector<LocatingPair> pairs) {
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    for (const Stack& stack : assembly.stacks) {
      if (stack.plate != assembly.seats[i].plate) continue;
      for (const OldLayer& layer : stack.layers) {
        if (layer.joint != pairs[i].joint) continue;
        if (stack.id == pairs[i].stack_a) pairs[i].a_mm = layer.centre_mm;
        if (stack.id == pairs[i].stack_b) pairs[i].b_mm = layer.centre_mm;
      }
    }
    if (pairs[i].stack_b.empty()) pairs[i].b_mm = pairs[i].a_mm;
  }
  return pairs;
}

class Search {
 public:
  Search(const Assembly& assembly, const FairingRules& rules, const SeatEffort& effort, const Plan* before)
      : assembly_(assembly), rules_(rules), effort_(effort), before_(before) {}

  Answer answer(const std::vector<LocatingPair>& locating) {
    cases_ = stack_cases(assembly_, locating, rules_);
    options_.clear();
    barred_.clear();
    for (const StackCase& entry : cases_) options_.push_back(options_for(entry, rules_));
    best_.reset();
    if (assembly_.stacks.empty()) {  // nothing to decide, and so nothing to pay
      best_ = held(assembly_);
      best_->proven = true;
      return *std::move(best_);
    }
    detail::ChoiceExactness exactness;
    double bound = 0.0;
    for (bool again = true; again;) {
      const ChoiceFound found = find(exactness);
      if (found.option
              .empty()) {  // no moves within the play agree: parts stay where their own holes ask them to be
        best_ = held(assembly_);
        return *std::move(best_);
      }
      bound = std::max(bound, found.bound);
      // What was found may lie in the little that discs about ovals tell too roundly: these are told exactly
      // then.
      again = !costs_no_more(bound) && add_failed(exactness.sliding_stacks);
    }
    if (!costs_no_more(bound)) {
      exactness.surely = true;
      find(exactness);
    }
    keep_pitch(exactness);
    best_->proven = costs_no_more(bound);
    best_->bound = std::min(bound, best_->decided.cost());
    return *std::move(best_);
  }

 private:
  Answer held(Assembly at, const std::map<std::size_t, detail::SharedCentre>& shared = {},
              const std::vector<SeatMove>& moves = {}) const {
    Answer answer;
    answer.assembly = std::move(at);
    answer.decided =
        detail::decide(answer.assembly, cases_at(answer.assembly, cases_, shared, moves), rules_, barred_);
    return answer;
  }

  /// The earlier plan's seats, to begin with.
  ChoiceFound choice_before(const detail::AssemblyChoice& choice) const {
    ChoiceFound first;
    Assembly seated = assembly_;
    for (SeatedFace& seat : seated.seats) {
      for (const SeatPlan& plan : before_->seats) {
        if (plan.joint == seat.joint && plan.plate == seat.plate) seat.seat = plan.plate_from_face;
      }
    }
    first.moves = moves_to_seats(seated);
    first.moves.resize(choice.bare.joint.parts.size());
    return first;
  }

  bool costs_no_more(double bound) const { return best_->decided.cost() <= bound + slack_of(bound); }

  /// Whether there was a stack to add.
  bool add_failed(std::set<std::size_t>& stacks) const {
    const std::size_t before = stacks.size();
    stacks.insert(failed_.begin(), failed_.end());
    return stacks.size() > before;
  }

  /// Pitch is not convex: it is left out of the bound, and what breaks it is barred, one option after the
  /// other.
  void keep_pitch(detail::ChoiceExactness exactness) {
    for (int k = 0; k < detail::kMostBarred; ++k) {
      const auto conflict = detail::pitch_conflict(best_->assembly, best_->decided, rules_);
      if (!conflict) return;
      const int option = best_->decided.chosen.option[conflict->larger];
      Option& barred = options_[conflict->larger][static_cast<std::size_t>(option)];
      barred.hopeless = true;
      barred.forbidden = detail::barred_words(assembly_, *conflict);
      barred_[{conflict->larger, option}] = barred.forbidden;
      best_.reset();
      exactness.surely = true;
      if (find(exactness).option.empty()) best_ = held(assembly_);
    }
  }

  void keep_cheaper(Answer answer) {
    const double cost = answer.decided.cost();
    if (!best_ || cost < best_->decided.cost() - slack_of(cost)) best_ = std::move(answer);
  }

  ChoiceFound find(const detail::ChoiceExactness& exactness) {
    const detail::AssemblyChoice choice = detail::choice_case(assembly_, cases_, options_, rules_, exactness);
    if (!first_ && before_ != nullptr) first_ = choice_before(choice);
    ChoiceFound found = cheapest_choice(choice.bare, effort_, first_ ? &*first_ : nullptr);
    if (found.option.empty()) return found;
    Answer here = held(with_seats(assembly_, found.moves), choice.shared, found.moves);
    failed_.clear();
    for (std::size_t i = 0; i < assembly_.stacks.size(); ++i) {
      const int wanted = choice.option_of[i][static_cast<std::size_t>(found.option[i])];
      if (wanted >= 0 && !here.decided.options[i][static_cast<std::size_t>(wanted)].allowed)
        failed_.insert(i);
    }
    // Never dearer than the parts as near to where they ask to be as contact lets them.
    if (!best_ && choice.shared.empty()) {  // a pair's shared centres are found with the seats
      Answer rest = held(with_seats(assembly_, moves_to_seats(assembly_)));
      if (within_play(rest.assembly)) keep_cheaper(std::move(rest));
    }
    keep_cheaper(std::move(here));
    first_ = found;
    return found;
  }

  const Assembly& assembly_;
  const FairingRules& rules_;
  SeatEffort effort_;
  const Plan* before_;
  std::vector<StackCase> cases_;
  std::vector<std::vector<Option>> options_;
  std::optional<Answer> best_;
  detail::Barred barred_;         ///< for the sake of the pitch to neighbours
  std::set<std::size_t> failed_;  ///< stacks whose option does not serve at the seats found last
  std::optional<ChoiceFound> first_;
};

/// Each part by itself, as near as contact lets it to where it asks to be, may cost less: it may hang on
/// other holes, and the search bars what breaks a pitch one after the other, which may bar too much.
void never_dearer_than_alone(const Assembly& assembly, const FairingRules& rules, Search& search,
                             Answer& answer, std::vector<LocatingPair>& locating) {
  Assembly rest = with_seats(assembly, moves_to_seats(assembly));
  if (!within_play(rest)) return;
  detail::Hung alone = detail::decide_hung(rest, rules);
  const double cost = alone.decided.cost();
  if (cost >= answer.decided.cost() - slack_of(cost) || detail::pitch_conflict(rest, alone.decided, rules))
    return;
  locating = choose_locating(assembly, detail::serving_holes(alone.decided, detail::sound_holes(assembly)));
  answer = search.answer(locating);
  if (cost >= answer.decided.cost() - slack_of(cost)) return;
  answer.assembly = std::move(rest);
  answer.decided = std::move(alone.decided);
  answer.bound = std::min(answer.bound, cost);
  answer.proven = cost <= answer.bound + slack_of(cost);
}

}  // namespace

// As in the first fairing, the locating holes come first, because the doubt of all other holes follows from
// them.
JointFairing::Result JointFairing::operator()(const Assembly& assembly, const Plan* before) const {
  const std::vector<bool> sound = detail::sound_holes(assembly);
  std::vector<LocatingPair> locating = choose_locating(assembly, sound);
  Search search(assembly, rules, effort, before);
  Answer answer = search.answer(locating);
  const std::vector<LocatingPair> serving =
      choose_locating(assembly, detail::serving_holes(answer.decided, sound));
  const auto same = [](const LocatingPair& a, const LocatingPair& b) {
    return a.stack_a == b.stack_a && a.stack_b == b.stack_b;
  };
  if (!std::equal(locating.begin(), locating.end(), serving.begin(), same)) {
    locating = serving;
    answer = search.answer(locating);
  }
  if (assembly.pairs.empty()) never_dearer_than_alone(assembly, rules, search, answer, locating);
  Plan plan = detail::plan_of(answer.assembly, answer.decided, moved_pairs(answer.assembly, locating), rules);
  plan.bound = answer.bound;
  plan.proven = answer.proven;
  return {std::move(answer.assembly), std::move(plan)};
}

}  // namespace fairhole
