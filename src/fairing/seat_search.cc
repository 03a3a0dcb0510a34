// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "seat_search.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "seat_relaxation.h"

namespace fairhole::detail {
namespace {

constexpr double kSolverGapMm = 1e-11;

/// A box of turns that may still hold better seats.
struct OpenBox {
  TurnBox turns;
  double lower_mm = -kNoLimit;
  SeatProof proof;
  int split_part = -1;  ///< none: nothing to gain by splitting
  double split_rad = 0.0;
};

class SeatSearch {
 public:
  SeatSearch(const SeatModel& model, std::span<const double> rooms, const SeatAim& aim)
      : model_(model), rooms_(rooms), aim_(aim) {}
  SeatFound run(const std::vector<SeatMove>* guess);

 private:
  void offer(const std::vector<SeatMove>& moves);
  OpenBox look(const TurnBox& turns);
  void choose_split(const SeatRelaxation& relaxation, const SeatPoint& point, OpenBox& box) const;
  void polish(OpenBox& box);
  void improve(OpenBox& box, const SeatRelaxation& relaxation, const SeatPoint& point) const;
  SeatProof thinned(const TurnBox& turns, const std::vector<Eigen::Vector3d>& multipliers,
                    SeatProof full) const;
  bool done() const;
  bool good_enough() const { return found_.value_mm <= aim_.enough_mm; }

  const SeatModel& model_;
  std::span<const double> rooms_;
  SeatAim aim_;
  SeatFound found_;
  std::vector<OpenBox> open_;
};

void SeatSearch::offer(const std::vector<SeatMove>& moves) {
  const double value = model_.worst_mm(moves, rooms_);
  if (value < found_.value_mm || found_.moves.empty()) {
    found_.value_mm = value;
    found_.moves = moves;
  }
}

/// Where the relaxed point lies farthest off its arc, measured at the part's outermost disc.
void SeatSearch::choose_split(const SeatRelaxation& relaxation, const SeatPoint& point, OpenBox& box) const {
  double farthest = 1e-10;  // mm; nearer is nothing
  for (std::size_t p = 0; p < point.parts.size(); ++p) {
    const PartScale& scale = relaxation.scale[p];
    if (scale.versine_unit <= 0.0) continue;
    const double sine = std::clamp(scale.sine_unit * point.parts[p][2], -1.0, 1.0);
    const double on_arc = std::asin(sine);
    const double off = scale.versine_unit * point.parts[p][3] - 2.0 * std::pow(std::sin(on_arc / 2.0), 2);
    const double off_mm = off * model_.reach_mm(static_cast<int>(p));
    if (off_mm <= farthest) continue;
    farthest = off_mm;
    const SeatRange& range = box.turns[p];
    const double rim = 0.1 * (range.most - range.least);
    box.split_part = static_cast<int>(p);
    box.split_rad = std::clamp(scale.turn_middle_rad + on_arc, range.least + rim, range.most - rim);
  }
}

void SeatSearch::improve(OpenBox& box, const SeatRelaxation& relaxation, const SeatPoint& point) const {
  const std::vector<Eigen::Vector3d> multipliers =
      with_pins(model_, rooms_, disc_multipliers(model_, relaxation, point));
  SeatProof proof = proof_of(model_, box.turns, multipliers);
  const double lower = proof.excess_mm(rooms_);
  if (lower <= box.lower_mm) return;
  box.lower_mm = lower;
  box.proof = lower > aim_.hopeless_mm ? thinned(box.turns, multipliers, std::move(proof)) : std::move(proof);
}

/// The proof without the stacks that hardly carry it: an interior point leaves a little weight on all of
/// them.
SeatProof SeatSearch::thinned(const TurnBox& turns, const std::vector<Eigen::Vector3d>& multipliers,
                              SeatProof full) const {
  const double needed = aim_.hopeless_mm + 0.5 * (full.excess_mm(rooms_) - aim_.hopeless_mm);
  std::vector<double> of_stack;
  for (int s = 0; s < model_.stacks(); ++s) {
    const auto own = full.weight.begin() + static_cast<std::ptrdiff_t>(model_.first_disc(s));
    of_stack.push_back(std::accumulate(own, own + static_cast<std::ptrdiff_t>(model_.discs(s).size()), 0.0));
  }
  const double heaviest = *std::max_element(of_stack.begin(), of_stack.end());
  for (const double share : {0.03, 0.01, 1e-3, 1e-4, 1e-6}) {
    std::vector<Eigen::Vector3d> kept = multipliers;
    for (std::size_t i = 0; i < kept.size(); ++i) {
      const SeatDisc& disc = model_.joint().discs[i];
      if (of_stack[static_cast<std::size_t>(disc.stack)] < share * heaviest) kept[i].setZero();
    }
    SeatProof proof = proof_of(model_, turns, with_pins(model_, rooms_, std::move(kept)));
    if (proof.excess_mm(rooms_) > needed) return proof;
  }
  return full;
}

OpenBox SeatSearch::look(const TurnBox& turns) {
  OpenBox box;
  box.turns = turns;
  const SeatRelaxation relaxation = hull_relaxation(model_, rooms_, turns);
  const auto watch = [&](const SeatPoint& point) {
    if (point.feasible && point.worst < aim_.enough_mm) {
      offer(moves_of(model_, relaxation, point, turns));
      if (good_enough()) return true;
    }
    if (point.gap < 1e-3) improve(box, relaxation, point);  // the last steps are not always the best proof
    // Hopeless, and known well enough to say because of which stacks.
    return point.gap < 0.003 * (point.worst - point.gap - aim_.hopeless_mm);
  };
  const SeatPoint point = solve(relaxation.program, relaxation.start, kSolverGapMm, watch);
  improve(box, relaxation, point);
  offer(moves_of(model_, relaxation, point, turns));
  choose_split(relaxation, point, box);
  return box;
}

/// Follows the tangents from the best seats until they help no more. The range of turns looked at shrinks,
/// since a tangent is true only nearby.
void SeatSearch::polish(OpenBox& box) {
  constexpr int kMostRounds = 12;
  double share = 1.0;
  for (int round = 0; round < kMostRounds && !good_enough(); ++round) {
    TurnBox near = box.turns;
    for (std::size_t p = 0; p < near.size(); ++p) {
      const double turn = found_.moves[p].turn_rad;
      const double reach = share * (near[p].most - near[p].least);
      if (turn < near[p].least || turn > near[p].most) return;
      near[p] = {std::max(near[p].least, turn - reach), std::min(near[p].most, turn + reach)};
    }
    const SeatRelaxation tangent = tangent_problem(model_, rooms_, near, found_.moves);
    const SeatPoint point = solve(tangent.program, tangent.start, kSolverGapMm);
    const double before = found_.value_mm;
    offer(moves_of(model_, tangent, point, near));
    improve(box, tangent, point);
    if (found_.value_mm - box.lower_mm <= 1e-10) return;
    if (before - found_.value_mm < 1e-11) share *= 0.1;
    if (share < 1e-4) return;
  }
}

bool SeatSearch::done() const {
  return good_enough() || found_.lower_mm > aim_.hopeless_mm ||
         found_.value_mm - found_.lower_mm <= aim_.gap_mm;
}

SeatFound SeatSearch::run(const std::vector<SeatMove>* guess) {
  const auto worse = [](const OpenBox& a, const OpenBox& b) { return a.lower_mm > b.lower_mm; };
  offer(model_.rest());
  if (guess != nullptr) offer(*guess);
  if (found_.value_mm == -kNoLimit) {
    found_.lower_mm = -kNoLimit;
    return found_;
  }
  if (!good_enough()) {
    open_.push_back(look(model_.whole_box()));
    if (!good_enough() && open_.front().lower_mm <= aim_.hopeless_mm) polish(open_.front());
    found_.lower_mm = open_.front().lower_mm;
  }
  for (int boxes = 1; !done() && boxes < aim_.boxes; boxes += 2) {
    const OpenBox box = open_.front();
    if (box.split_part < 0) break;
    std::pop_heap(open_.begin(), open_.end(), worse);
    open_.pop_back();
    for (const bool upper : {false, true}) {
      TurnBox turns = box.turns;
      SeatRange& range = turns[static_cast<std::size_t>(box.split_part)];
      (upper ? range.least : range.most) = box.split_rad;
      const double before = found_.value_mm;
      OpenBox part = look(turns);
      if (found_.value_mm < before - 1e-9 && !good_enough()) polish(part);
      if (part.lower_mm < box.lower_mm) part.lower_mm = box.lower_mm, part.proof = box.proof;
      open_.push_back(std::move(part));
      std::push_heap(open_.begin(), open_.end(), worse);
    }
    found_.lower_mm = open_.front().lower_mm;
  }
  for (OpenBox& box : open_) found_.proofs.push_back(std::move(box.proof));
  return found_;
}

}  // namespace

SeatFound find_seats(const SeatModel& model, std::span<const double> room_mm, const SeatAim& aim,
                     const std::vector<SeatMove>* guess) {
  return SeatSearch(model, room_mm, aim).run(guess);
}

}  // namespace fairhole::detail
