// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "fairhole/drawing/writers.h"
#include "fairhole/report/sheets.h"
#include "support/run_command.h"
#include "test_marks.h"
#include "test_plates.h"

namespace fairhole::report {
namespace {

using Eigen::Vector2d;
using fairhole::test::run_check;
using fairhole::test::write_scratch;
using test::crane_title;
using testing::HasSubstr;

std::vector<drawing::Page> template_of(const PlateLayout& layout, const drawing::TileOptions& options = {}) {
  const auto pages = plate_template(layout, crane_title(), options);
  EXPECT_TRUE(pages.ok()) << (pages.ok() ? "" : describe(pages.problems().front()));
  return pages.ok() ? *pages : std::vector<drawing::Page>{};
}

void expect_full_size(const PlateLayout& layout, const drawing::TileOptions& options) {
  const auto pdf = drawing::write_pdf(template_of(layout, options), {});
  ASSERT_TRUE(pdf.ok());
  const auto check = run_check(
      "check_pdf.py",
      fmt::format("{} {} --tol 0.005 --raster 150 --sx {} --sy {}", write_scratch("t.pdf", *pdf),
                  write_scratch("holes.json", test::truth_json(layout, options.mirrored ? -1.0 : 1.0)),
                  options.scale_x, options.scale_y));
  EXPECT_EQ(check.status, 0) << check.output;
  EXPECT_THAT(check.output, HasSubstr(fmt::format("holes {0}/{0}", layout.holes.size())));
}

TEST(PlateTemplate, IsFullSizeOverAllSheets) {
  expect_full_size(test::toe_plate("LEFT"), {});
  expect_full_size(test::random_plate(60, 7), {.paper = {"A3", 297.0, 420.0}});
  expect_full_size(test::dense_plate(), {});
}

TEST(PlateTemplate, IsFullSizeCorrectedAndMirrored) {
  drawing::TileOptions options;
  options.scale_x = 0.992;  // the checker pairs by uncorrected diameters to 0.3 mm: up to 22 mm this much
  options.scale_y = 0.995;
  expect_full_size(test::toe_plate("LEFT"), options);  // it cannot place a sheet that shows one circle alone
  options.mirrored = true;
  expect_full_size(test::toe_plate("RIGHT"), options);
}

double distance_to_segment(const Vector2d& p, const Vector2d& a, const Vector2d& b) {
  const Vector2d d = b - a;
  const double t = d.squaredNorm() > 0.0 ? std::clamp((p - a).dot(d) / d.squaredNorm(), 0.0, 1.0) : 0.0;
  return (p - a - t * d).norm();
}

/// Distance from a point to the ink of a mark.
double distance_to(const Vector2d& p, const drawing::Mark& mark) {
  double gap = 1e9;
  if (const auto* line = std::get_if<drawing::Line>(&mark.shape)) {
    gap = distance_to_segment(p, line->a_mm, line->b_mm);
  } else if (const auto* circle = std::get_if<drawing::Circle>(&mark.shape)) {
    gap = std::abs((p - circle->centre_mm).norm() - circle->radius_mm);
  } else if (const auto* arc = std::get_if<drawing::Arc>(&mark.shape)) {
    gap = std::abs((p - arc->centre_mm).norm() - arc->radius_mm);
  } else if (const auto* poly = std::get_if<drawing::Polyline>(&mark.shape)) {
    const std::size_t n = poly->points_mm.size();
    for (std::size_t i = 0; i < (poly->closed ? n : n - 1); ++i) {
      gap = std::min(gap, distance_to_segment(p, poly->points_mm[i], poly->points_mm[(i + 1) % n]));
    }
  } else {
    const drawing::Box box = drawing::bounds(mark.shape);
    gap = (p - p.cwiseMax(box.low_mm).cwiseMin(box.high_mm)).norm();
  }
  return gap - mark.stroke.width_mm / 2;
}

/// One sheet: its window's corner shows the drawing's box, so one hole's finish circle gives the shift.
Vector2d shift_of(const drawing::Page& page, const PlateLayout& layout) {
  for (const drawing::Mark& mark : page.drawing.marks) {
    const auto* circle = std::get_if<drawing::Circle>(&mark.shape);
    if (circle && mark.stroke.width_mm == drawing::kHeavyMm)
      return circle->centre_mm - layout.holes[0].centre_mm;
  }
  ADD_FAILURE() << "no finish circle";
  return Vector2d::Zero();
}

class OneSheet : public testing::TestWithParam<int> {
 protected:
  static drawing::TileOptions one_sheet() {
    drawing::TileOptions options;
    options.single_sheet = true;
    return options;
  }
  const PlateLayout layout_ = test::plate_of(GetParam());
  const drawing::Page page_ = template_of(layout_, one_sheet()).at(0);
};

TEST_P(OneSheet, OnlyTheCrossComesNearAPunchPoint) {
  constexpr double kPunchMm = 2.0;
  constexpr double kRoundingMm = 1e-9;
  const Vector2d shift = shift_of(page_, layout_);
  for (const LaidHole& hole : layout_.holes) {
    const Vector2d at = hole.centre_mm + shift;
    int arms = 0;
    std::vector<drawing::Mark> marks = page_.drawing.marks;
    marks.insert(marks.end(), page_.frame.marks.begin(), page_.frame.marks.end());
    for (const drawing::Mark& mark : marks) {
      if (distance_to(at, mark) >= kPunchMm) continue;
      const auto* line = std::get_if<drawing::Line>(&mark.shape);
      ASSERT_TRUE(line != nullptr && mark.stroke.width_mm == drawing::kFineMm) << hole.id;
      EXPECT_LT(((line->a_mm + line->b_mm) / 2 - at).norm(), kRoundingMm) << hole.id;
      EXPECT_GT((line->a_mm - line->b_mm).norm(), hole.witness_mm) << hole.id;  // survives punch and drill
      ++arms;
    }
    EXPECT_EQ(arms, 2) << hole.id;
  }
}

TEST_P(OneSheet, NoWordsLieOverOthers) {
  drawing::Page all = page_;
  all.drawing.marks.insert(all.drawing.marks.end(), page_.frame.marks.begin(), page_.frame.marks.end());
  EXPECT_THAT(test::overlaps_of(all), testing::IsEmpty());
}

TEST_P(OneSheet, EveryHoleHasItsWitnessCircleAndItsLabel) {
  const std::string words = test::all_words(page_);
  const Vector2d shift = shift_of(page_, layout_);
  constexpr double kRoundingMm = 1e-9;
  for (const LaidHole& hole : layout_.holes) {
    EXPECT_THAT(words, HasSubstr(fmt::format("{}  \xC3\x98{}", hole.id, size_mm(hole.finish_mm))));
    int finish = 0;
    int witness = 0;
    const auto is = [&](const auto& shape, double diameter) {
      return (shape.centre_mm - hole.centre_mm - shift).norm() < kRoundingMm &&
             std::abs(2 * shape.radius_mm - diameter) < kRoundingMm;
    };
    for (const drawing::Mark& mark : page_.drawing.marks) {
      const auto* circle = std::get_if<drawing::Circle>(&mark.shape);
      const auto* arc = std::get_if<drawing::Arc>(&mark.shape);
      if (circle && is(*circle, hole.finish_mm)) ++finish;
      if (arc && is(*arc, hole.witness_mm)) ++witness;
    }
    EXPECT_EQ(finish, 1);
    EXPECT_EQ(witness, 4);  // quarters
  }
}

INSTANTIATE_TEST_SUITE_P(Holes, OneSheet, testing::Values(0, 60, 200));

TEST(PlateTemplate, EveryPageSaysHandAndFaceInTheLargestType) {
  drawing::TileOptions options;
  for (const bool mirrored : {false, true}) {
    options.mirrored = mirrored;
    for (const drawing::Page& page : template_of(test::toe_plate("RIGHT"), options)) {
      double largest = 0.0;
      std::string words;
      for (const drawing::Mark& mark : page.frame.marks) {
        const auto* text = std::get_if<drawing::Text>(&mark.shape);
        if (text == nullptr || text->height_mm <= largest) continue;
        largest = text->height_mm;
        words = text->text;
      }
      EXPECT_GE(largest, 4.0);
      EXPECT_THAT(words, HasSubstr("RIGHT"));
      EXPECT_THAT(words, HasSubstr(mirrored ? "MIRRORED" : "marked face: outer"));
    }
  }
}

TEST(PlateTemplate, PassesOnWhatTheTilesRefuse) {
  drawing::TileOptions options;
  options.scale_x = 0.8;
  const auto pages = plate_template(test::toe_plate("LEFT"), crane_title(), options);
  ASSERT_FALSE(pages.ok());
  EXPECT_THAT(describe(pages.problems().front()), HasSubstr("E283 template"));
}

}  // namespace
}  // namespace fairhole::report
