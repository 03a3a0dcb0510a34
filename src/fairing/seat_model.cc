// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "seat_model.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace fairhole {

SeatDisc disc_on_part(int part, int stack, const Eigen::Vector2d& centre_mm, double radius_mm,
                      const Eigen::Vector2d& pivot_mm, const Eigen::Matrix2d& stack_from_part) {
  const Eigen::Vector2d arm = stack_from_part.transpose() * (centre_mm - pivot_mm);
  const Eigen::Vector2d turned = stack_from_part * Eigen::Vector2d(-arm.y(), arm.x());
  return {stack, centre_mm, radius_mm, {{part, stack_from_part, turned, -(stack_from_part * arm)}}};
}

namespace detail {
namespace {

constexpr double kPlainReachMm = 100.0;  // of a part on which no disc counts

/// Middle of the discs that count; of all where none does.
Eigen::Vector2d middle_of(std::span<const SeatDisc> discs) {
  Eigen::Vector2d counted = Eigen::Vector2d::Zero(), all = Eigen::Vector2d::Zero();
  int count = 0;
  for (const SeatDisc& disc : discs) {
    all += disc.centre_mm / static_cast<double>(discs.size());
    if (disc.counts_for_misfit) counted += disc.centre_mm, ++count;
  }
  return count > 0 ? Eigen::Vector2d(counted / count) : all;
}

int root_of(std::vector<int>& parent, int i) {
  while (parent[static_cast<std::size_t>(i)] != i) i = parent[static_cast<std::size_t>(i)];
  return i;
}

void join(std::vector<int>& parent, int a, int b) {
  const int low = std::min(root_of(parent, a), root_of(parent, b));
  const int high = std::max(root_of(parent, a), root_of(parent, b));
  parent[static_cast<std::size_t>(high)] = low;
}

}  // namespace

std::vector<char> are_centres(const JointCase& joint) {
  std::vector<char> out(joint.parts.size(), 0);
  for (const SeatDisc& disc : joint.discs) {
    if (disc.pins) out[static_cast<std::size_t>(disc.follows.front().part)] = 1;
  }
  return out;
}

std::optional<std::size_t> pinning(std::span<const SeatDisc> discs, std::span<const double> room) {
  for (std::size_t i = 0; i < discs.size(); ++i) {
    if (discs[i].pins && room[i] < kNoLimit) return i;
  }
  return std::nullopt;
}

Eigen::Vector2d centre_at(const SeatDisc& disc, std::span<const SeatMove> moves) {
  Eigen::Vector2d centre = disc.centre_mm;
  for (const SeatFollow& follow : disc.follows) {
    const SeatMove& move = moves[static_cast<std::size_t>(follow.part)];
    const double half_sine = std::sin(move.turn_rad / 2.0);
    centre += follow.by_shift * Eigen::Vector2d(move.dx_mm, move.dy_mm) +
              follow.by_sine_mm * std::sin(move.turn_rad) +
              follow.by_versine_mm * (2.0 * half_sine * half_sine);
  }
  return centre;
}

bool is_fixed(const SeatPlay& play) {
  const auto none = [](const SeatRange& r) { return r.most <= r.least; };
  return none(play.dx_mm) && none(play.dy_mm) && none(play.turn_rad);
}

SeatMove within_play(const SeatPlay& play, const SeatMove& move) {
  const auto within = [](double value, const SeatRange& r) { return std::clamp(value, r.least, r.most); };
  return {within(move.dx_mm, play.dx_mm), within(move.dy_mm, play.dy_mm),
          within(move.turn_rad, play.turn_rad)};
}

SeatModel::SeatModel(const JointCase& joint)
    : joint_(joint), first_(static_cast<std::size_t>(joint.stacks) + 1, 0) {
  std::stable_sort(joint_.discs.begin(), joint_.discs.end(),
                   [](const SeatDisc& a, const SeatDisc& b) { return a.stack < b.stack; });
  for (const SeatDisc& disc : joint_.discs) ++first_[static_cast<std::size_t>(disc.stack) + 1];
  std::partial_sum(first_.begin(), first_.end(), first_.begin());
  for (int s = 0; s < joint.stacks; ++s) origin_.push_back(middle_of(discs(s)));
  reach_mm_.assign(joint.parts.size(), 0.0);
  for (SeatDisc& disc : joint_.discs) {
    disc.centre_mm -= origin_[static_cast<std::size_t>(disc.stack)];
    if (!disc.counts_for_misfit) continue;  // an edge's far centre says nothing of how far metal goes
    for (const SeatFollow& follow : disc.follows) {
      double& reach = reach_mm_[static_cast<std::size_t>(follow.part)];
      reach = std::max({reach, follow.by_sine_mm.norm(), follow.by_versine_mm.norm()});
    }
  }
  for (double& reach : reach_mm_) {
    if (reach == 0.0) reach = kPlainReachMm;
  }
  for (const SeatPlay& play : joint.parts) whole_box_.push_back(play.turn_rad);
  is_centre_ = are_centres(joint_);
  for (const SeatDisc& disc : joint_.discs) {
    is_linked_.push_back(std::any_of(disc.follows.begin(), disc.follows.end(),
                                     [this](const SeatFollow& f) { return is_centre(f.part); }));
  }
}

std::span<const SeatDisc> SeatModel::discs(int stack) const {
  const std::size_t s = static_cast<std::size_t>(stack);
  return std::span(joint_.discs).subspan(first_[s], first_[s + 1] - first_[s]);
}

Circle SeatModel::clean_up(int stack, std::span<const SeatMove> moves) const {
  std::vector<Circle> circles;
  for (const SeatDisc& disc : discs(stack)) circles.push_back({centre_at(disc, moves), disc.radius_mm});
  return circles.empty() ? Circle{} : smallest_enclosing(circles).circle;
}

// With M the largest room the excess is that of the smallest circle about discs of radius M - room, less M.
HeldCentre best_centre(std::span<const Eigen::Vector2d> centres, std::span<const double> room) {
  std::vector<Circle> circles;
  double most = -kNoLimit;
  for (const double own : room) {
    if (own < kNoLimit) most = std::max(most, own);
  }
  for (std::size_t i = 0; i < centres.size(); ++i) {
    if (room[i] < kNoLimit) circles.push_back({centres[i], most - room[i]});
  }
  if (circles.empty()) return {};
  HeldCentre out;
  out.centre_mm = smallest_enclosing(circles).circle.centre_mm;
  for (std::size_t i = 0; i < centres.size(); ++i) {
    // Said by the centre itself: huge radii would leave their rounding.
    if (room[i] < kNoLimit)
      out.excess_mm = std::max(out.excess_mm, (centres[i] - out.centre_mm).norm() - room[i]);
  }
  return out;
}

HeldCentre SeatModel::held(int stack, std::span<const SeatMove> moves, std::span<const double> room) const {
  std::vector<Eigen::Vector2d> centres;
  for (const SeatDisc& disc : discs(stack)) centres.push_back(centre_at(disc, moves));
  const std::optional<std::size_t> pin = pinning(discs(stack), room);
  if (!pin) return best_centre(centres, room);
  constexpr double kOnePlaceMm = 1e-9;  // pins of one stack stand together but for rounding
  HeldCentre out;
  out.centre_mm = centres[*pin];
  for (std::size_t i = 0; i < centres.size(); ++i) {
    const double off = (centres[i] - out.centre_mm).norm();
    if (room[i] == kNoLimit || (discs(stack)[i].pins && off <= kOnePlaceMm)) continue;
    out.excess_mm = std::max(out.excess_mm, off - room[i]);
  }
  return out;
}

double SeatModel::worst_mm(std::span<const SeatMove> moves, std::span<const double> room_mm) const {
  double worst = -kNoLimit;
  for (int s = 0; s < joint_.stacks; ++s)
    worst = std::max(worst, held(s, moves, room_mm.subspan(first_disc(s))).excess_mm);
  return worst;
}

std::vector<SeatMove> SeatModel::rest() const {
  std::vector<SeatMove> moves;
  for (const SeatPlay& play : joint_.parts) moves.push_back(within_play(play, {}));
  return moves;
}

std::vector<double> SeatModel::clean_up_rooms(std::span<const double> limit_radius_mm) const {
  std::vector<double> rooms;
  for (const SeatDisc& disc : joint_.discs)
    rooms.push_back(limit_radius_mm[static_cast<std::size_t>(disc.stack)] - disc.radius_mm);
  return rooms;
}

JointCase joint_of(const JointCase& joint, const std::vector<int>& stacks) {
  JointCase out{joint.parts, static_cast<int>(stacks.size()), {}};
  std::vector<int> here(static_cast<std::size_t>(joint.stacks), -1);
  for (std::size_t i = 0; i < stacks.size(); ++i)
    here[static_cast<std::size_t>(stacks[i])] = static_cast<int>(i);
  for (const SeatDisc& disc : joint.discs) {
    const int stack = here[static_cast<std::size_t>(disc.stack)];
    if (stack < 0) continue;
    out.discs.push_back(disc);
    out.discs.back().stack = stack;
  }
  return out;
}

std::vector<FreePart> free_parts(const JointCase& joint) {
  const int parts = static_cast<int>(joint.parts.size());
  std::vector<int> parent(static_cast<std::size_t>(parts + joint.stacks));
  std::iota(parent.begin(), parent.end(), 0);
  for (const SeatDisc& disc : joint.discs) {
    for (const SeatFollow& follow : disc.follows) {
      if (!is_fixed(joint.parts[static_cast<std::size_t>(follow.part)]))
        join(parent, follow.part, parts + disc.stack);
    }
  }
  std::vector<int> piece_of(parent.size(), -1);
  std::vector<FreePart> pieces;
  std::vector<std::vector<int>> here;  // of each piece: index here of a part of the whole, or -1
  std::vector<int> stack_here(static_cast<std::size_t>(joint.stacks));
  for (int s = 0; s < joint.stacks; ++s) {
    int& piece = piece_of[static_cast<std::size_t>(root_of(parent, parts + s))];
    if (piece < 0) {
      piece = static_cast<int>(pieces.size());
      pieces.emplace_back();
      here.emplace_back(static_cast<std::size_t>(parts), -1);
    }
    FreePart& to = pieces[static_cast<std::size_t>(piece)];
    stack_here[static_cast<std::size_t>(s)] = to.joint.stacks++;
    to.stacks.push_back(s);
  }
  for (const SeatDisc& disc : joint.discs) {
    const int piece = piece_of[static_cast<std::size_t>(root_of(parent, parts + disc.stack))];
    FreePart& to = pieces[static_cast<std::size_t>(piece)];
    to.joint.discs.push_back(disc);
    to.joint.discs.back().stack = stack_here[static_cast<std::size_t>(disc.stack)];
    for (SeatFollow& follow : to.joint.discs.back().follows) {
      int& part = here[static_cast<std::size_t>(piece)][static_cast<std::size_t>(follow.part)];
      if (part < 0) {
        part = static_cast<int>(to.parts.size());
        to.parts.push_back(follow.part);
        to.joint.parts.push_back(joint.parts[static_cast<std::size_t>(follow.part)]);
      }
      follow.part = part;
    }
  }
  return pieces;
}

SeatEffort effort_for(const FreePart& piece, const SeatEffort& effort) {
  constexpr double kFullParts = 12.0;
  constexpr int kLeastBoxes = 40;
  constexpr int kLeastNodes = 200;
  const std::vector<char> centres = are_centres(piece.joint);
  const auto parts = static_cast<double>(std::count(centres.begin(), centres.end(), 0));
  const double share = std::min(1.0, std::pow(kFullParts / std::max(1.0, parts), 2));
  const auto part_of = [share](int full, int least) {
    return std::min(full, std::max(least, static_cast<int>(share * full)));
  };
  SeatEffort out = effort;
  out.turn_boxes = part_of(effort.turn_boxes, kLeastBoxes);
  out.level_nodes = part_of(effort.level_nodes, kLeastNodes);
  return out;
}

void put_moves(const FreePart& piece, std::span<const SeatMove> moves, std::vector<SeatMove>& whole) {
  for (std::size_t p = 0; p < piece.parts.size(); ++p)
    whole[static_cast<std::size_t>(piece.parts[p])] = moves[p];
}

}  // namespace detail

std::vector<double> clean_up_diameters_mm(const JointCase& joint, std::span<const SeatMove> moves) {
  const detail::SeatModel model(joint);
  std::vector<double> out;
  for (int s = 0; s < joint.stacks; ++s) out.push_back(2.0 * model.clean_up(s, moves).radius_mm);
  return out;
}

std::vector<int> levels_at(const JointCase& joint, std::span<const StackLevels> levels,
                           std::span<const SeatMove> moves) {
  const std::vector<double> found = clean_up_diameters_mm(joint, moves);
  std::vector<int> out;
  for (std::size_t s = 0; s < found.size(); ++s) {
    const std::vector<double>& limits = levels[s].limit_diameter_mm;
    const auto holds = std::lower_bound(limits.begin(), limits.end(), found[s] - kHoldsWithinMm);
    out.push_back(static_cast<int>(holds - limits.begin()));
  }
  return out;
}

}  // namespace fairhole
