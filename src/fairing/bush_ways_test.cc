// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Bushes as a way to treat a stack: against every combination tried by hand, the rules one by one, and odds.
#include <fmt/core.h>
#include <gmock/gmock.h>

#include <numbers>
#include <random>

#include "fairhole/fairing/check_plan.h"
#include "fairhole/fairing/first_fairing.h"
#include "test_stacks.h"

namespace fairhole {
namespace {

using Eigen::Vector2d;
using test::cheapest;
using test::exact_options;
using test::old_hole;
using test::stack_of;
using testing::HasSubstr;

FastenerSpec bolt_with_bushes() {
  FastenerSpec spec = test::fitted_bolt();
  spec.bush_outsides_mm = {27.0, 30.0};
  return spec;
}

// --- Every combination, tried. ---

/// A disc in which the centre must lie.
struct Reach {
  Vector2d at;
  double radius = 0.0;
};

/// Whether discs have a point in common: then one of their centres or of their rims' crossings is one.
bool meet(const std::vector<Reach>& discs) {
  std::vector<Vector2d> points;
  for (const Reach& a : discs) {
    if (a.radius < 0.0) return false;
    points.push_back(a.at);
    for (const Reach& b : discs) {
      const Vector2d off = b.at - a.at;
      const double d = off.norm();
      if (d < 1e-12 || d > a.radius + b.radius || d < std::abs(a.radius - b.radius)) continue;
      const double along = (d * d + a.radius * a.radius - b.radius * b.radius) / (2.0 * d);
      const double up = std::sqrt(std::max(0.0, a.radius * a.radius - along * along));
      for (const double side : {up, -up})
        points.push_back(a.at + along * off / d + side * Vector2d(-off.y(), off.x()) / d);
    }
  }
  constexpr double kRoundingMm = 1e-9;
  return std::any_of(points.begin(), points.end(), [&discs](const Vector2d& p) {
    return std::all_of(discs.begin(), discs.end(),
                       [&p](const Reach& disc) { return (p - disc.at).norm() <= disc.radius + kRoundingMm; });
  });
}

enum class Act { kLeave, kReam, kBush, kPlug };

/// The least cost of round holes under one fitted bolt without doubt, by the rules of docs/fairing.md. Each
/// layer gets each act, with each size and each outside; a stack is bushed or plugged, not both.
class EveryAct {
 public:
  explicit EveryAct(const Stack& stack) : stack_(stack), acts_(stack.layers.size(), Act::kLeave) { fill(0); }
  double least = 1e9;

 private:
  void fill(std::size_t at) {
    if (at == acts_.size()) return try_sizes();
    for (const Act act : {Act::kLeave, Act::kReam, Act::kBush, Act::kPlug}) {
      acts_[at] = act;
      fill(at + 1);
    }
  }

  int count(Act act) const { return static_cast<int>(std::count(acts_.begin(), acts_.end(), act)); }

  void try_sizes() {
    const int left = count(Act::kLeave), reamed = count(Act::kReam);
    if (left > 1 || (left == 1 && reamed > 0) || (count(Act::kBush) > 0 && count(Act::kPlug) > 0)) return;
    for (const double outside : stack_.fastener.bush_outsides_mm) {
      if (left == 1) {
        const auto which =
            static_cast<std::size_t>(std::find(acts_.begin(), acts_.end(), Act::kLeave) - acts_.begin());
        const double found = *stack_.layers[which].diameter_mm;
        if (found >= 22.0 - 0.2 && found <= 26.0 + 0.2)  // as a turned bolt may follow it
          try_one(found, outside, Reach{stack_.layers[which].centre_mm, 0.0});
      } else if (reamed == 0) {
        try_one(22.0, outside, std::nullopt);
      } else {
        for (const double size : stack_.fastener.sizes_mm) try_one(size, outside, std::nullopt);
      }
    }
  }

  void try_one(double finish, double outside, std::optional<Reach> held) {
    double cost = 0.0;
    std::vector<Reach> discs;
    if (held) discs.push_back(*held);
    for (std::size_t k = 0; k < acts_.size(); ++k) {
      const OldLayer& layer = stack_.layers[k];
      const double found = *layer.diameter_mm;
      const double circle = acts_[k] == Act::kBush ? outside : finish;
      if (acts_[k] == Act::kPlug) cost += 100.0;
      if (acts_[k] == Act::kBush) {
        cost += 40.0;
        if ((outside - finish) / 2.0 < std::max(2.0, finish / 10.0)) return;
      }
      if (acts_[k] != Act::kBush && acts_[k] != Act::kReam) continue;
      discs.push_back({layer.centre_mm, (circle - found) / 2.0});
      cost += std::numbers::pi / 4.0 * (circle * circle - found * found) * layer.thickness_mm / 1000.0;
    }
    if (count(Act::kReam) > 0) cost += 3.0 * std::round((finish - 22.0) / 2.0);
    if (cost < least && (discs.empty() || meet(discs))) least = cost;
  }

  const Stack& stack_;
  std::vector<Act> acts_;
};

TEST(BushWays, CostIsTheLeastOfEveryCombination) {
  std::mt19937_64 random(7);
  std::normal_distribution<double> normal;
  int bushed = 0, twice = 0;
  const PlateShape plate = test::plate_500();
  for (int trial = 0; trial < 3000; ++trial) {
    SCOPED_TRACE(trial);
    Stack stack = stack_of(bolt_with_bushes(), {});
    const int layers = 1 + trial % 3;
    for (int k = 0; k < layers; ++k) {
      const Vector2d off_mm{1.3 * normal(random), 1.3 * normal(random)};
      OldLayer layer = old_hole("part " + std::to_string(k), 100.0 + off_mm.x(), 100.0 + off_mm.y(),
                                22.0 + 1.2 * std::abs(normal(random)));
      layer.thickness_mm = 12.0;
      stack.layers.push_back(layer);
    }
    const std::vector<Option> options = exact_options(stack, plate);
    const Option* best = cheapest(options);
    ASSERT_NE(best, nullptr);
    constexpr double kRounding = 1e-9;  // of a cost of about 100
    EXPECT_NEAR(best->cost, EveryAct(stack).least, kRounding);
    bushed += best->method == Method::kBush ? 1 : 0;
    twice += best->bushed.size() > 1 ? 1 : 0;
  }
  fmt::print("{} of 3000 stacks are bushed, {} of them twice\n", bushed, twice);
  EXPECT_GT(bushed, 300);
}

// --- The rules, one by one. ---

Stack pinned_to_bush(std::vector<OldLayer> layers) {
  Stack stack = stack_of(bolt_with_bushes(), std::move(layers));
  stack.pinned_method = "bush";
  return stack;
}

StackPlan decided(const Stack& stack) {
  Assembly assembly;
  assembly.plates.push_back(test::plate_500());
  assembly.stacks = {stack};
  FirstFairing fairing;
  fairing.rules = test::exact_rules();
  fairing.rules.draws = 100;
  const Plan plan = fairing(assembly);
  for (const Problem& problem : check_plan(assembly, plan, fairing.rules)) ADD_FAILURE() << describe(problem);
  return plan.stacks.front();
}

// 22 mm holes 2 mm apart: 22 + 4 = 26 mm round the one takes in the other; 27 mm leave 2.5 mm of wall round
// 22 mm, where a tenth of it is wanted.
TEST(BushWays, OneHoleIsBushedAboutTheOther) {
  const StackPlan plan = decided(
      pinned_to_bush({old_hole("casting", 102.0, 100.0, 22.0), old_hole("near", 100.0, 100.0, 22.0)}));
  EXPECT_EQ(plan.method, Method::kBush);
  EXPECT_EQ(plan.state, State::kPinned);
  EXPECT_EQ(plan.finish_diameter_mm, 22.0);
  ASSERT_EQ(plan.layers.size(), 3U);
  EXPECT_FALSE(plan.layers[0].bush_outside_mm.has_value());
  const std::size_t one = plan.layers[1].action == "bush" ? 1 : 2;
  EXPECT_EQ(plan.layers[one].action, "bush");
  EXPECT_EQ(plan.layers[one].bush_outside_mm, 27.0);
  EXPECT_EQ(plan.layers[one].finish_diameter_mm, 22.0);
  EXPECT_EQ(plan.layers[3 - one].action, "leave");
  EXPECT_EQ(plan.centre_mm, plan.layers[3 - one].centre_mm);
  EXPECT_NEAR(plan.margin_mm, 27.0 - 26.0, 1e-9);
  EXPECT_THAT(plan.reason, HasSubstr("to 27.0 mm and press in a bush, bored 22.0 mm with the rest."));
}

TEST(BushWays, AWornHoleAloneIsBushedWhereItStands) {
  Stack stack = stack_of(bolt_with_bushes(), {old_hole("casting", 103.0, 99.0, 26.5)});
  const StackPlan plan = decided(stack);
  EXPECT_EQ(plan.method, Method::kBush);
  EXPECT_EQ(plan.centre_mm, Vector2d(103.0, 99.0));
  EXPECT_EQ(plan.finish_diameter_mm, 22.0);
  EXPECT_EQ(
      plan.ruled_out,
      "Not as it is: A1 of casting is 26.5 mm, larger than any bolt at hand. Not open out to 26.0 mm: the "
      "old holes need 26.5 mm as measured, 26.5 mm with their doubt.");
}

TEST(BushWays, APlugSaysWhyNoBush) {
  const StackPlan plan = decided(stack_of(
      bolt_with_bushes(), {old_hole("casting", 109.0, 100.0, 22.0), old_hole("near", 100.0, 100.0, 22.0)}));
  EXPECT_EQ(plan.method, Method::kPlug);
  EXPECT_THAT(
      plan.ruled_out,
      HasSubstr("Not bushed: about this centre A1 of casting needs a bush of 40.0 mm, with its doubt."));
}

struct Refusal {
  const char* name;
  void (*make)(Stack&);
  const char* text;
};
void PrintTo(const Refusal& refusal, std::ostream* out) { *out << refusal.name; }
class BushRefused : public ::testing::TestWithParam<Refusal> {};

// What is pinned to a bush is bushed or refused with what stands in the way.
TEST_P(BushRefused, SaysWhy) {
  Stack stack = pinned_to_bush({old_hole("casting", 100.0, 100.0, 23.0)});
  GetParam().make(stack);
  const StackPlan plan = decided(stack);
  EXPECT_EQ(plan.method, Method::kUndecided);
  EXPECT_EQ(plan.state, State::kUndecided);
  EXPECT_EQ(plan.reason, GetParam().text);
}

const Refusal kRefusals[] = {
    {"NoOutsides", [](Stack& s) { s.fastener.bush_outsides_mm.clear(); },
     "What is pinned cannot be done: bushed: the fastener has no bush_outsides: state which outside "
     "diameters "
     "can be had."},
    {"ThinWall", [](Stack& s) { s.fastener.bush_outsides_mm = {26.0}; },
     "What is pinned cannot be done: bushed: a bush of 26.0 mm leaves 2.0 mm of wall round 22.0 mm, 2.2 mm "
     "is "
     "the least."},
    {"TooLarge",
     [](Stack& s) {
       s.fastener.bush_outsides_mm = {27.0};
       s.layers[0].largest_mm = 26.0;
     },
     "What is pinned cannot be done: bushed: A1 of casting takes 26.0 mm at the most, not a bush of 27.0 "
     "mm."},
    {"NeverOpened", [](Stack& s) { s.layers[0].may_be_opened = false; },
     "What is pinned cannot be done: bushed: no old hole here may be opened for one."},
    {"Tapped", [](Stack& s) { s.layers[0].form = HoleForm::kTapped; },
     "What is pinned cannot be done: bushed: no old hole here may be opened for one."},
    {"HoleTooLarge",
     [](Stack& s) {
       s.fastener.bush_outsides_mm = {27.0};
       s.layers[0].diameter_mm = 27.5;
     },
     "What is pinned cannot be done: bushed: A1 of casting alone needs 27.5 mm with its doubt, more than a "
     "bush "
     "of 27.0 mm."},
    {"EdgeOfTheSeat",  // 1.2 x 27 = 32.4 mm; the hole itself would need 26.4
     [](Stack& s) {
       s.fastener.bush_outsides_mm = {27.0};
       s.layers[0].diameter_mm = 27.0;
       s.layers[0].bounds.push_back({Vector2d::UnitX(), 70.0, false, "end edge"});
     },
     "What is pinned cannot be done: bushed: the end edge of casting is 30.0 mm from the centre, 32.4 mm is "
     "the "
     "least; clear of it A1 of casting needs a bush of 31.8 mm, with its doubt."},
};
INSTANTIATE_TEST_SUITE_P(Each, BushRefused, ::testing::ValuesIn(kRefusals),
                         [](const auto& which) { return which.param.name; });

TEST(BushWays, TheShopsOwnWallReplacesTheUsualOne) {
  const Stack stack = pinned_to_bush({old_hole("casting", 100.0, 100.0, 23.0)});
  const PlateShape plate = test::plate_500();
  FairingRules rules = test::exact_rules();
  const std::vector<Option> usual = exact_options(stack, plate, rules);
  ASSERT_NE(cheapest(usual), nullptr);
  EXPECT_EQ(cheapest(usual)->bush_outside_mm, 27.0);
  rules.bush_wall_mm = 3.0;  // 22 + 6 = 28 mm and more
  const std::vector<Option> own = exact_options(stack, plate, rules);
  ASSERT_NE(cheapest(own), nullptr);
  EXPECT_EQ(cheapest(own)->bush_outside_mm, 30.0);
}

// --- Odds: the seat follows the hole that guides, not the pilot. ---

TEST(BushWays, OddsOfASeatHangOnBothOldHoles) {
  Stack stack =
      pinned_to_bush({old_hole("casting", 101.0, 100.0, 22.0), old_hole("near", 100.0, 100.0, 22.0)});
  stack.layers[1].may_be_opened = false;  // the casting's is bushed
  const PlateShape plate = test::plate_500();
  FairingRules rules;
  rules.drilling = drilling_errors(DrillingWay::kMarkedOut);
  const Eigen::Matrix2d cov = 0.16 * Eigen::Matrix2d::Identity();
  const StackCase entry{&stack, &plate, {cov, 2.0 * cov}};
  rules.confidence = 0.5;  // or no outside would do
  const std::vector<Option> options = options_for(entry, rules);
  const Option* option = cheapest(options);
  ASSERT_NE(option, nullptr);
  EXPECT_EQ(option->bush_outside_mm, 27.0);
  EXPECT_EQ(option->event.layers[1].role, Role::kGuides);
  std::mt19937_64 random(3);
  std::normal_distribution<double> normal;
  const double one = 0.4, other = 0.4 * std::numbers::sqrt2;
  int held = 0, told = 0;
  constexpr int kDraws = 100000;
  for (int k = 0; k < kDraws; ++k) {
    const Vector2d a{one * normal(random), one * normal(random)};
    const Vector2d b{other * normal(random), other * normal(random)};
    const Vector2d drilled{0.2 * normal(random), 0.2 * normal(random)};
    // By hand: the pilot lies in the near hole, and 27 mm about that hole take in the casting's.
    const bool pilot_in = (b - drilled).norm() <= 11.0 - option->event.pilot_mm / 2.0;
    const bool seat_in = (Vector2d(1.0, 0.0) + a - b).norm() <= 13.5 - 11.0;
    held += pilot_in && seat_in ? 1 : 0;
    told += event_holds(option->event, {a, b}, drilled, {0.0, 0.0}) ? 1 : 0;
  }
  EXPECT_EQ(told, held);
  const double lower = event_lower_bound(option->event, entry.layer_cov_mm2, {0.0, 0.2, 0.0});
  const double sigma = std::sqrt(held * (1.0 - 1.0 * held / kDraws)) / kDraws;
  EXPECT_LE(lower, 1.0 * held / kDraws + 3.0 * sigma);
  EXPECT_GE(lower, 1.0 * held / kDraws - 0.05);  // Bonferroni gives away what fails in both
}

}  // namespace
}  // namespace fairhole
