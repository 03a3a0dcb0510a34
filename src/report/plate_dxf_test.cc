// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <set>

#include "fairhole/drawing/writers.h"
#include "fairhole/report/sheets.h"
#include "support/run_command.h"
#include "test_marks.h"
#include "test_plates.h"

namespace fairhole::report {
namespace {

using fairhole::test::run_check;
using fairhole::test::write_scratch;
using test::crane_title;
using testing::HasSubstr;

struct Drawn {
  int count = 0;
  std::multiset<std::pair<std::string, double>> circles;  ///< layer, diameter
};

/// The circles about each hole's centre.
std::map<std::string, Drawn> circles_by_hole(const PlateLayout& layout, const drawing::Drawing& dxf) {
  constexpr double kSamePlaceMm = 1e-9;
  std::map<std::string, Drawn> found;
  for (const drawing::Mark& mark : dxf.marks) {
    const auto* circle = std::get_if<drawing::Circle>(&mark.shape);
    if (circle == nullptr) continue;
    for (const LaidHole& hole : layout.holes) {
      if ((hole.centre_mm - circle->centre_mm).norm() > kSamePlaceMm) continue;
      found[hole.id].circles.emplace(mark.layer, 2 * circle->radius_mm);
    }
  }
  return found;
}

class PlateDxf : public testing::TestWithParam<int> {
 protected:
  const PlateLayout layout_ = test::plate_of(GetParam());
};

TEST_P(PlateDxf, PassesTheCheckInBothVersions) {
  const std::string holes = write_scratch("holes.json", test::truth_json(layout_));
  for (const auto version : {drawing::DxfVersion::kR2000, drawing::DxfVersion::kR12}) {
    const auto dxf = drawing::write_dxf(plate_dxf(layout_, crane_title()), {version});
    ASSERT_TRUE(dxf.ok()) << describe(dxf.problems().front());
    const auto check = run_check("check_dxf.py", write_scratch("plate.dxf", *dxf) + " " + holes);
    EXPECT_EQ(check.status, 0) << check.output;
  }
}

TEST_P(PlateDxf, CutsOnlyWhatIsFinishedOnTheBench) {
  auto found = circles_by_hole(layout_, plate_dxf(layout_, crane_title()));
  for (const LaidHole& hole : layout_.holes) {
    std::multiset<std::pair<std::string, double>> wanted;
    if (hole.finish == Finish::kBench) {
      wanted = {{"drill or cut to size", hole.finish_mm}};
    } else {
      wanted = {{"finish in place, do not cut", hole.finish_mm}, {"pilot, cut", *hole.pilot_mm}};
    }
    EXPECT_EQ(found[hole.id].circles, wanted) << hole.id;
  }
}

TEST_P(PlateDxf, PilotsReplaceEveryFinishCircle) {
  auto found = circles_by_hole(layout_, plate_dxf(layout_, crane_title(), {.pilots_for_finish = true}));
  for (const LaidHole& hole : layout_.holes) {
    const double pilot = hole.pilot_mm ? *hole.pilot_mm : hole.bench_steps.front().diameter_mm;
    const std::multiset<std::pair<std::string, double>> wanted{{"pilot, cut", pilot}};
    EXPECT_EQ(found[hole.id].circles, wanted) << hole.id;
  }
}

TEST_P(PlateDxf, NoWordsLieOverOthers) {
  const drawing::Page page{.drawing = plate_dxf(layout_, crane_title())};
  EXPECT_THAT(test::overlaps_of(page), testing::IsEmpty());
}

TEST_P(PlateDxf, EveryOrdinateRunsFromTheDatumEdge) {
  constexpr double kWrittenMm = 0.005 + 1e-9;  // two decimals
  const auto drawing = plate_dxf(layout_, crane_title());
  for (const LaidHole& hole : layout_.holes) {
    for (const int axis : {0, 1}) {
      int told = 0;
      for (const drawing::Mark& mark : drawing.marks) {
        const auto* text = std::get_if<drawing::Text>(&mark.shape);
        if (text == nullptr || mark.layer != "ordinates") continue;
        const bool along_x = text->angle_rad != 0.0;
        if (along_x != (axis == 0)) continue;
        if (std::abs(std::stod(text->text) - hole.centre_mm[axis]) <= kWrittenMm) ++told;
      }
      EXPECT_GE(told, 1) << hole.id << " axis " << axis;
    }
  }
}

INSTANTIATE_TEST_SUITE_P(Holes, PlateDxf, testing::Values(0, 60, 200));

TEST(PlateDxfWords, SayUnitsHandAndFace) {
  const drawing::Page page{.drawing = plate_dxf(test::toe_plate("RIGHT"), crane_title())};
  const std::string words = test::all_words(page);
  EXPECT_THAT(words, HasSubstr("RIGHT   marked face: outer, seen looking at it"));
  EXPECT_THAT(words, HasSubstr("UNITS mm"));
  EXPECT_THAT(words, HasSubstr("joint to the old plate"));
  EXPECT_THAT(words, HasSubstr("look again"));
}

TEST(PlateDxfWords, CheckBarIsAHundredMillimetres) {
  double longest = 0.0;
  for (const drawing::Mark& mark : plate_dxf(test::toe_plate("LEFT"), crane_title()).marks) {
    const auto* line = std::get_if<drawing::Line>(&mark.shape);
    if (line && mark.layer == "check bar") longest = std::max(longest, (line->a_mm - line->b_mm).norm());
  }
  EXPECT_EQ(longest, 100.0);
}

TEST(PlateDxfWords, OutlineIsOneClosedPolyline) {
  int closed = 0;
  for (const drawing::Mark& mark : plate_dxf(test::toe_plate("LEFT"), crane_title()).marks) {
    if (mark.layer != "plate outline") continue;
    const auto* line = std::get_if<drawing::Polyline>(&mark.shape);
    ASSERT_NE(line, nullptr);
    EXPECT_TRUE(line->closed);
    ++closed;
  }
  EXPECT_EQ(closed, 1);
}

}  // namespace
}  // namespace fairhole::report
