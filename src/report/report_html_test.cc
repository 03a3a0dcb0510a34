// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/report/report_html.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>
#include <regex>

#include "fairhole/fairing/alternatives.h"
#include "html.h"
#include "support/run_command.h"
#include "test_plan.h"

namespace fairhole::report {
namespace {

using fairhole::test::run_command;
using ::testing::HasSubstr;
using ::testing::Not;
using namespace test;

std::string report_of(const ReportInput& input) {
  auto html = report_html(input);
  EXPECT_TRUE(html);
  return html ? *html : "";
}

/// Our page closes every element, so a strict XML parser (Python's expat) must read it.
bool well_formed(const std::string& html) {
  const std::string parse = "python3 -c 'import sys, xml.dom.minidom as m; m.parse(sys.argv[1])' ";
  return run_command(parse + fairhole::test::write_scratch("report.html", html)).status == 0;
}

TEST(Report, IsWellFormed) {
  EXPECT_TRUE(well_formed(report_of(crane_report())));
  EXPECT_TRUE(well_formed(report_of({})));
  EXPECT_FALSE(well_formed(report_of(crane_report()) + "<p>"));  // the check itself can fail
}

TEST(Report, IsOneFileWithoutScript) {
  const std::string html = report_of(crane_report());
  EXPECT_THAT(html, Not(HasSubstr("<script")));
  EXPECT_THAT(html, Not(HasSubstr("<link")));
  EXPECT_THAT(html, Not(HasSubstr("<img")));
  EXPECT_THAT(html, Not(HasSubstr("url(")));
  EXPECT_THAT(html, Not(HasSubstr("@import")));
  EXPECT_THAT(std::regex_replace(html, std::regex("http://www.w3.org/2000/svg"), ""), Not(HasSubstr("http")));
}

const char kNasty[] = "<img src=x onerror=\"alert('1')\">&amp;";

TEST(Report, EveryNameStaysText) {
  ReportInput input = crane_report();
  input.title = {kNasty, kNasty, kNasty};
  input.way_of_drilling = kNasty;
  input.problems = {{Code{550}, kNasty, kNasty, kNasty}};
  input.warnings = {kNasty};
  input.files = {{kNasty, kNasty}};
  input.plan.warnings = {kNasty};
  StackPlan& stack = input.plan.stacks[0];
  stack.id = stack.plate = stack.fastener = stack.reason = stack.ruled_out = kNasty;
  LayerPlan& layer = stack.layers[1];
  layer.part = layer.face = layer.hole = layer.action = kNasty;
  FaceFindings& face = input.faces[0];
  face.part = face.face = face.source = kNasty;
  face.remarks = {kNasty};
  face.measured.holes[0].id = kNasty;
  face.readings[6].text = face.readings[6].slip = kNasty;
  face.next[0].text = kNasty;
  JointFindings& joint = input.joints[0];
  joint.part = joint.face = joint.joint = joint.plate = kNasty;
  joint.remarks = {kNasty};
  joint.registration.matches[0].measured = kNasty;
  PlateLayout& layout = input.layouts[0];
  layout.plate = layout.material = layout.hand = layout.marked_face = kNasty;
  layout.holes[0].id = layout.holes[0].note = kNasty;
  layout.keep_outs[0].name = kNasty;
  input.plan.alternatives = {{"the plan", {}, 0.5, true}, {kNasty, {}, 0.5, true}, {kNasty, {}, 0.5, false}};
  input.plan.stacks[2].ways = {{Method::kOpenOut, 22.0, false, false, 0.0, 0.0, kNasty},
                               {Method::kPlug, 22.0, true, false, 0.0, 0.0, kNasty}};
  input.together = {{kNasty, {MovingTogether::Place{kNasty, kNasty}}}};
  input.open_loops = {kNasty};
  const std::string html = report_of(input);
  EXPECT_THAT(html, Not(HasSubstr("<img")));
  EXPECT_THAT(html, Not(HasSubstr("onerror=\"")));
  EXPECT_THAT(html, Not(HasSubstr("&amp;amp;amp;")));  // escaped once, not twice
  EXPECT_THAT(html, HasSubstr("&lt;img src=x onerror=&quot;"));
  EXPECT_TRUE(well_formed(html));
}

TEST(Report, ControlCharactersDoNotBreakThePage) {
  ReportInput input = crane_report();
  input.title.job = "crane\x01\x02 No. 7\n";
  input.plan.stacks[0].reason = std::string("a\0b", 3);
  EXPECT_TRUE(well_formed(report_of(input)));
}

TEST(Report, SaysFirstWhatToDo) {
  const std::string html = report_of(crane_report());
  const auto at = [&](const std::string& text) { return html.find(text); };
  const char* const stations[] = {"What to do",     "Cautions",          "Warnings",
                                  "The parts",      "What was measured", "How to set each part",
                                  "The new plates", "The holes",         "Paper and files"};
  std::size_t before = 0;
  for (const char* const station : stations) {
    const std::size_t here = at(std::string(">") + station + "</h2>");
    ASSERT_NE(here, std::string::npos) << station;
    EXPECT_LT(before, here) << station;
    before = here;
  }
  EXPECT_THAT(
      html, HasSubstr("1 reading does not agree and is left out; 1 hole to drill where the old one is; "
                      "1 hole to drill to the drawing; 3 holes to open out; 1 hole that the fastener passes "
                      "as they are; 1 hole to plug and drill afresh; 1 hole to look at again."));
  EXPECT_THAT(html, HasSubstr("Open out to 7/8 in (22.23 mm): A1 and A2."));
  EXPECT_THAT(html, HasSubstr("Look again before drilling: A2."));
  EXPECT_THAT(html, HasSubstr("LEFT"));
  EXPECT_THAT(html, HasSubstr("RIGHT"));
  EXPECT_THAT(html, HasSubstr("36 in 100"));
  EXPECT_THAT(html, HasSubstr("competent person"));
}

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

TEST(Report, FaceThatAsksNothingFoldsToOneLine) {
  ReportInput input = crane_report();
  input.faces.push_back(near_face(5));
  input.faces[1].part = "corner angle, far";
  input.faces[1].readings.erase(input.faces[1].readings.begin() + 6);
  const std::string html = report_of(input);
  EXPECT_THAT(html,
              HasSubstr("<summary><b>corner angle, far, plate leg:</b>\n11 readings on 5 holes; all agree."));
  EXPECT_THAT(html, HasSubstr("<h3>corner angle, near, plate leg</h3>"));
  const std::string remark = "The corner is 0.4 degree over square.";  // of both: said once
  EXPECT_EQ(html.find(remark), html.rfind(remark));
}

TEST(Report, SlipsOfTheTradeAreToldInWords) {
  ReportInput input = crane_report();
  input.faces[0].readings[6].slip = "edge for centre";
  EXPECT_THAT(report_of(input), HasSubstr("Most likely: read to the hole&#39;s edge instead of its centre"));
}

TEST(Report, ReadingsThatStandAgainstOthersAreCountedThoughKept) {
  ReportInput input = crane_report();
  input.faces[0].readings[6].rejected = false;
  EXPECT_THAT(report_of(input), HasSubstr("1 reading stands against the others; 1 hole to drill"));
}

TEST(Report, AnglesSayWhatNothingMeasures) {
  ReportInput input = crane_report();
  EXPECT_THAT(report_of(input), Not(HasSubstr("meet squarely along the heel")));
  input.joints[0].long_edge_is_heel = true;
  EXPECT_THAT(report_of(input), HasSubstr("meet squarely along the heel"));
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

TEST(Report, TellsSuspectReadingsInPlainWords) {
  const std::string html = report_of(crane_report());
  EXPECT_THAT(
      html,
      HasSubstr("row 7: across to 4, 305 mm, 99.6 mm less than the others make it. Most likely: the tape was "
                "started at its 100 mm mark and the 100 mm not taken off (98 in 100). Left out."));
  EXPECT_THAT(html, HasSubstr("Nothing checks these; a slip in them would not be seen:"));
  EXPECT_THAT(html, HasSubstr("row 12: along to 6, 480 mm"));
  EXPECT_THAT(html, HasSubstr("hole 1 to hole 5, over centres"));
}

/// The accuracy printed is the propagated one: it answers to the pose's covariance and not to the residuals.
TEST(Report, AccuracyIsPropagatedNotTheResidual) {
  JointFindings joint = near_joint();
  ReportInput input = crane_report();
  for (Match& match : joint.registration.matches) match.residual_mm *= 3.0;
  input.joints = {joint};
  const std::regex accuracy("known to ([0-9.]+) mm at the worst");
  std::smatch before;
  std::smatch worse_residuals;
  std::smatch worse_pose;
  const std::string plain = report_of(crane_report());
  const std::string residuals = report_of(input);
  input.joints[0].registration.pose_cov *= 100.0;
  const std::string pose = report_of(input);
  ASSERT_TRUE(std::regex_search(plain, before, accuracy));
  ASSERT_TRUE(std::regex_search(residuals, worse_residuals, accuracy));
  ASSERT_TRUE(std::regex_search(pose, worse_pose, accuracy));
  EXPECT_EQ(before[1], worse_residuals[1]);
  constexpr double kRoundingMm = 1.0;  // one is printed to 1 mm, the other to 0.1 mm and taken ten times
  EXPECT_NEAR(std::stod(worse_pose[1]), 10.0 * std::stod(before[1]), kRoundingMm);
}

/// What the seat alone decided about a part is said where its sitting is told, and only then.
TEST(Report, SaysWhatTheSeatSettled) {
  const std::string said =
      "By its holes alone it could also lie one pitch, 76.2 mm, further along; "
      "where its seat is settles it.";
  JointFindings joint = near_joint();
  ReportInput input = crane_report();
  input.joints = {joint};
  EXPECT_EQ(report_of(input).find(said), std::string::npos);
  Rival rival;
  rival.how = "one pitch, 76.2 mm, further along";
  input.joints[0].registration.settled_by_place = {rival};
  EXPECT_NE(report_of(input).find(said), std::string::npos);
}

TEST(Report, NotToBeDrilledIsSaidAtTheHead) {
  ReportInput input = crane_report();
  input.not_to_be_drilled = true;
  input.problems = {{Code{551}, "corner angle, far", "2 holes matched to the pattern",
                     "measure one more hole on this part"}};
  const std::string html = report_of(input);
  EXPECT_LT(html.find("NOT TO BE DRILLED"), html.find("What to do"));
  EXPECT_THAT(
      html,
      HasSubstr("corner angle, far: 2 holes matched to the pattern; measure one more hole on this part. "));
  EXPECT_THAT(html, HasSubstr("<span class=\"code\">E551</span>"));
  EXPECT_THAT(report_of(crane_report()), Not(HasSubstr("NOT TO BE DRILLED")));
}

TEST(Report, NonFiniteNumbersAreAProblemNotAPicture) {
  ReportInput input = crane_report();
  input.plan.stacks[0].layers[1].misfit_mm.x() = std::numeric_limits<double>::quiet_NaN();
  EXPECT_FALSE(report_html(input));
}

TEST(Report, TheSameInputGivesTheSameBytes) {
  EXPECT_EQ(report_of(crane_report()), report_of(crane_report()));
}

TEST(Html, DoubtfulDigitIsSmaller) {
  EXPECT_EQ(measured_figure(412.34, 0.25).text, "412.<small>3</small>");
  EXPECT_EQ(measured_figure(412.34, 0.03).text, "412.3<small>4</small>");
  EXPECT_EQ(measured_figure(412.34, 0.0).text, "412.34");
}

TEST(Html, TablesWithoutRowsAreNothing) { EXPECT_TRUE(html_table({{"hole"}}, {}).empty()); }

}  // namespace
}  // namespace fairhole::report
