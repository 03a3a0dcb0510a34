// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// The independent check, on a plan written down by hand: it passes as it stands, and each fault put into it
// is named by one whole line of text.
#include "fairhole/fairing/check_plan.h"

#include <gmock/gmock.h>

#include <functional>

#include "test_assemblies.h"

namespace fairhole {
namespace {

using Eigen::Vector2d;

struct Case {
  Assembly assembly;
  Plan plan;
  OldLayer& near() { return assembly.stacks[0].layers[0]; }
  StackPlan& stack() { return plan.stacks[0]; }
  LayerPlan& new_plate() { return plan.stacks[0].layers[0]; }
};

LayerPlan planned_layer(const OldLayer& layer, const Vector2d& centre_mm, double finish_mm) {
  LayerPlan plan;
  plan.part = layer.part, plan.joint = layer.joint, plan.hole = layer.hole;
  plan.centre_mm = layer.centre_mm;
  plan.finish_diameter_mm = finish_mm;
  plan.action = "ream";
  plan.misfit_mm = layer.centre_mm - centre_mm;
  return plan;
}

/// Two 22 mm holes 1 mm apart: 23 mm cleans them up, so 24 mm about their middle does.
Case opened_out() {
  Case made;
  made.assembly.plates = {test::plate_500()};
  for (const char* part : {"near", "far"}) {
    SeatedFace seat;
    seat.part = part, seat.face = "leg", seat.joint = std::string(part) + "-joint", seat.plate = "left";
    seat.play = {-0.5, 1.5, -2.0, 2.0, Angle::degrees(-0.3), Angle::degrees(0.3)};
    made.assembly.seats.push_back(seat);
    SeatPlan plan;
    plan.part = seat.part, plan.face = seat.face, plan.joint = seat.joint, plan.plate = seat.plate;
    made.plan.seats.push_back(plan);
  }
  Stack stack = test::stack_of(test::fitted_bolt(), {test::old_hole("near", 100.0, 100.0, 22.0),
                                                     test::old_hole("far", 101.0, 100.0, 22.0)});
  StackPlan plan;
  plan.id = stack.id, plan.plate = stack.plate, plan.group = stack.group;
  plan.centre_mm = {100.5, 100.0};
  plan.method = Method::kOpenOut;
  plan.finish_diameter_mm = 24.0;
  plan.finish = Finish::kInPlace;
  LayerPlan plate;
  plate.new_plate = true, plate.action = "ream";
  plate.finish_diameter_mm = 24.0, plate.pilot_diameter_mm = 20.0;
  plan.layers = {plate, planned_layer(stack.layers[0], plan.centre_mm, 24.0),
                 planned_layer(stack.layers[1], plan.centre_mm, 24.0)};
  made.assembly.stacks = {stack};
  made.plan.stacks = {plan};
  return made;
}

/// The same holes left as they are, a 20 mm clearance bolt through 22 mm.
Case cleared() {
  Case made = opened_out();
  FastenerSpec& bolt = made.assembly.stacks[0].fastener;
  bolt.kind = FastenerKind::kClearanceBolt;
  bolt.diameter_mm = 20.0, bolt.clearance_mm = 2.0;
  made.stack().method = Method::kClear;
  made.stack().finish_diameter_mm = 22.0;
  made.stack().finish = Finish::kBench;
  for (LayerPlan& layer : made.stack().layers) layer.action = layer.new_plate ? "drill" : "leave";
  return made;
}

/// The near hole 1.5 mm off bushed, the far one as it is: 22 mm about its own centre, 22 + 2 x 1.5 = 25 mm to
/// take the near one in, and 27 mm leave (27 - 22) / 2 = 2.5 mm of wall where a tenth of 22 mm is wanted.
Case bushed() {
  Case made = opened_out();
  Stack& stack = made.assembly.stacks[0];
  stack.fastener.bush_outsides_mm = {27.0, 30.0};
  stack.layers[1].centre_mm = {101.5, 100.0};
  StackPlan& plan = made.stack();
  plan.method = Method::kBush;
  plan.centre_mm = stack.layers[1].centre_mm;
  plan.finish_diameter_mm = 22.0;
  for (LayerPlan& layer : plan.layers) layer.finish_diameter_mm = 22.0;
  for (std::size_t i = 0; i < 2; ++i) {
    plan.layers[i + 1].centre_mm = stack.layers[i].centre_mm;
    plan.layers[i + 1].misfit_mm = stack.layers[i].centre_mm - plan.centre_mm;
  }
  plan.layers[1].action = "bush", plan.layers[1].bush_outside_mm = 27.0;
  plan.layers[2].action = "leave";
  return made;
}

std::vector<std::string> faults(const Case& c) {
  std::vector<std::string> lines;
  for (const Problem& problem : check_plan(c.assembly, c.plan, {})) lines.push_back(describe(problem));
  return lines;
}

TEST(CheckPlan, SoundPlansPass) {
  EXPECT_THAT(faults(opened_out()), testing::IsEmpty());
  EXPECT_THAT(faults(cleared()), testing::IsEmpty());
  EXPECT_THAT(faults(bushed()), testing::IsEmpty());
}

struct Fault {
  const char* name;
  std::function<void(Case&)> make;
  std::string text;
  Case (*start)() = opened_out;
};
void PrintTo(const Fault& fault, std::ostream* out) { *out << fault.name; }

class CheckPlanFault : public ::testing::TestWithParam<Fault> {};

TEST_P(CheckPlanFault, IsNamedInOneLine) {
  Case c = GetParam().start();
  GetParam().make(c);
  EXPECT_THAT(faults(c), testing::ElementsAre(GetParam().text));
}

/// The whole plan carried by a seat's shift and turn, as it ought to be.
void seat_near(Case& c, const Vector2d& shift, Angle turn) {
  SeatPlan& seat = c.plan.seats[0];
  seat.plate_from_face.motion = {shift, turn, false};
  seat.along_mm = shift.x(), seat.across_mm = shift.y(), seat.turn = turn;
  LayerPlan& layer = c.stack().layers[1];
  layer.centre_mm = shift + rotation(turn) * c.near().centre_mm;
  layer.misfit_mm = layer.centre_mm - c.stack().centre_mm;
}

/// A hole that is drilled afresh may lie anywhere.
void plug_near(Case& c) { c.stack().layers[1].action = "plug and re-drill"; }

const Fault kFaults[] = {
    {"StackLost", [](Case& c) { c.plan.stacks.clear(); },
     "E560 plan: 0 stacks planned, 1 there; one plan for each stack"},
    {"StackOfAnotherName", [](Case& c) { c.stack().id = "S9"; },
     "E560 stack S9: stands in the place of stack S1; one plan for each stack, with all its layers"},
    {"NotClean",
     [](Case& c) {
       c.assembly.stacks[0].fastener.sizes_mm = {22.0, 22.5};
       c.stack().finish_diameter_mm = 22.5;
       for (LayerPlan& layer : c.stack().layers) layer.finish_diameter_mm = 22.5;
       c.stack().layers[2].finish_diameter_mm = 24.0;  // the other hole alone is at fault
     },
     "E561 stack S1: A1 of near is not cleaned up at 22.5 mm; 23.0 mm about this centre"},
    {"DoesNotPass", [](Case& c) { c.near().diameter_mm = 20.8; },  // 20.8 - 2 x 0.5
     "E562 stack S1: 20.0 mm does not pass A1 of near; 19.8 mm passes there", cleared},
    {"ThinEdge",  // EN 1993-1-8 table 3.3: 1.2 x 24 = 28.8 mm
     [](Case& c) {
       c.near().bounds.push_back({Vector2d::UnitX(), 80.0, false, "end edge"});
     },
     "E563 stack S1: end edge of near is 20.5 mm from the centre; at least 28.8 mm"},
    {"PlateEdge",
     [](Case& c) {
       c.assembly.plates[0].outline_mm = {{72.0, 0.0}, {500.0, 0.0}, {500.0, 300.0}, {72.0, 300.0}};
     },
     "E563 stack S1: too near the edge of plate left; at least 28.8 mm"},
    {"KeepOut",  // 12 mm of radius, the zone 11.5 mm away
     [](Case& c) {
       c.assembly.plates[0].keep_outs = {
           {"weld line", {{112.0, 0.0}, {200.0, 0.0}, {200.0, 300.0}, {112.0, 300.0}}}};
     },
     "E563 stack S1: touches the keep-out \"weld line\"; another method or seat"},
    {"HeadOnFillet",  // half of 1.6 x 22 = 17.6 mm
     [](Case& c) {
       c.near().bounds.push_back({Vector2d::UnitX(), 90.0, true, "heel fillet"});
     },
     "E563 stack S1: heel fillet of near is 10.5 mm from the centre; at least 17.6 mm"},
    {"TooLarge", [](Case& c) { c.near().largest_mm = 23.5; },
     "E565 stack S1: A1 of near must not be opened this far; a smaller size or another method"},
    {"NotToBeOpened", [](Case& c) { c.near().may_be_opened = false; },
     "E565 stack S1: A1 of near must not be opened this far; a smaller size or another method"},
    {"FixedMoved", [](Case& c) { c.near().fixed = true; },
     "E566 stack S1: A1 of near carries location; keep the centre of the stack on it"},
    {"WrongSize",
     [](Case& c) {
       c.assembly.stacks[0].fastener.sizes_mm = {22.0, 25.0};
     },
     "E567 stack S1: 24.00 mm is not at hand; one of the fastener's sizes"},
    {"PinNotKept", [](Case& c) { c.assembly.stacks[0].pinned_method = "plug"; },
     "E568 stack S1: what the user pinned was not kept; the pinned method and size"},
    {"TappedReamed", [](Case& c) { c.near().form = HoleForm::kTapped; },
     "E569 stack S1: A1 of near is tapped and reamed; a clearance hole in the other layers"},
    {"TornLeft", [](Case& c) { c.near().form = HoleForm::kTorn; },
     "E569 stack S1: A1 of near is torn and left; open it out beyond the tear, or plug it", cleared},
    {"BushWallThin",
     [](Case& c) {
       c.assembly.stacks[0].fastener.bush_outsides_mm = {26.0};
       c.stack().layers[1].bush_outside_mm = 26.0;
     },
     "E577 stack S1: the bush in A1 of near is 26.0 mm outside, 22.0 mm inside; a bore of 22.0 mm and at "
     "least 2.2 mm of wall",
     bushed},
    {"BushOfAnotherBore", [](Case& c) { c.stack().layers[1].finish_diameter_mm = 21.0; },
     "E577 stack S1: the bush in A1 of near is 27.0 mm outside, 21.0 mm inside; a bore of 22.0 mm and at "
     "least 2.1 mm of wall",
     bushed},
    {"BushTakesTheHoleNotIn", [](Case& c) { c.near().diameter_mm = 24.5; },  // 24.5 + 2 x 1.5
     "E561 stack S1: A1 of near is not taken in by a bush of 27.0 mm; 27.5 mm about this centre", bushed},
    {"BushSeatAtTheEdge",  // 1.2 x 27 = 32.4 mm; the bore's own 26.4 mm would do
     [](Case& c) {
       c.near().bounds.push_back({Vector2d::UnitX(), 71.0, false, "end edge"});
     },
     "E563 stack S1: end edge of near is 30.5 mm from the centre; at least 32.4 mm", bushed},
    {"BushTooLarge", [](Case& c) { c.near().largest_mm = 26.0; },
     "E565 stack S1: A1 of near must not be opened this far; a smaller size or another method", bushed},
    {"BushNotAtHand", [](Case& c) { c.assembly.stacks[0].fastener.bush_outsides_mm = {28.0}; },
     "E567 stack S1: a bush of 27.00 mm outside is not at hand; one of the fastener's bush_outsides", bushed},
    {"BushInASlot", [](Case& c) { c.near().form = HoleForm::kSlotted; },
     "E569 stack S1: A1 of near is slotted and bushed; a bush in a plain hole", bushed},
    {"PlateBushed", [](Case& c) { c.new_plate().bush_outside_mm = 27.0; },
     "E569 stack S1: the new plate is bushed; a bush in an old part, told as such", bushed},
    {"BushNotTold", [](Case& c) { c.stack().method = Method::kTransfer; },
     "E569 stack S1: the method is transfer, and a layer gets a bush; a bush in an old part, told as such",
     bushed},
    {"SeatLost", [](Case& c) { c.plan.seats.pop_back(); },
     "E572 plan: 1 seats planned, 2 joints there; one seat for each joint"},
    {"SeatOfAnotherJoint",
     [](Case& c) {
       std::swap(c.plan.seats[0], c.plan.seats[1]);
       c.plan.seats[1].joint = "far-joint";
       c.plan.seats[1].part = "far";
     },
     "E572 joint near-joint: in its place stands the seat of far in joint far-joint; one seat for each "
     "joint"},
    {"OtherHand", [](Case& c) { c.plan.seats[0].plate_from_face.motion.mirrored = true; },
     "E572 joint near-joint: the part is seated by its other hand; one seat for each joint"},
    {"PastThePlay",
     [](Case& c) {
       plug_near(c);
       seat_near(c, {-0.6, 0.0}, {});
     },
     "E573 joint near-joint: the seat is -0.60 mm along from nominal; from -0.50 to 1.50 mm"},
    {"PastThePlayAcross",
     [](Case& c) {
       plug_near(c);
       seat_near(c, {0.0, 2.1}, {});
     },
     "E573 joint near-joint: the seat is 2.10 mm across from nominal; from -2.00 to 2.00 mm"},
    {"TurnedTooFar",
     [](Case& c) {
       plug_near(c);
       seat_near(c, {0.0, 0.0}, Angle::degrees(0.4));
     },
     "E573 joint near-joint: the seat is turned by 0.400 degree from nominal; a turn from -0.300 to 0.300 "
     "degree"},
    {"FiguresNotTheSeat", [](Case& c) { c.plan.seats[0].along_mm = 0.5; },
     "E574 joint near-joint: the figures to set the part by are not those of its seat; along, across and "
     "turn "
     "from the nominal seat"},
    {"HoleOffItsSeat", [](Case& c) { c.stack().layers[1].centre_mm.x() += 0.3; },
     "E574 stack S1: A1 of near is 0.30 mm from where its part's seat puts it; one rigid seat for all holes "
     "of a "
     "face"},
    {"MisfitToldWrong", [](Case& c) { c.stack().layers[2].misfit_mm = -c.stack().layers[2].misfit_mm; },
     "E574 stack S1: A1 of far is 1.00 mm from where its part's seat puts it; one rigid seat for all holes "
     "of a "
     "face"},
};
INSTANTIATE_TEST_SUITE_P(Each, CheckPlanFault, ::testing::ValuesIn(kFaults),
                         [](const auto& which) { return which.param.name; });

TEST(CheckPlan, NeighboursTooNear) {
  Case c = opened_out();  // 2.4 x 24 = 57.6 mm (EN 1993-1-8 table 3.3)
  Stack other = c.assembly.stacks[0];
  StackPlan plan = c.stack();
  other.id = plan.id = "S2";
  const Vector2d away(50.0, 0.0);
  other.nominal_mm += Vector2d(60.0, 0.0);
  plan.centre_mm += away;
  for (OldLayer& layer : other.layers) layer.centre_mm += away;
  for (LayerPlan& layer : plan.layers) layer.centre_mm += away;
  c.assembly.stacks.push_back(other);
  c.plan.stacks.push_back(plan);
  EXPECT_THAT(faults(c), testing::ElementsAre("E564 stack S1: S2 is 50.0 mm away; at least 57.6 mm"));
}

// Drawn 55 mm apart, which 22 mm holes may be (52.8 mm): that 24 mm asks more is no fault of the drawing.
TEST(CheckPlan, OversizeMayNotBreakAPitchThatTheDrawingKeeps) {
  Case c = opened_out();
  Stack other = c.assembly.stacks[0];
  StackPlan plan = c.stack();
  other.id = plan.id = "S2";
  const Vector2d away(55.0, 0.0);
  other.nominal_mm += away;
  plan.centre_mm += away;
  for (OldLayer& layer : other.layers) layer.centre_mm += away;
  for (LayerPlan& layer : plan.layers) layer.centre_mm += away;
  c.assembly.stacks.push_back(other);
  c.plan.stacks.push_back(plan);
  EXPECT_THAT(faults(c), testing::ElementsAre("E564 stack S1: S2 is 55.0 mm away; at least 57.6 mm"));
  c.assembly.stacks[1].nominal_mm = c.assembly.stacks[0].nominal_mm + Vector2d(52.0, 0.0);
  EXPECT_THAT(faults(c), testing::IsEmpty());
}

// 2.4 x 27 = 64.8 mm from the seat of a bush to a hole in the same part; 52.8 mm between the holes
// themselves.
TEST(CheckPlan, NeighbourTooNearASeat) {
  Case c = bushed();
  Stack other = c.assembly.stacks[0];
  StackPlan plan = c.stack();
  other.id = plan.id = "S2";
  const Vector2d away(60.0, 0.0);
  other.nominal_mm += Vector2d(70.0, 0.0);
  plan.centre_mm += away;
  for (OldLayer& layer : other.layers) layer.centre_mm += away;
  for (LayerPlan& layer : plan.layers) layer.centre_mm += away;
  c.assembly.stacks.push_back(other);
  c.plan.stacks.push_back(plan);
  EXPECT_THAT(faults(c), testing::ElementsAre("E564 stack S1: S2 is 60.0 mm away; at least 64.8 mm"));
  c.plan.stacks[1].layers.erase(c.plan.stacks[1].layers.begin() + 1);  // S2 without the near part
  c.assembly.stacks[1].layers.erase(c.assembly.stacks[1].layers.begin());
  c.plan.stacks[1].method = Method::kTransfer;
  EXPECT_THAT(faults(c), testing::IsEmpty());
}

// A seat within its play carries its holes with it, and the rest of the plan is judged where they then stand:
// 1 mm nearer to the far hole there is nothing left to open out.
TEST(CheckPlan, HolesAreJudgedWhereTheSeatPutsThem) {
  Case c = opened_out();
  const Angle turn = Angle::degrees(0.2);
  seat_near(c, Vector2d(0.0, 0.0), turn);
  // 100 mm from its corner in x and y, 0.2 degree: (-0.35, +0.35) mm; 24 mm still cleans both up.
  EXPECT_THAT(faults(c), testing::IsEmpty());
  seat_near(c, Vector2d(1.5, 2.0), turn);  // the near hole at (101.15, 102.35): 2.35 mm off needs 26.9 mm
  EXPECT_THAT(faults(c), testing::ElementsAre(
                             testing::StartsWith("E561 stack S1: A1 of near is not cleaned up at 24.0 mm")));
}

}  // namespace
}  // namespace fairhole
