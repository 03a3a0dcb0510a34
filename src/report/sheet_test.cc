// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>
#include <set>

#include "flow.h"
#include "test_marks.h"
#include "test_plan.h"
#include "test_plates.h"
#include "work_order.h"

namespace fairhole::report {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;
using namespace test;

const drawing::Paper kA4{"A4", 210.0, 297.0};
const drawing::Paper kA3{"A3", 297.0, 420.0};
const MarkOptions kInches{25.4 / 64, true};

std::vector<drawing::Page> sheet(const PlateLayout& layout, const std::vector<SeatPlan>& seats = {},
                                 const drawing::Paper& paper = kA4) {
  auto pages = drilling_sheet(layout, seats, crane_title(), {paper, "marked out by hand"});
  EXPECT_TRUE(pages) << (pages ? "" : describe(pages.problems()[0]));
  return pages ? *pages : std::vector<drawing::Page>{};
}

void expect_clean(const std::vector<drawing::Page>& pages) {
  for (std::size_t i = 0; i < pages.size(); ++i) {
    SCOPED_TRACE(i + 1);
    EXPECT_THAT(overlaps_of(pages[i]), IsEmpty());
    const Box paper{{kMarginMm, kMarginMm}, {pages[i].width_mm - kMarginMm, pages[i].height_mm - kMarginMm}};
    for (const SetText& text : texts_of(pages[i])) {
      EXPECT_TRUE(level_or_upright(text.text)) << text.text.text;
      EXPECT_TRUE(paper.holds(text.box)) << text.text.text << " runs out of the frame";
    }
  }
}

/// The labels in the plate: no letter on any circle's line.
void expect_words_off_the_holes(const drawing::Page& page) {
  for (const SetText& text : texts_of(page)) {
    for (const DrawnCircle& drawn : circles_of(page)) {
      const double nearest = (text.box.nearest(drawn.circle.centre_mm) - drawn.circle.centre_mm).norm();
      EXPECT_GT(nearest, drawn.circle.radius_mm) << text.text.text << " lies on a circle";
    }
  }
}

TEST(DrillingSheet, SixtyHolesAtRandomOverlapNowhere) {
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    SCOPED_TRACE(seed);
    for (const drawing::Paper& paper : {kA4, kA3}) {
      const auto pages = sheet(random_plate(60, seed), {}, paper);
      ASSERT_FALSE(pages.empty());
      expect_clean(pages);
      expect_words_off_the_holes(pages[0]);
    }
  }
}

TEST(DrillingSheet, SixtyHolesInInchesOverlapNowhere) {
  for (std::uint64_t seed = 21; seed <= 24; ++seed) {
    SCOPED_TRACE(seed);
    expect_clean(sheet(random_plate(60, seed, kInches), {}, kA3));
  }
}

/// Ten rows of twenty: more ordinates than any sheet of the trade has.
TEST(DrillingSheet, TwoHundredHolesOverlapNowhere) {
  const PlateLayout layout = dense_plate();
  ASSERT_EQ(layout.holes.size(), 200U);
  for (const drawing::Paper& paper : {kA3, kA4}) {
    SCOPED_TRACE(paper.name);
    const auto pages = drilling_sheet(layout, {}, crane_title(), {paper, ""});
    if (!pages) {  // said plainly, not drawn over itself
      EXPECT_EQ(pages.problems()[0].code, codes::kSheetTooSmall);
      EXPECT_EQ(paper.name, "A4");
      continue;
    }
    expect_clean(*pages);
    expect_words_off_the_holes(pages->front());
    std::set<std::string> words;
    for (const SetText& text : texts_of(pages->front())) words.insert(text.text.text);
    const auto unnamed = std::count_if(layout.holes.begin(), layout.holes.end(),
                                       [&](const LaidHole& hole) { return !words.contains(hole.id); });
    EXPECT_EQ(unnamed > 0, words.contains("no room for its name: find it by its ordinates"));
  }
}

PlateLayout small_bracket() {
  PlateLayout layout = plate_with({{"K", {25.0, 25.0}, {50.0, 0.0}, 3, 14.0, Finish::kBench, 0.2},
                                   {"L", {25.0, 75.0}, {50.0, 0.0}, 3, 14.0, Finish::kBench, 0.2}},
                                  {{0, 0}, {150, 0}, {150, 100}, {0, 100}}, {}, 31);
  layout.plate = "bracket plate";
  return layout;
}

PlateLayout tall_beam_web() {
  PlateLayout layout = plate_with(
      {{"W", {60.0, 80.0}, {0.0, 95.0}, 15, 22.225}, {"V", {240.0, 80.0}, {0.0, 95.0}, 15, 22.225}},
      {{0, 0}, {300, 0}, {300, 1500}, {0, 1500}}, {}, 32);
  layout.plate = "beam web, renewed";
  layout.hand = "RIGHT";
  layout.marked_face = "inner";
  return layout;
}

TEST(DrillingSheet, RealLayoutsOverlapNowhere) {
  const std::vector<PlateLayout> layouts = {toe_plate("LEFT"), toe_plate("RIGHT", kInches),
                                            toe_plate("RIGHT", {1.0, false}), small_bracket(),
                                            tall_beam_web()};
  for (const PlateLayout& layout : layouts) {
    SCOPED_TRACE(layout.plate);
    for (const drawing::Paper& paper : {kA4, kA3}) {
      const auto pages = sheet(layout, toe_seats(layout.plate), paper);
      ASSERT_FALSE(pages.empty());
      expect_clean(pages);
      expect_words_off_the_holes(pages[0]);
    }
  }
}

/// Words in a narrow strip beside the joint line leave no place for the line's own: the legend has them.
TEST(DrillingSheet, LongKeepOutNameAndJointDoNotCollide) {
  PlateLayout layout = toe_plate("LEFT");
  layout.keep_outs[0].name = "weld to the old plate, both sides";
  const auto pages = sheet(layout, toe_seats(layout.plate));
  expect_clean(pages);
  EXPECT_THAT(all_words(pages[0]), HasSubstr("joint to the old plate"));
}

TEST(DrillingSheet, HandIsTheLargestTypeOnEverySheet) {
  for (const std::string hand : {"LEFT", "RIGHT"}) {
    const PlateLayout layout = toe_plate(hand);
    for (const drawing::Page& page : sheet(layout, toe_seats(layout.plate))) {
      double largest_other = 0.0;
      double of_hand = 0.0;
      for (const SetText& text : texts_of(page)) {
        double& height = text.text.text == hand ? of_hand : largest_other;
        height = std::max(height, text.text.height_mm);
      }
      EXPECT_GT(of_hand, 2.0 * largest_other);
      EXPECT_THAT(all_words(page), HasSubstr("seen on its OUTER face"));
    }
  }
}

TEST(DrillingSheet, EverySheetSaysWhatItBelongsTo) {
  const PlateLayout layout = toe_plate("LEFT");
  const auto pages = sheet(layout, toe_seats(layout.plate));
  for (std::size_t i = 0; i < pages.size(); ++i) {
    const std::string words = all_words(pages[i]);
    EXPECT_THAT(words, HasSubstr(fmt::format("sheet {} of {}", i + 1, pages.size())));
    EXPECT_THAT(words, HasSubstr("Wharf crane No. 7 at Aldersey Basin"));
    EXPECT_THAT(words, HasSubstr("toe plate, left"));
    EXPECT_THAT(words, HasSubstr("2026-03-14"));
    EXPECT_THAT(words, HasSubstr("4be1c07a92d3"));
    EXPECT_THAT(words, HasSubstr("Does not prove strength"));
  }
  EXPECT_THAT(all_words(pages[0]), HasSubstr("scale 1 : 5"));
}

/// The plate's outline on paper must have the size the scale says.
TEST(DrillingSheet, PlateIsDrawnToTheScaleItStates) {
  const auto pages = sheet(toe_plate("LEFT"));
  ASSERT_FALSE(pages.empty());
  double longest = 0.0;
  for (const DrawnLine& drawn : lines_of(pages[0])) {
    if (drawn.stroke.width_mm > drawing::kHeavyMm)
      longest = std::max(longest, (drawn.line.b_mm - drawn.line.a_mm).norm());
  }
  constexpr double kRoundingMm = 1e-9;
  EXPECT_NEAR(longest, 900.0 / 5.0, kRoundingMm);  // the long datum edge, heavy
}

TEST(DrillingSheet, EveryHoleHasItsOrdinatesAndItsRow) {
  const PlateLayout layout = toe_plate("LEFT");
  const auto pages = sheet(layout);
  std::multiset<std::string> words;
  for (const drawing::Page& page : pages) {
    for (const SetText& text : texts_of(page)) words.insert(text.text.text);
  }
  for (const LaidHole& hole : layout.holes) {
    EXPECT_GE(words.count(hole.id) + words.count(hole.id + " look again"), 2U) << hole.id;  // label and table
    EXPECT_GE(words.count(fmt::format("{:.1f}", hole.mark_mm.x())), 2U);  // along the datum, in the table
    EXPECT_GE(words.count(fmt::format("{:.1f}", hole.mark_mm.y())), 2U);
  }
}

TEST(DrillingSheet, MarksCarryNoDigitsBeyondTheirStep) {
  const auto pages = sheet(random_plate(60, 3));
  const std::regex too_fine("[0-9]+\\.[0-9]{2,}");
  for (const SetText& text : texts_of(pages[0])) {
    if (text.text.text.find("mm") != std::string::npos) continue;  // sizes of tools, not marks
    EXPECT_FALSE(std::regex_search(text.text.text, too_fine)) << text.text.text;
  }
}

TEST(DrillingSheet, InchesStandBesideMillimetres) {
  PlateLayout layout = toe_plate("LEFT", kInches);
  layout.holes[0].mark_mm = {25.4 * 2.25, 25.4 * 3.5};
  std::string words;
  for (const drawing::Page& page : sheet(layout)) words += all_words(page);
  EXPECT_THAT(words, HasSubstr("57.1 (2 1/4)"));  // 57.15: half goes to even
  EXPECT_THAT(words, HasSubstr("88.9 (3 1/2)"));
}

TEST(DrillingSheet, TellsHowToSetThePartsAndWhatIsDoubtful) {
  const PlateLayout layout = toe_plate("LEFT");
  std::string words;
  for (const drawing::Page& page : sheet(layout, toe_seats(layout.plate))) words += all_words(page);
  EXPECT_THAT(words, HasSubstr("corner angle, near"));
  EXPECT_THAT(words, HasSubstr("A1 and A4"));
  EXPECT_THAT(words, HasSubstr("anticlockwise, 1.0 mm in 500 mm"));
  EXPECT_THAT(words, HasSubstr("Look again at A2 before a drill touches it."));
  EXPECT_THAT(words, HasSubstr("22.23\n41\nlook again; torn"));
  EXPECT_THAT(words, HasSubstr("competent person"));
}

/// In black and white the kinds differ by width and dash alone.
TEST(DrillingSheet, HolesDifferByLineNotByColour) {
  PlateLayout layout = small_bracket();
  layout.holes[0].finish = Finish::kInPlace;
  layout.holes[0].pilot_mm = 10.0;
  layout.holes[1].state = State::kLookAgain;
  layout.holes[2].state = State::kPinned;
  const auto pages = sheet(layout);
  std::multiset<std::pair<double, drawing::Dash>> kinds;
  std::size_t dots = 0;
  const double legend_y = kMarginMm + kStripHeightMm + 9.0;
  for (const DrawnCircle& drawn : circles_of(pages[0])) {
    if (drawn.circle.centre_mm.y() < legend_y) continue;
    if (drawn.circle.filled) {
      ++dots;
    } else {
      kinds.insert({drawn.stroke.width_mm, drawn.stroke.dash});
    }
  }
  EXPECT_EQ(kinds.count({drawing::kHeavyMm, drawing::Dash::kSolid}), 5U);   // four bench holes and one pilot
  EXPECT_EQ(kinds.count({drawing::kHeavyMm, drawing::Dash::kBroken}), 1U);  // look again
  EXPECT_EQ(kinds.count({drawing::kFineMm, drawing::Dash::kSolid}), 1U);    // finish in place
  EXPECT_EQ(dots, 1U);                                                      // the nail's head
}

TEST(DrillingSheet, LongNamesAreCutShortNotRunOver) {
  PlateLayout layout = small_bracket();
  layout.plate = std::string(200, 'W');
  layout.hand = "LEFT";
  SheetTitle title = crane_title();
  title.job = "A very long name of a job that goes on and on, " + std::string(300, 'x');
  const auto pages = drilling_sheet(layout, {}, title, {kA4, ""});
  ASSERT_TRUE(pages);
  expect_clean(*pages);
}

TEST(DrillingSheet, TooManyOrdinatesAskForLargerPaper) {
  PlateLayout layout = small_bracket();
  for (int i = 0; i < 300; ++i) layout.holes.push_back(layout.holes[0]);
  for (std::size_t i = 0; i < layout.holes.size(); ++i)
    layout.holes[i].mark_mm.setConstant(0.3 * static_cast<double>(i));
  const auto pages = drilling_sheet(layout, {}, crane_title(), {kA4, ""});
  ASSERT_FALSE(pages);
  EXPECT_EQ(pages.problems()[0].code, codes::kSheetTooSmall);
  EXPECT_THAT(pages.problems()[0].remedy, HasSubstr("A3"));
}

TEST(WorkOrder, SummaryCountsEveryKind) {
  EXPECT_EQ(hole_summary(small_bracket()), "6 holes: 6 drilled on the bench at 14 mm.");
  PlateLayout layout = small_bracket();
  layout.holes[0].finish = Finish::kInPlace;
  layout.holes[0].finish_mm = 16.0;
  layout.holes[0].pilot_mm = 12.0;
  layout.holes[0].method = Method::kOpenOut;
  EXPECT_EQ(hole_summary(layout),
            "6 holes: 5 drilled on the bench at 14 mm and 1 finished in place at 16 mm.");
}

/// Holes that take an old hole's size are told as one kind, however many sizes were found.
TEST(WorkOrder, SummaryTellsHolesThroughOldOnesTogether) {
  PlateLayout layout = small_bracket();
  for (std::size_t i = 0; i < 4; ++i) {
    layout.holes[i].finish = Finish::kInPlace;
    layout.holes[i].method = Method::kTransfer;
    layout.holes[i].finish_mm = 20.695 + 0.31 * static_cast<double>(i);
  }
  EXPECT_EQ(
      hole_summary(layout),
      "6 holes: 2 drilled on the bench at 14 mm and 4 finished through the old holes (20.7 to 21.6 mm).");
}

TEST(WorkOrder, ReamersThatNobodySellsAreAdjustable) {
  EXPECT_EQ(
      steps_words({{ToolKind::kFinalDrill, 20.25, "20.25 mm"}, {ToolKind::kReamer, 20.695, "20.695 mm"}}),
      "20.25 mm, adjustable reamer, 20.7 mm");
  EXPECT_EQ(steps_words({{ToolKind::kReamer, 23.8125, "15/16 in"}}), "reamer 15/16 in");
  EXPECT_EQ(steps_words({{ToolKind::kReamer, 22.5, "22.5 mm"}}), "reamer 22.5 mm");
}

}  // namespace
}  // namespace fairhole::report
