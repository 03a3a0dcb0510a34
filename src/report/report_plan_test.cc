// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// What the report says of the plan: holes, their ways, alternatives, proof, seats.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>

#include "fairhole/fairing/alternatives.h"
#include "test_plan.h"

namespace fairhole::report {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
using namespace test;

/// What is settled folds to a line a row; what asks for a decision stands open, and enlarged.
TEST(Report, SettledRowsFoldAndOpenQuestionsStand) {
  ReportInput input = crane_report();
  StackPlan more = input.plan.stacks[5];  // B2, a transfer
  more.id = "B3";
  more.finish_diameter_mm = 21.04;
  more.odds = 0.93;
  input.plan.stacks.push_back(more);
  const std::string html = report_of(input);
  EXPECT_THAT(html,
              HasSubstr("<details><summary><b>corner, 2 holes:</b>\ndrill to the old hole, 20.6 to 21.0 mm; "
                        "B2 and B3. Odds 93 in 100 or better.</summary>"));
  const std::size_t open = html.find("These ask for a decision or your eye");
  const std::size_t settled = html.find("Settled on");
  for (const char* const asks : {"A2: open out", "A3: plug", "A4: open out"}) {  // look again, plug, pinned
    const std::size_t at = html.find(std::string("<h3>") + asks);
    EXPECT_TRUE(open < at && at < settled) << asks;
  }
  EXPECT_THAT(html, Not(HasSubstr("<h3>B2: ")));  // no card for what follows an old hole
  EXPECT_GT(html.find("<h3>A1: open out"), settled);
}

/// A hole nobody measured has no circle, no place and no picture.
TEST(Report, HoleNobodyMeasuredIsSaidNotDrawn) {
  ReportInput input = crane_report();
  StackPlan unknown =
      stack("U1", Method::kUndecided, 0.0, {old_layer("bearing guide", "3", {0, 0}, 20, 0.0)});
  unknown.state = unknown.layers[1].state = State::kLookAgain;
  unknown.layers[1].found_diameter_mm.reset();
  input.plan.stacks.push_back(unknown);
  const std::string html = report_of(input);
  EXPECT_THAT(html, HasSubstr("bearing guide, hole 3: diameter not known; look again. "));
  EXPECT_THAT(html, Not(HasSubstr("Stack U1 enlarged")));
  EXPECT_THAT(html, HasSubstr("Stack A2 enlarged"));
}

/// Two plates whose stacks alternate in the plan: each is headed once.
TEST(Report, SettledRowsOfAPlateStandTogether) {
  ReportInput input = crane_report();
  StackPlan other = input.plan.stacks[5];
  other.plate = "beam";
  input.plan.stacks = {input.plan.stacks[5], other, input.plan.stacks[6]};
  const std::string html = report_of(input);
  const std::string head = "Settled on toe plate, left";
  EXPECT_NE(html.find(head), std::string::npos);
  EXPECT_EQ(html.find(head), html.rfind(head));
}

/// The plan, two wishes of which one changes nothing, and each part by itself: two holes more to open out.
std::vector<Alternative> crane_alternatives() {
  const PlanCount plan{.plugs = 1, .opened = 5, .odd_sizes = 1, .sizes = 3, .metal_cm3 = 12.4};
  PlanCount one_size = plan;
  one_size.odd_sizes = 0;
  one_size.metal_cm3 = 15.8;
  PlanCount alone = plan;
  alone.opened = 7;
  return {{"the plan", plan, 0.36, true},
          {"fewest plugs", plan, 0.36, true},
          {"least metal taken from old parts", plan, 0.36, true},
          {"one size in each group", one_size, 0.34, false},
          {kSeatedAlone, alone, 0.41, false}};
}

/// The text of a table row, cells parted by bars.
std::string row_text(const std::string& page, const std::string& first_cell) {
  const std::string html = std::regex_replace(page, std::regex("\\n"), "");
  const std::size_t at = html.find("<td>" + first_cell + "</td>");
  if (at == std::string::npos) return "no row " + first_cell;
  const std::string row = html.substr(at, html.find("</tr>", at) - at);
  const std::string parted = std::regex_replace(row, std::regex("</td><td[^>]*>"), "|");
  return std::regex_replace(parted, std::regex("<[^>]*>"), "");
}

TEST(Report, AlternativesStandInRowsAndSameOnesAreSaid) {
  ReportInput input = crane_report();
  EXPECT_THAT(report_of(input), Not(HasSubstr("What else could be done")));
  input.plan.alternatives = crane_alternatives();
  const std::string html = report_of(input);
  EXPECT_LT(html.find(">The holes</h2>"), html.find(">What else could be done</h2>"));
  EXPECT_LT(html.find(">What else could be done</h2>"), html.find(">Paper and files</h2>"));
  EXPECT_EQ(row_text(html, "<b>this plan</b>"), "this plan|1|5|1|3|12|0|36");
  EXPECT_EQ(row_text(html, "one size in each group"), "one size in each group|1|5|0|3|16|0|34");
  EXPECT_EQ(row_text(html, "each part seated by itself"), "each part seated by itself|1|7|1|3|12|0|41");
  EXPECT_THAT(html, HasSubstr("Fewest plugs and least metal taken from old parts come to this same plan."));
  EXPECT_EQ(row_text(html, "fewest plugs"), "no row fewest plugs");
}

TEST(Report, WhatSeatingTogetherSavesIsSaidWhereItSaves) {
  ReportInput input = crane_report();
  input.plan.alternatives = crane_alternatives();
  const std::string gain =
      "Seating all parts together saves 2 old holes opened out against seating each by itself";
  EXPECT_THAT(report_of(input), HasSubstr(gain + "."));
  EXPECT_LT(report_of(input).find(gain), report_of(input).find(">Cautions</h2>"));
  PlanCount& alone = input.plan.alternatives.back().count;
  alone.odd_sizes = 0;
  EXPECT_THAT(report_of(input), HasSubstr(gain + ", and costs 1 odd size more."));
  alone.opened = 5;  // saves nothing now, and nothing is claimed
  EXPECT_THAT(report_of(input), Not(HasSubstr("Seating all parts together saves")));
  alone.opened = 7;
  input.plan.alternatives.back().same = true;
  EXPECT_THAT(report_of(input), Not(HasSubstr("Seating all parts together saves")));
}

/// A bound is never rounded up: 99.9 in 100 is not all of it.
TEST(Report, ProofIsNeverOverstated) {
  ReportInput input = crane_report();
  EXPECT_THAT(report_of(input), HasSubstr("no plan can cost less than 96 in 100 of it."));  // 40.5 of 42
  input.plan.bound = 41.99;
  EXPECT_THAT(report_of(input), HasSubstr("no plan can cost less than 99 in 100 of it."));
  EXPECT_THAT(report_of(input), Not(HasSubstr("proven")));
  input.plan.bound = 0.3;
  EXPECT_THAT(report_of(input), HasSubstr("Best plan found; not proven to be the cheapest."));
  EXPECT_THAT(report_of(input), Not(HasSubstr("ten plugs")));
  input.plan.stacks[0].state = State::kUndecided;
  EXPECT_THAT(report_of(input), HasSubstr("A hole that nothing fits counts as ten plugs."));
  input.plan.bound = input.plan.cost;
  input.plan.proven = true;
  EXPECT_THAT(report_of(input),
              HasSubstr("No cheaper plan exists under the costs of the job, with these first "
                        "holes to bolt: proven."));
}

TEST(Report, WaysOfAHoleStandSideBySide) {
  ReportInput input = crane_report();
  StackPlan& plug = input.plan.stacks[2];
  EXPECT_THAT(report_of(input), Not(HasSubstr("class=\"ways\"")));
  plug.ways = {{Method::kTransfer, 22.0, false, false, 0.0, 0.0, "it is torn"},
               {Method::kClear, 22.0, false, false, 0.0, 0.0, "it is torn"},
               {Method::kOpenOut, 27.0, false, false, 0.0, 0.0, "the edge is too near"},
               {Method::kPlug, 20.6375, true, true, 100.0, 0.97, "Plug it."}};
  std::string html = report_of(input);
  EXPECT_EQ(row_text(html, "as it is"), "as it is|no: it is torn");
  EXPECT_EQ(html.find("no: it is torn"), html.rfind("no: it is torn"));  // one reason for both is said once
  EXPECT_EQ(row_text(html, "oversize"), "oversize|no, at 27.0 mm: the edge is too near");
  EXPECT_EQ(row_text(html, "<b>re-drill, taken</b>"), "re-drill, taken|20.64 mm|100.0|97");
  EXPECT_THAT(html, Not(HasSubstr("Plug it.")));             // the card says why it was taken
  EXPECT_THAT(html, Not(HasSubstr("the edge allows 24.")));  // what was ruled out: the ways say it
  plug.ways[1].why = "the shank does not pass";
  plug.ways[2] = {Method::kOpenOut, 20.76, true, false, 12.34, 0.999, "One circle cleans up all."};
  html = report_of(input);
  EXPECT_THAT(html, HasSubstr("no: the shank does not pass"));
  EXPECT_EQ(row_text(html, "oversize"), "oversize|20.8 mm|12.3|over 99");  // an old hole's size, as found
  EXPECT_THAT(html, HasSubstr("One circle cleans up all."));
}

TEST(Report, SizeThatJustHoldsIsSaid) {
  ReportInput input = crane_report();
  const auto with_margin = [&input](double margin_mm) {
    for (StackPlan& stack : input.plan.stacks) stack.margin_mm = 1.0;
    input.plan.stacks[1].margin_mm = margin_mm;
    return report_of(input);
  };
  EXPECT_THAT(with_margin(0.034),
              HasSubstr("The size just holds, by 0.03 mm once the doubt is allowed for."));
  EXPECT_THAT(with_margin(0.001), HasSubstr("The size just holds, by less than 0.01 mm"));
  EXPECT_THAT(with_margin(0.1), Not(HasSubstr("just holds")));
  input.plan.stacks[1].method = Method::kTransfer;  // takes the old hole's size: there is none to hold
  EXPECT_THAT(with_margin(0.034), Not(HasSubstr("just holds")));
}

TEST(Report, WhatMovesTogetherAndWhatDoesNotCloseIsTold) {
  ReportInput input = crane_report();
  std::string html = report_of(input);
  EXPECT_THAT(html, Not(HasSubstr("What moves together")));
  EXPECT_THAT(html, Not(HasSubstr("What does not close")));
  using Place = MovingTogether::Place;
  input.together = {
      {"near angle along its heel", {Place{"near angle", "plate"}, Place{"near angle", "beam"}}},
      {"beam, square to it",
       {Place{"near angle", "plate"}, Place{"far angle", "plate"}, Place{"end angle", "side"}}}};
  input.contact_slack_mm = 0.5;
  input.open_loops = {"near angle (near angle on beam): one body cannot do both."};
  html = report_of(input);
  EXPECT_THAT(html, HasSubstr("<b>near angle along its heel:</b>\n on plate and beam."));
  EXPECT_THAT(
      html, HasSubstr("<b>beam, square to it:</b>\n near angle and far angle on plate; end angle on side."));
  EXPECT_THAT(html, HasSubstr("may still disagree by 0.5 mm"));
  EXPECT_THAT(
      html, HasSubstr("1 part&#39;s holes pull apart what must move as one: see &quot;How to set each part"));
  EXPECT_LT(html.find("What does not close"), html.find("one body cannot do both"));
}

TEST(Report, PinnedSeatIsMarked) {
  ReportInput input = crane_report();
  input.plan.seats[0].at_limit = true;
  EXPECT_THAT(report_of(input), Not(HasSubstr("it stands where the job says")));
  EXPECT_THAT(report_of(input), HasSubstr("By its own holes it would stand beyond its play."));
  input.joints[0].seat_pinned = true;
  EXPECT_THAT(report_of(input), HasSubstr("\u25CF pinned</span>\n by you: it stands where the job says"));
  EXPECT_THAT(report_of(input), HasSubstr("By its own holes it would stand elsewhere."));
}

}  // namespace
}  // namespace fairhole::report
