// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "choice_neighbours.h"

#include <algorithm>
#include <cmath>

namespace fairhole::detail {
namespace {

constexpr double kFarMm = 30.0;    // no centre stands that far from where the drawing has it
constexpr double kHoleMm = 100.0;  // rooms beyond this are of edges, not of holes
constexpr double kSurelyMm = 1e-3;
constexpr double kQuarter = 1.5707963267948966;  // of a turn

double swing(const SeatRange& range) { return std::max(std::abs(range.least), std::abs(range.most)); }

Eigen::Vector2d towards(double angle_rad) { return {std::cos(angle_rad), std::sin(angle_rad)}; }

/// What the play lets `normal . (centre of b - centre of a)` be; parts that both follow move both.
SeatRange offset_range(const JointCase& joint, const SeatDisc& a, const SeatDisc& b,
                       const Eigen::Vector2d& normal) {
  const double middle = normal.dot(b.centre_mm - a.centre_mm);
  SeatRange out{middle, middle};
  std::vector<SeatFollow> apart;
  const auto add = [&](const SeatFollow& follow, double sign) {
    for (SeatFollow& known : apart) {
      if (known.part != follow.part) continue;
      known.by_shift += sign * follow.by_shift;
      known.by_sine_mm += sign * follow.by_sine_mm;
      known.by_versine_mm += sign * follow.by_versine_mm;
      return;
    }
    apart.push_back(
        {follow.part, sign * follow.by_shift, sign * follow.by_sine_mm, sign * follow.by_versine_mm});
  };
  for (const SeatFollow& follow : b.follows) add(follow, 1.0);
  for (const SeatFollow& follow : a.follows) add(follow, -1.0);
  for (const SeatFollow& follow : apart) {
    const SeatPlay& play = joint.parts[static_cast<std::size_t>(follow.part)];
    const Eigen::Vector2d slope = follow.by_shift.transpose() * normal;
    for (const auto& [k, range] : {std::pair(0, play.dx_mm), std::pair(1, play.dy_mm)}) {
      out.least += std::min(slope[k] * range.least, slope[k] * range.most);
      out.most += std::max(slope[k] * range.least, slope[k] * range.most);
    }
    const double turn = swing(play.turn_rad);
    const double turned = std::abs(follow.by_sine_mm.dot(normal)) * std::sin(std::min(turn, 1.5)) +
                          std::abs(follow.by_versine_mm.dot(normal)) * (1.0 - std::cos(std::min(turn, 3.0)));
    out.least -= turned;
    out.most += turned;
  }
  return out;
}

class Telling {
 public:
  Telling(const PitchTelling& given, AssemblyChoice& out) : given_(given), out_(out) {
    discs_.resize(given.assembly.stacks.size());
    for (const SeatDisc& disc : out.bare.joint.discs) {
      if (static_cast<std::size_t>(disc.stack) < discs_.size())
        discs_[static_cast<std::size_t>(disc.stack)].push_back(disc);
    }
  }

  void tell(const NeighbourPair& pair, const PitchArc& arc) {
    const double drawn =
        std::atan2((nominal(pair.b) - nominal(pair.a)).y(), (nominal(pair.b) - nominal(pair.a)).x());
    Directions all;
    if (!given_.tangents) all = directions_of(pair, drawn, arc.turned_rad);
    AssemblyChoice::Told told{all.together, pinned(pair.a, pair.b), pinned(pair.b, pair.a)};
    const double along = given_.tangents ? arc.along_rad : (all.together.least + all.together.most) / 2.0;
    // Each of the two asks the chord of the directions that its own options have.
    keep_beyond(pair.b, pair.a, told.part_a, along, false, all.of_b);
    keep_beyond(pair.a, pair.b, told.part_b, along, true, all.of_a);
    if (!given_.tangents && arc.turned_rad) {
      const SeatRange& turned = *arc.turned_rad;
      keep_side(pair, told.part_a, towards(turned.least), towards(turned.least + kQuarter));
      keep_side(pair, told.part_a, towards(turned.most), towards(turned.most - kQuarter));
    }
    out_.neighbours[pair] = told;
  }

 private:
  const Stack& stack(std::size_t i) const { return given_.assembly.stacks[i]; }
  const Eigen::Vector2d& nominal(std::size_t i) const { return stack(i).nominal_mm; }

  /// Of a bare option: what it asks of the neighbour; 0: no hole.
  double asked_mm(std::size_t own, std::size_t other, std::size_t bare_option) const {
    const int k = out_.option_of[own][bare_option];
    if (k < 0) return 0.0;
    return pitch_asked_mm(stack(own), given_.options[own][static_cast<std::size_t>(k)], stack(other),
                          given_.rules);
  }

  /// Directions that holes may come to have when they stand no nearer than the pitch, with each option of
  /// either stack; all of them for an option that cannot be had beside a hole.
  struct Directions {
    SeatRange together{kNoLimit, -kNoLimit};
    std::vector<SeatRange> of_a, of_b;
  };

  static void widen(SeatRange& range, const SeatRange& by) {
    range = {std::min(range.least, by.least), std::max(range.most, by.most)};
  }

  /// How far two holes may come to lie to the side of each other follows from the rooms of any two of their
  /// discs.
  Directions directions_of(const NeighbourPair& pair, double drawn_rad,
                           const std::optional<SeatRange>& within) const {
    const Eigen::Vector2d side(-std::sin(drawn_rad), std::cos(drawn_rad));
    std::vector<std::vector<SeatRange>> range;
    for (const SeatDisc& a : discs_[pair.a]) {
      std::vector<SeatRange>& row = range.emplace_back();
      for (const SeatDisc& b : discs_[pair.b]) row.push_back(offset_range(out_.bare.joint, a, b, side));
    }
    Directions out;
    out.of_a.assign(out_.option_of[pair.a].size(), {kNoLimit, -kNoLimit});
    out.of_b.assign(out_.option_of[pair.b].size(), {kNoLimit, -kNoLimit});
    for (std::size_t i = 0; i < out.of_a.size(); ++i) {
      const double of_a = asked_mm(pair.a, pair.b, i);
      for (std::size_t k = 0; k < out.of_b.size() && of_a > 0.0; ++k) {
        const double of_b = asked_mm(pair.b, pair.a, k);
        if (of_b <= 0.0) continue;
        SeatRange turned = turned_between(range, out_.bare.stacks[pair.a].options[i].room_mm,
                                          out_.bare.stacks[pair.b].options[k].room_mm, std::max(of_a, of_b));
        turned = {turned.least + drawn_rad, turned.most + drawn_rad};
        if (within) turned = {std::max(turned.least, within->least), std::min(turned.most, within->most)};
        if (turned.least > turned.most) continue;  // these two cannot be had together
        widen(out.of_a[i], turned);
        widen(out.of_b[k], turned);
        widen(out.together, turned);
      }
    }
    if (out.together.least > out.together.most)
      out.together = within.value_or(SeatRange{drawn_rad, drawn_rad});
    for (std::vector<SeatRange>* own : {&out.of_a, &out.of_b}) {
      for (SeatRange& turned : *own) {
        if (turned.least > turned.most) turned = out.together;
      }
    }
    return out;
  }

  /// From the drawn direction. `range`: how far aside of each other two discs may be.
  static SeatRange turned_between(const std::vector<std::vector<SeatRange>>& range,
                                  const std::vector<double>& room_a, const std::vector<double>& room_b,
                                  double pitch_mm) {
    SeatRange aside{-2.0 * kFarMm, 2.0 * kFarMm};
    for (std::size_t d = 0; d < range.size(); ++d) {
      for (std::size_t e = 0; e < range[d].size(); ++e) {
        const double room = room_a[d] + room_b[e];
        if (room > kHoleMm) continue;
        aside.least = std::max(aside.least, range[d][e].least - room);
        aside.most = std::min(aside.most, range[d][e].most + room);
      }
    }
    if (aside.least > aside.most) return {kNoLimit, -kNoLimit};
    const auto angle = [pitch_mm](double mm) { return std::asin(std::clamp(mm / pitch_mm, -1.0, 1.0)); };
    // Holes farther apart than the pitch may be turned by less.
    return {std::min(0.0, angle(aside.least)), std::max(0.0, angle(aside.most))};
  }

  /// The part that is the centre of `own` for the discs of `other`. Where `own` makes no hole it stands
  /// anywhere.
  int pinned(std::size_t own, std::size_t other) {
    const int part = static_cast<int>(out_.bare.joint.parts.size());
    out_.bare.joint.parts.push_back({{-kFarMm, kFarMm}, {-kFarMm, kFarMm}, {}});
    out_.bare.rest.emplace_back();
    SeatDisc disc;
    disc.stack = static_cast<int>(own);
    disc.centre_mm = nominal(own);
    disc.follows.push_back({part});
    disc.counts_for_misfit = false;
    disc.pins = true;
    out_.bare.joint.discs.push_back(std::move(disc));
    for (std::size_t o = 0; o < out_.bare.stacks[own].options.size(); ++o) {
      out_.bare.stacks[own].options[o].room_mm.push_back(asked_mm(own, other, o) > 0.0 ? 0.0 : kNoLimit);
    }
    return part;
  }

  /// `own` stays beyond a line that moves with the centre of `other` (told by `part`), square to `along_rad`
  /// (or, `backwards`, to the opposite direction). It stands off as far as the chord of each option's
  /// directions does at the least; with tangents the whole pitch. The line is the rim of a huge disc.
  void keep_beyond(std::size_t own, std::size_t other, int part, double along_rad, bool backwards,
                   const std::vector<SeatRange>& directions) {
    SeatDisc line;
    line.stack = static_cast<int>(own);
    line.centre_mm = nominal(other) + (backwards ? -1.0 : 1.0) * towards(along_rad) * kEdgeRadiusMm;
    line.follows.push_back({part});
    line.counts_for_misfit = false;
    out_.bare.joint.discs.push_back(std::move(line));
    for (std::size_t o = 0; o < out_.bare.stacks[own].options.size(); ++o) {
      const double asked = asked_mm(own, other, o);
      double room = kNoLimit;
      if (asked > 0.0 && given_.tangents) room = kEdgeRadiusMm - asked - kSurelyMm;
      if (asked > 0.0 && !given_.tangents) {
        const SeatRange& turned = directions[o];
        const double most = std::max({0.0, along_rad - turned.least, turned.most - along_rad});
        const double aside = asked * std::sin(std::min(most, kQuarter));
        const double sag = std::max(kEdgeSagMm, aside * aside / (2.0 * kEdgeRadiusMm));
        room = kEdgeRadiusMm - asked * std::cos(std::min(most, kQuarter)) + sag;
      }
      out_.bare.stacks[own].options[o].room_mm.push_back(room);
    }
  }

  /// The centre of b stays on the side `inwards` of the line from the centre of a along an end of the arc.
  void keep_side(const NeighbourPair& pair, int part, const Eigen::Vector2d& along,
                 const Eigen::Vector2d& inwards) {
    SeatDisc line;
    line.stack = static_cast<int>(pair.b);
    const double apart = (nominal(pair.b) - nominal(pair.a)).norm();
    line.centre_mm = nominal(pair.a) + along * apart + inwards * kEdgeRadiusMm;
    line.follows.push_back({part});
    line.counts_for_misfit = false;
    out_.bare.joint.discs.push_back(std::move(line));
    for (std::size_t o = 0; o < out_.bare.stacks[pair.b].options.size(); ++o) {
      // Along the line the two may stand farther off what was drawn than an edge's sag allows for.
      const double sag = (2.0 * kFarMm) * (2.0 * kFarMm) / (2.0 * kEdgeRadiusMm);
      const bool hole = asked_mm(pair.b, pair.a, o) > 0.0;
      out_.bare.stacks[pair.b].options[o].room_mm.push_back(hole ? kEdgeRadiusMm + sag : kNoLimit);
    }
  }

  const PitchTelling& given_;
  AssemblyChoice& out_;
  std::vector<std::vector<SeatDisc>> discs_;  ///< of each stack, as they were
};

}  // namespace

void tell_neighbours(const PitchTelling& given, const PitchArcs& arcs, AssemblyChoice& out) {
  Telling telling(given, out);
  for (const auto& [pair, arc] : arcs) telling.tell(pair, arc);
}

}  // namespace fairhole::detail
