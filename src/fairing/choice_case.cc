// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "choice_case.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "choice_neighbours.h"
#include "fairhole/fairing/movers.h"
#include "search.h"

namespace fairhole::detail {
namespace {

constexpr double kRoomToStandMm = 10.0;  // a centre within a finish circle of its holes, generously

/// How far a mover carries a point at `arm_mm` from its pivot at the most, either way.
double travel_mm(const SeatPlay& play, double arm_mm) {
  const auto far = [](const SeatRange& r) { return std::max(std::abs(r.least), std::abs(r.most)); };
  return std::hypot(far(play.dx_mm), far(play.dy_mm)) +
         2.0 * std::sin(std::min(far(play.turn_rad), 3.0) / 2.0) * arm_mm;
}

class Builder {
 public:
  Builder(const Assembly& assembly, const std::vector<StackCase>& cases,
          const std::vector<std::vector<Option>>& options, const FairingRules& rules,
          const ChoiceExactness& exactness)
      : assembly_(assembly), cases_(cases), options_(options), rules_(rules), exactness_(exactness) {}

  AssemblyChoice run() {
    ChoiceCase& bare = out_.bare;
    for (const Mover& mover : assembly_.movers) bare.joint.parts.push_back(mover.play);
    bare.odd_cost = rules_.costs.odd_size;
    bare.rest = moves_to_seats(assembly_);
    find_sizes();
    for (const PlatePair& pair : assembly_.pairs) share_centres(pair);
    out_.given_parts = bare.joint.parts.size();
    for (std::size_t i = 0; i < assembly_.stacks.size(); ++i) add_stack(i);
    tell_neighbours({assembly_, options_, rules_, exactness_.tangents}, exactness_.neighbours, out_);
    for (std::size_t i = 0; i < assembly_.seats.size(); ++i) add_play(i);
    bare.joint.stacks = static_cast<int>(bare.stacks.size());
    return std::move(out_);
  }

 private:
  void find_sizes() {
    for (std::size_t i = 0; i < assembly_.stacks.size(); ++i) {
      std::set<double>& sizes = sizes_[group_key(i)];
      for (const Option& option : options_[i]) {
        if (option.counts_as_size && !option.hopeless) sizes.insert(option.finish_mm);
      }
    }
    for (const auto& [key, sizes] : sizes_) {
      group_index_[key] = static_cast<int>(out_.bare.group_sizes.size());
      out_.bare.group_sizes.push_back(static_cast<int>(sizes.size()));
    }
  }

  /// Stacks of one id in both plates get a freedom of their own: their common centre.
  void share_centres(const PlatePair& pair) {
    constexpr double kFarMm = 25.0;  // no old hole is that far from where the drawing wants it
    for (std::size_t i = 0; i < assembly_.stacks.size(); ++i) {
      for (std::size_t k = 0; k < assembly_.stacks.size(); ++k) {
        const Stack& a = assembly_.stacks[i];
        const Stack& b = assembly_.stacks[k];
        if (a.plate != pair.a || b.plate != pair.b || a.id != b.id) continue;
        const int part = static_cast<int>(out_.bare.joint.parts.size());
        out_.bare.joint.parts.push_back({{-kFarMm, kFarMm}, {-kFarMm, kFarMm}, {}});
        out_.bare.rest.emplace_back();
        out_.shared[i] = {part, a.nominal_mm, Motion{}};
        out_.shared[k] = {part, a.nominal_mm, pair.b_from_a};
      }
    }
  }

  SeatDisc shared_disc(std::size_t stack) const {
    const SharedCentre& shared = out_.shared.at(stack);
    SeatDisc disc;
    disc.stack = static_cast<int>(stack);
    disc.centre_mm = shared.own_from_first * shared.from_mm;
    disc.follows.push_back({shared.part, shared.own_from_first.linear(), {}, {}});
    disc.follows.back().by_sine_mm.setZero();
    disc.follows.back().by_versine_mm.setZero();
    disc.counts_for_misfit = false;
    return disc;
  }

  std::string group_key(std::size_t stack) const {
    return assembly_.stacks[stack].plate + '\n' + assembly_.stacks[stack].group;
  }

  int size_index(std::size_t stack, const Option& option) const {
    if (!option.counts_as_size) return -1;
    const std::set<double>& sizes = sizes_.at(group_key(stack));
    return static_cast<int>(std::distance(sizes.begin(), sizes.lower_bound(option.finish_mm - kSameSizeMm)));
  }

  const SeatedFace* seat_of(std::size_t stack, const std::string& joint, std::size_t& index) const {
    if (joint.empty()) return nullptr;
    for (index = 0; index < assembly_.seats.size(); ++index) {
      const SeatedFace& seat = assembly_.seats[index];
      if (seat.joint == joint && seat.plate == assembly_.stacks[stack].plate) return &seat;
    }
    return nullptr;
  }

  std::vector<SeatFollow> follows_of(std::size_t seat, const Eigen::Vector2d& at_nominal_mm) const {
    std::vector<SeatFollow> follows;
    for (std::size_t k = 0; k < assembly_.movers.size(); ++k) {
      for (const Mover::Follower& f : assembly_.movers[k].followers) {
        if (f.seat != seat) continue;
        follows.push_back(
            disc_on_part(static_cast<int>(k), 0, at_nominal_mm, 0.0, f.pivot_mm, f.plate_from_mover)
                .follows.front());
      }
    }
    return follows;
  }

  /// A disc at the seat's nominal place, moving with its movers.
  SeatDisc seat_disc(std::size_t seat, int stack, const Eigen::Vector2d& at_nominal_mm) const {
    SeatDisc disc;
    disc.stack = stack;
    disc.centre_mm = at_nominal_mm;
    disc.follows = follows_of(seat, at_nominal_mm);
    return disc;
  }

  /// A freedom of this disc alone: along its axis, from end to end.
  SeatFollow own_slide(const Eigen::Vector2d& half_axis_mm) {
    SeatFollow follow;
    follow.part = static_cast<int>(out_.bare.joint.parts.size());
    follow.by_shift << half_axis_mm, Eigen::Vector2d::Zero();
    out_.bare.joint.parts.push_back({{-1.0, 1.0}, {}, {}});
    out_.bare.rest.emplace_back();
    return follow;
  }

  SeatDisc bare_disc(std::size_t stack, const DemandDisc& wanted) {
    if (wanted.joint == kSharedCentre) return shared_disc(stack);
    std::size_t seat = 0;
    const SeatedFace* face = seat_of(stack, wanted.joint, seat);
    SeatDisc disc;
    disc.stack = static_cast<int>(stack);
    disc.centre_mm = wanted.centre_mm;
    if (face != nullptr) {
      const Eigen::Vector2d nominal = face->nominal.motion * (face->seat.motion.inverse() * wanted.centre_mm);
      SeatDisc moving = seat_disc(seat, disc.stack, nominal);
      if (!moving.follows.empty()) disc = std::move(moving);
    }
    disc.counts_for_misfit = wanted.is_hole;
    if (!wanted.slide_mm.isZero()) disc.follows.push_back(own_slide(wanted.slide_mm));
    return disc;
  }

  double reach_mm(std::size_t stack) const {
    double farthest = 0.0;
    for (const OldLayer& layer : assembly_.stacks[stack].layers) {
      std::size_t seat = 0;
      if (seat_of(stack, layer.joint, seat) == nullptr) continue;
      double travel = 0.0;
      for (const Mover& mover : assembly_.movers) {
        for (const Mover::Follower& f : mover.followers) {
          if (f.seat == seat) travel += travel_mm(mover.play, (layer.centre_mm - f.pivot_mm).norm());
        }
      }
      farthest = std::max(farthest, travel);
    }
    return 2.0 * farthest + kRoomToStandMm;  // from where it is seated now
  }

  void add_stack(std::size_t index) {
    const auto sides = exactness_.sides.find(index);
    const StackDemand demand =
        demand_of(cases_[index], options_[index], rules_,
                  {exactness_.surely, out_.shared.contains(index), exactness_.sliding_stacks.contains(index),
                   sides != exactness_.sides.end() ? sides->second : CornerSides{}},
                  reach_mm(index));
    if (!demand.corners.empty()) out_.corners[index] = demand.corners;
    StackOptions bare;
    bare.group = group_index_.at(group_key(index));
    std::vector<int> which;
    std::vector<std::size_t> used;  // discs that some option asks for
    for (std::size_t d = 0; d < demand.discs.size(); ++d) {
      const bool asked =
          std::any_of(demand.rooms.begin(), demand.rooms.end(),
                      [d](const std::vector<double>& room) { return !room.empty() && room[d] != kNoLimit; });
      if (asked) used.push_back(d);
    }
    for (const std::size_t d : used) out_.bare.joint.discs.push_back(bare_disc(index, demand.discs[d]));
    for (std::size_t k = 0; k < demand.rooms.size(); ++k) {
      if (demand.rooms[k].empty()) continue;
      StackOption option{options_[index][k].cost, {}, size_index(index, options_[index][k])};
      for (const std::size_t d : used) option.room_mm.push_back(demand.rooms[k][d]);
      bare.options.push_back(std::move(option));
      which.push_back(static_cast<int>(k));
    }
    bare.options.push_back({nothing_fits_cost(rules_.costs), std::vector<double>(used.size(), kNoLimit), -1});
    which.push_back(-1);
    out_.bare.stacks.push_back(std::move(bare));
    out_.option_of.push_back(std::move(which));
  }

  /// Where several movers share a seat, or one turns it about another point than its origin, their own ranges
  /// do not say its play: each limit that they could overstep becomes a pair of discs, the face's origin and
  /// an edge of huge radius.
  void add_play(std::size_t index) {
    const SeatedFace& seat = assembly_.seats[index];
    const SeatDisc origin = seat_disc(index, 0, seat.nominal.motion.shift_mm);
    const Play& play = seat.play;
    const std::pair<Eigen::Vector2d, double> limits[] = {{Eigen::Vector2d::UnitX(), play.along_max_mm},
                                                         {-Eigen::Vector2d::UnitX(), -play.along_min_mm},
                                                         {Eigen::Vector2d::UnitY(), play.across_max_mm},
                                                         {-Eigen::Vector2d::UnitY(), -play.across_min_mm}};
    for (const auto& [normal, most] : limits) {
      if (farthest_mm(origin, normal) <= most + kSameSizeMm) continue;
      const int stack = static_cast<int>(out_.bare.stacks.size());
      SeatDisc moving = origin;
      moving.stack = stack;
      moving.counts_for_misfit = false;
      SeatDisc edge;
      edge.stack = stack;
      edge.centre_mm = origin.centre_mm + normal * (most - kEdgeRadiusMm);
      edge.counts_for_misfit = false;
      // The rim falls back from the limit where the part slides along it: without the sag a play of no width
      // would hold it fast. What a seat oversteps by is brought back to its end afterwards (with_seats).
      constexpr double room = (kEdgeRadiusMm + kEdgeSagMm) / 2.0;
      out_.bare.joint.discs.push_back(std::move(moving));
      out_.bare.joint.discs.push_back(std::move(edge));
      out_.bare.stacks.push_back({-1, {{0.0, {room, room}, -1}}});
    }
  }

  double farthest_mm(const SeatDisc& disc, const Eigen::Vector2d& normal) const {
    double sum = 0.0;
    for (const SeatFollow& f : disc.follows) {
      const SeatPlay& play = out_.bare.joint.parts[static_cast<std::size_t>(f.part)];
      const Eigen::Vector2d along = f.by_shift.transpose() * normal;
      sum += std::max(along.x() * play.dx_mm.least, along.x() * play.dx_mm.most);
      sum += std::max(along.y() * play.dy_mm.least, along.y() * play.dy_mm.most);
      const double turn = std::max(std::abs(play.turn_rad.least), std::abs(play.turn_rad.most));
      sum += std::abs(f.by_sine_mm.dot(normal)) * std::sin(std::min(turn, 1.5)) +
             std::abs(f.by_versine_mm.dot(normal)) * (1.0 - std::cos(std::min(turn, 3.0)));
    }
    return sum;
  }

  const Assembly& assembly_;
  const std::vector<StackCase>& cases_;
  const std::vector<std::vector<Option>>& options_;
  const FairingRules& rules_;
  const ChoiceExactness& exactness_;
  std::map<std::string, std::set<double>> sizes_;
  std::map<std::string, int> group_index_;
  AssemblyChoice out_;
};

}  // namespace

AssemblyChoice choice_case(const Assembly& assembly, const std::vector<StackCase>& cases,
                           const std::vector<std::vector<Option>>& options, const FairingRules& rules,
                           const ChoiceExactness& exactness) {
  return Builder(assembly, cases, options, rules, exactness).run();
}

}  // namespace fairhole::detail
