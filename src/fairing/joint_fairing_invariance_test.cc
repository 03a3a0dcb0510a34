// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// The same job told another way is planned the same.
#include <fmt/core.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <map>

#include "fairhole/fairing/joint_fairing.h"
#include "support/statistics.h"
#include "test_joint_jobs.h"

namespace fairhole {
namespace {

using test::quick_rules;

constexpr double kCostRatio = 1e-9;

/// `turn` carries the axes into each other (quarter turns, reflections): the play stays a box.
Assembly told_from(Assembly assembly, const Eigen::Matrix2d& turn, const Eigen::Vector2d& shift) {
  const bool mirrors = turn.determinant() < 0.0;
  const auto place = [&](const Eigen::Vector2d& p) { return Eigen::Vector2d(turn * p + shift); };
  const auto angle = [&](Angle a) {
    const Eigen::Vector2d v = turn * Eigen::Vector2d(std::cos(a.radians()), std::sin(a.radians()));
    return Angle::radians(std::atan2(v.y(), v.x()));
  };
  const auto told = [&](Motion& m) {
    m.shift_mm = place(m.shift_mm), m.turn = angle(m.turn), m.mirrored = m.mirrored != mirrors;
  };
  const auto outline = [&](std::vector<Eigen::Vector2d>& points) {
    for (Eigen::Vector2d& p : points) p = place(p);
    if (mirrors) std::reverse(points.begin(), points.end());
  };
  for (PlateShape& plate : assembly.plates) {
    outline(plate.outline_mm);
    for (KeepOut& zone : plate.keep_outs) outline(zone.outline_mm);
  }
  for (SeatedFace& seat : assembly.seats) {
    told(seat.nominal.motion);
    told(seat.seat.motion);
    Play& play = seat.play;
    const Eigen::Vector2d a = turn * Eigen::Vector2d(play.along_min_mm, play.across_min_mm);
    const Eigen::Vector2d b = turn * Eigen::Vector2d(play.along_max_mm, play.across_max_mm);
    play.along_min_mm = std::min(a.x(), b.x()), play.along_max_mm = std::max(a.x(), b.x());
    play.across_min_mm = std::min(a.y(), b.y()), play.across_max_mm = std::max(a.y(), b.y());
    if (mirrors) {
      const Angle least = play.turn_min;
      play.turn_min = Angle::radians(-play.turn_max.radians()),
      play.turn_max = Angle::radians(-least.radians());
    }
  }
  for (Mover& mover : assembly.movers) {
    for (Mover::Follower& follower : mover.followers) {
      follower.plate_from_mover = turn * follower.plate_from_mover;
      follower.pivot_mm = place(follower.pivot_mm);
    }
  }
  for (Stack& stack : assembly.stacks) {
    stack.nominal_mm = place(stack.nominal_mm);
    for (OldLayer& layer : stack.layers) {
      layer.centre_mm = place(layer.centre_mm);
      layer.ovality_axis_rad = angle(Angle::radians(layer.ovality_axis_rad)).radians();
      for (OldLayer::Bound& bound : layer.bounds) {
        bound.normal = turn * bound.normal;
        bound.offset_mm += bound.normal.dot(shift);
      }
    }
  }
  return assembly;  // the covariance is round
}

Assembly renamed(Assembly assembly) {
  const auto other = [](std::string& name) {
    if (!name.empty()) name = std::string(1, static_cast<char>('z' - name.back() % 20)) + name + "'";
  };
  for (PlateShape& plate : assembly.plates) other(plate.name);
  for (SeatedFace& seat : assembly.seats)
    other(seat.part), other(seat.face), other(seat.joint), other(seat.plate);
  for (Mover& mover : assembly.movers) other(mover.name);
  for (Stack& stack : assembly.stacks) {
    other(stack.id), other(stack.plate), other(stack.group), other(stack.fastener.name);
    for (OldLayer& layer : stack.layers)
      other(layer.part), other(layer.face), other(layer.joint), other(layer.hole);
  }
  return assembly;
}

/// Everything in the reverse order; stack i of the one is the last but i of the other.
Assembly reordered(Assembly assembly) {
  std::reverse(assembly.plates.begin(), assembly.plates.end());
  std::reverse(assembly.seats.begin(), assembly.seats.end());
  std::reverse(assembly.movers.begin(), assembly.movers.end());
  std::reverse(assembly.stacks.begin(), assembly.stacks.end());
  for (Mover& mover : assembly.movers) {
    for (Mover::Follower& follower : mover.followers)
      follower.seat = assembly.seats.size() - 1 - follower.seat;
  }
  for (Stack& stack : assembly.stacks) std::reverse(stack.layers.begin(), stack.layers.end());
  return assembly;
}

struct Telling {
  const char* name;
  Assembly (*tell)(Assembly);
  bool backwards = false;
};

const Telling kTellings[] = {
    {"renamed", renamed},
    {"reordered", reordered, true},
    {"datum moved",
     [](Assembly a) {
       return told_from(std::move(a), Eigen::Matrix2d::Identity(), {517.0, -83.5});
     }},
    {"datum turned",
     [](Assembly a) {
       return told_from(std::move(a), rotation(Angle::degrees(90.0)), {12.0, 40.0});
     }},
    {"left for right",
     [](Assembly a) {
       return told_from(std::move(a), Eigen::Vector2d(1.0, -1.0).asDiagonal(), {0.0, 300.0});
     }},
};

TEST(JointFairing, TheSameJobToldAnotherWayIsPlannedTheSame) {
  std::map<std::string, int> other_plan;
  const auto jobs = static_cast<unsigned>(std::max(4, test::trials(120)));  // fewer under the sanitizers
  for (unsigned seed = 1; seed <= jobs; ++seed) {
    const Assembly assembly = test::JointJobMaker(seed, {}).make();
    const FairingRules rules = quick_rules();
    const Plan here = JointFairing{rules}(assembly).plan;
    for (const Telling& telling : kTellings) {
      SCOPED_TRACE(fmt::format("seed {}, {}", seed, telling.name));
      const Plan there = JointFairing{rules}(telling.tell(assembly)).plan;
      EXPECT_NEAR(there.cost, here.cost, kCostRatio * (1.0 + here.cost));
      EXPECT_EQ(there.proven, here.proven);
      for (std::size_t i = 0; i < here.stacks.size(); ++i) {
        const StackPlan& a = here.stacks[i];
        const StackPlan& b = there.stacks[telling.backwards ? here.stacks.size() - 1 - i : i];
        const bool same =
            a.method == b.method && std::abs(a.finish_diameter_mm - b.finish_diameter_mm) < 1e-6;
        EXPECT_TRUE(same) << a.id << ": " << method_name(a.method) << " " << a.finish_diameter_mm
                          << ", there " << method_name(b.method) << " " << b.finish_diameter_mm;
        if (!same) ++other_plan[telling.name];
      }
    }
  }
  for (const auto& [name, count] : other_plan) fmt::print("{}: {} stacks differ\n", name, count);
}

}  // namespace
}  // namespace fairhole
