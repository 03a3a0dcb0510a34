// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <array>
#include <vector>

#include "fairhole/fairing/joint_choice.h"
#include "test_seats.h"

/// Invented cases of options, for tests and benchmarks.
namespace fairhole::test {

/// The bare seats problem of one choice: with a radius of kWide - room a disc keeps its room exactly when the
/// clean-up radius is kWide at most.
inline constexpr double kWideMm = 20.0;
inline JointCase seats_problem(const ChoiceCase& choice_case, const std::vector<int>& option) {
  JointCase out = choice_case.joint;
  out.discs.clear();
  std::vector<std::size_t> seen(choice_case.stacks.size(), 0);
  for (SeatDisc disc : choice_case.joint.discs) {
    const auto s = static_cast<std::size_t>(disc.stack);
    const auto& options = choice_case.stacks[s].options;
    const double room = options[static_cast<std::size_t>(option[s])].room_mm[seen[s]++];
    if (room == kNoLimit) continue;
    disc.radius_mm = kWideMm - room;
    out.discs.push_back(disc);
  }
  return out;
}

inline double cost_of(const ChoiceCase& choice_case, const std::vector<int>& option,
                      const std::vector<int>& usual) {
  double sum = 0.0;
  for (std::size_t s = 0; s < option.size(); ++s) {
    const StackOptions& stack = choice_case.stacks[s];
    const StackOption& own = stack.options[static_cast<std::size_t>(option[s])];
    const bool odd =
        stack.group >= 0 && own.size >= 0 && own.size != usual[static_cast<std::size_t>(stack.group)];
    sum += own.cost + (odd ? choice_case.odd_cost : 0.0);
  }
  return sum;
}

/// The next of all ways to count below `sizes`; false after the last.
inline bool next_of(std::vector<int>& count, const std::vector<int>& sizes) {
  for (std::size_t i = 0; i < count.size(); ++i) {
    if (++count[i] < sizes[i]) return true;
    count[i] = 0;
  }
  return false;
}

/// Least cost of the options over all usual sizes.
inline double least_cost(const ChoiceCase& choice_case, const std::vector<int>& option) {
  std::vector<int> usual(choice_case.group_sizes.size(), 0);
  double least = kNoLimit;
  do least = std::min(least, cost_of(choice_case, option, usual));
  while (next_of(usual, choice_case.group_sizes));
  return least;
}

/// Up to five stacks through a fixed part and parts that share moves: two legs of an angle slide together and
/// each turns by itself. Options are of all kinds: roomier for one hole and tighter for another, holes let
/// go.
inline ChoiceCase small_choice(std::uint64_t seed) {
  CaseMaker maker(seed);
  std::mt19937_64& random = maker.random();
  const int fixed = maker.part({}, {150, 50});
  const int leg = maker.part(even_play(0.0, 1.0, 0.3), {140, 60});
  const int other_leg = maker.part(even_play(0.0, uniform(random, 0, 1), 0.3), {100, 40});
  const int slide = maker.part(even_play(uniform(random, 0, 2), 0.0, 0.0), {0, 0});
  const int stacks = 3 + static_cast<int>(random() % 3);
  for (int s = 0; s < stacks; ++s) {
    const Eigen::Vector2d place{uniform(random, 0, 300), uniform(random, 0, 100)};
    const int stack = maker.stack();
    for (const int part : {fixed, leg, other_leg}) {
      if (part == leg || random() % 3 != 0) maker.hole(part, stack, place, 0.6, 10.0);
    }
  }
  ChoiceCase out;
  out.joint = maker.made();
  for (SeatDisc& disc : out.joint.discs) {
    const int part = disc.follows.front().part;
    if (part == fixed) continue;
    Eigen::Matrix2d along = Eigen::Matrix2d::Identity();
    if (part == other_leg) along(0, 0) = -1.0;  // seen from behind
    disc.follows.push_back({slide, along, {0, 0}, {0, 0}});
  }
  out.group_sizes = {3, 2};
  out.odd_cost = uniform(random, 0, 4);
  for (int s = 0; s < stacks; ++s) {
    StackOptions& own = out.stacks.emplace_back();
    own.group = static_cast<int>(random() % 3) - 1;
    const auto discs = std::count_if(out.joint.discs.begin(), out.joint.discs.end(),
                                     [s](const SeatDisc& disc) { return disc.stack == s; });
    const int options = 2 + static_cast<int>(random() % 3);
    for (int k = 0; k < options; ++k) {
      StackOption& option = own.options.emplace_back();
      option.cost = uniform(random, 0, 6);
      if (own.group >= 0)
        option.size = static_cast<int>(random() % static_cast<std::uint64_t>(own.group == 0 ? 3 : 2));
      const double room = uniform(random, 0.1, 0.8);
      for (int d = 0; d < discs; ++d) {
        option.room_mm.push_back(room + uniform(random, -0.2, 0.2));
        if (random() % 8 == 0) option.room_mm.back() = kNoLimit;
      }
    }
    if (random() % 2 == 0) {
      own.options.push_back({12.0, std::vector<double>(static_cast<std::size_t>(discs), kNoLimit), -1});
    }
  }
  return out;
}

/// Each stack at one of six sizes, or with one of its holes plugged as well, or all; groups of about
/// `group_of` stacks that would rather keep to one size.
inline ChoiceCase sized_choice(const JointCase& joint, int group_of = 20) {
  const int stacks = joint.stacks;
  constexpr std::array<double, 6> kSizesMm{10.8, 11.2, 11.6, 12.0, 12.5, 13.0};
  constexpr double kPlug = 100.0, kStep = 3.0, kMetal = 0.3;
  ChoiceCase out;
  out.joint = joint;
  out.odd_cost = 10.0;
  out.group_sizes.assign(static_cast<std::size_t>(std::max(1, stacks / group_of)), 6);
  std::vector<std::vector<double>> radius_mm(static_cast<std::size_t>(stacks));
  for (const SeatDisc& disc : out.joint.discs)
    radius_mm[static_cast<std::size_t>(disc.stack)].push_back(disc.radius_mm);
  for (int s = 0; s < stacks; ++s) {
    const std::vector<double>& radii = radius_mm[static_cast<std::size_t>(s)];
    StackOptions& own = out.stacks.emplace_back();
    own.group = s * static_cast<int>(out.group_sizes.size()) / stacks;
    for (int plugged = -1; plugged < static_cast<int>(radii.size()); ++plugged) {
      for (std::size_t k = 0; k < kSizesMm.size(); ++k) {
        StackOption& option = own.options.emplace_back();
        option.size = static_cast<int>(k);
        option.cost = (plugged >= 0 ? kPlug : 0.0) + kStep * static_cast<double>(k);
        for (std::size_t i = 0; i < radii.size(); ++i) {
          const bool gone = static_cast<int>(i) == plugged;
          option.room_mm.push_back(gone ? kNoLimit : kSizesMm[k] / 2.0 - radii[i]);
          if (!gone) option.cost += kMetal * (kSizesMm[k] - 2.0 * radii[i]);
        }
      }
    }
    own.options.push_back(
        {kPlug * static_cast<double>(radii.size()), std::vector<double>(radii.size(), kNoLimit), -1});
  }
  return out;
}

/// The frame of two plates, four angles and a beam.
inline ChoiceCase frame_choice(std::uint64_t seed, int stacks, double sigma_mm = 0.2,
                               bool right_stays = false) {
  return sized_choice(frame_case(seed, stacks, sigma_mm, right_stays));
}

}  // namespace fairhole::test
