// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/report/report_html.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>
#include <regex>

#include "html.h"
#include "support/run_command.h"
#include "test_plan.h"

namespace fairhole::report {
namespace {

using fairhole::test::run_command;
using ::testing::HasSubstr;
using ::testing::Not;
using namespace test;

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

/// The list begins with readings that gain nothing by themselves where holes, or a hole's two ways, tie.
TEST(Report, ReadingsThatHelpTogetherAreNamedTogether) {
  ReportInput input = crane_report();
  EXPECT_THAT(report_of(input),
              HasSubstr("The one more reading that helps most: hole 1 to hole 5, over centres "
                        "(the worst hole is then known 0.3 mm better)."));
  input.faces[0].next = {{"along to 1", 0.0}, {"across to 1", 0.2}, {"along to 2", 0.3}};
  EXPECT_THAT(report_of(input), HasSubstr("The readings that help most, together: along to 1 and across to 1 "
                                          "(the worst hole is then known 0.2 mm better)."));
  input.faces[0].next = {{"along to 1", 0.0}, {"across to 1", 0.04}};
  EXPECT_THAT(report_of(input), Not(HasSubstr("then known")));
}

TEST(Report, AnglesSayWhatNothingMeasures) {
  ReportInput input = crane_report();
  EXPECT_THAT(report_of(input), Not(HasSubstr("meet squarely along the heel")));
  input.joints[0].long_edge_is_heel = true;
  EXPECT_THAT(report_of(input), HasSubstr("meet squarely along the heel"));
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
