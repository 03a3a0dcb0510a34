// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/drawing/tiles.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "fairhole/drawing/writers.h"
#include "support/evidence.h"
#include "test_plates.h"
#include "tile_joints.h"
#include "tile_view.h"

namespace fairhole::drawing {
namespace {

using Eigen::Vector2d;
using test::random_plate;
using testing::HasSubstr;

constexpr double kRoundingMm = 1e-9;  // a few hundred mm in doubles

TileLayout laid(double width_mm, double height_mm, const TileOptions& options) {
  const auto layout = lay_tiles(0.0, 0.0, width_mm, height_mm, options);
  EXPECT_TRUE(layout.ok()) << (layout.ok() ? "" : describe(layout.problems().front()));
  return layout.ok() ? *layout : TileLayout{};
}

TileOptions on(const std::string& paper, double scale_x = 1.0, double scale_y = 1.0) {
  TileOptions options{.paper = *paper_from_name(paper)};
  options.scale_x = scale_x;
  options.scale_y = scale_y;
  return options;
}

std::string problem_of(double width_mm, double height_mm, const TileOptions& options) {
  const auto layout = lay_tiles(0.0, 0.0, width_mm, height_mm, options);
  return layout.ok() ? "" : describe(layout.problems().front());
}

// ISO 216 and ANSI/ASME Y14.1 (A: 8 1/2 x 11 in).
TEST(PaperFromName, KnowsThePublishedSizes) {
  fairhole::test::published("ISO 216; ANSI/ASME Y14.1", "paper: A4 wide, A3 high, Letter wide", "mm")
      .equal(paper_from_name("A4")->width_mm, 210.0)
      .equal(paper_from_name("A3")->height_mm, 420.0)
      .near(paper_from_name("Letter")->width_mm, 215.9, kRoundingMm);
  EXPECT_EQ(describe(paper_from_name("Foolscap").problems().front()),
            "E283 template: paper \"Foolscap\"; take A4, A3 or Letter");
}

TEST(LayTiles, CoversTheBoxAndOverlapsByWhatWasAsked) {
  for (const char* paper : {"A4", "A3", "Letter"}) {
    for (const double scale : {0.96, 1.0, 1.04}) {
      const TileOptions options = on(paper, scale, 1.0);
      const TileLayout layout = laid(1200.0, 350.0, options);
      const Tile& first = layout.tiles.front();
      const Tile& last = layout.tiles.back();
      EXPECT_LE(first.x_mm, kRoundingMm);
      EXPECT_LE(first.y_mm, kRoundingMm);
      EXPECT_GE(last.x_mm + last.width_mm, 1200.0 - kRoundingMm);
      EXPECT_GE(last.y_mm + last.height_mm, 350.0 - kRoundingMm);
      for (const Tile& tile : layout.tiles) {
        if (tile.column == 0) continue;
        const Tile& left = *(&tile - 1);
        EXPECT_NEAR(left.x_mm + left.width_mm - tile.x_mm, options.overlap_mm, kRoundingMm);
      }
    }
  }
}

TEST(LayTiles, TurnsThePaperToNeedFewerSheets) {
  // A4 leaves 174 x 246 mm upright and 261 x 159 mm on its side.
  EXPECT_GT(laid(255.0, 150.0, on("A4")).paper.width_mm, 250.0);
  EXPECT_EQ(laid(255.0, 150.0, on("A4")).tiles.size(), 1U);
  EXPECT_LT(laid(150.0, 240.0, on("A4")).paper.width_mm, 250.0);
  EXPECT_EQ(laid(150.0, 240.0, on("A4")).tiles.size(), 1U);
}

TEST(LayTiles, ACorrectionNeverTurnsThePaper) {
  for (double width = 200.0; width < 1500.0; width += 37.0) {
    const double upright = laid(width, 420.0, on("A4")).paper.width_mm;
    for (const double scale : {0.96, 0.98, 1.02, 1.04}) {
      EXPECT_EQ(laid(width, 420.0, on("A4", scale, 1.0)).paper.width_mm, upright) << width << " " << scale;
    }
  }
}

TEST(LayTiles, NamesRowsByLetterAndColumnsByNumber) {
  const TileLayout layout = laid(600.0, 400.0, on("A4"));
  EXPECT_EQ(layout.tiles.front().name, "A1");
  EXPECT_EQ(layout.tiles.back().name,
            fmt::format("{}{}", static_cast<char>('A' + layout.rows - 1), layout.columns));
}

TEST(LayTiles, MirroredPutsTheRightEndOnTheLeft) {
  TileOptions options = on("A4");
  options.mirrored = true;
  const TileLayout layout = laid(900.0, 150.0, options);
  EXPECT_GT(layout.tiles.front().x_mm, layout.tiles.back().x_mm);
}

TEST(LayTiles, OneSheetHoldsEverything) {
  TileOptions options = on("A4", 1.01, 0.99);
  options.single_sheet = true;
  const TileLayout layout = laid(1200.0, 350.0, options);
  ASSERT_EQ(layout.tiles.size(), 1U);
  EXPECT_NEAR(layout.tiles[0].width_mm, 1200.0, kRoundingMm);
}

TEST(LayTiles, RefusesWhatCannotBe) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(problem_of(900.0, 420.0, on("A4", 0.94, 1.0)),
            "E283 template: a printer correction of 0.9400; print at actual size, not fitted to the page; a "
            "printer is "
            "then off by a few per cent at most");
  EXPECT_THAT(problem_of(900.0, 420.0, on("A4", 1.0, nan)), HasSubstr("E283"));
  EXPECT_THAT(problem_of(nan, 420.0, on("A4")), HasSubstr("E283"));
  EXPECT_THAT(problem_of(0.0, 420.0, on("A4")), HasSubstr("E283"));
  EXPECT_THAT(problem_of(30000.0, 420.0, on("A4")), HasSubstr("E282"));
  TileOptions small = on("A4");
  small.paper = {"A5", 148.0, 210.0};
  EXPECT_THAT(problem_of(900.0, 420.0, small), HasSubstr("take A4 or larger"));
  TileOptions wide = on("A4");
  wide.overlap_mm = 100.0;
  EXPECT_THAT(problem_of(900.0, 420.0, wide), HasSubstr("overlap"));
  wide.overlap_mm = 15.0;
  wide.margin_mm = -1.0;
  EXPECT_THAT(problem_of(900.0, 420.0, wide), HasSubstr("margin"));
}

struct TileCase {
  std::string name;
  TileOptions options;
};

void PrintTo(const TileCase& c, std::ostream* out) { *out << c.name; }

/// Everything a sheet adds of its own, for several papers and corrections.
class TilePages : public testing::TestWithParam<TileCase> {
 protected:
  const test::TestPlate plate_ = random_plate(5, 900.0, 420.0, 150, 16.0);
  const TileOptions& options_ = GetParam().options;
  const TileLayout layout_ = laid(plate_.width_mm, plate_.height_mm, options_);
  const std::vector<Page> pages_ =
      tile_pages(plate_.drawing(), layout_, options_, {"RIGHT plate, marked face: outer", "job, date"},
                 plate_.keep_clear());
};

double distance_to_line(const Vector2d& p, const Line& line) {
  const Vector2d d = line.b_mm - line.a_mm;
  const double t = std::clamp((p - line.a_mm).dot(d) / d.squaredNorm(), 0.0, 1.0);
  return (p - line.a_mm - t * d).norm();
}

double distance_to_box(const Vector2d& p, const Box& box) {
  return (p - p.cwiseMax(box.low_mm).cwiseMin(box.high_mm)).norm();
}

TEST_P(TilePages, NothingNewComesNearAKeptClearPointThatTheSheetShows) {
  constexpr double kPunchMm = 2.0;
  int shown = 0;
  for (std::size_t i = 0; i < pages_.size(); ++i) {
    const TileView view(layout_.tiles[i], layout_, options_);
    for (const auto& c : plate_.circles) {
      const Vector2d at = view(c.centre_mm);
      if (distance_to_box(at, view.window()) > 0.0) continue;
      ++shown;
      for (const Mark& mark : pages_[i].frame.marks) {
        const auto* line = std::get_if<Line>(&mark.shape);
        const double gap = line ? distance_to_line(at, *line) : distance_to_box(at, bounds(mark.shape));
        EXPECT_GE(gap - mark.stroke.width_mm / 2, kPunchMm) << layout_.tiles[i].name << " " << c.id;
      }
    }
  }
  EXPECT_GE(shown, static_cast<int>(plate_.circles.size()));
}

TEST_P(TilePages, MatchMarksFallOnOneAnother) {
  std::map<std::size_t, int> marks_of_tile;
  for (const Joint& joint : find_joints(layout_, options_, plate_.keep_clear())) {
    EXPECT_GE(joint.marks_mm.size(), 2U);  // one mark alone would let the sheet turn
    for (const std::size_t i : {joint.under, joint.over}) {
      const TileView view(layout_.tiles[i], layout_, options_);
      for (const Vector2d& at : joint.marks_mm) {
        const Vector2d arm(0.0, kMatchArmMm);
        const auto& marks = pages_[i].frame.marks;
        EXPECT_TRUE(std::any_of(marks.begin(), marks.end(), [&](const Mark& mark) {
          const auto* line = std::get_if<Line>(&mark.shape);
          return line && (line->a_mm - view(at) + arm).norm() < kRoundingMm &&
                 (line->b_mm - view(at) - arm).norm() < kRoundingMm;
        }));
        ++marks_of_tile[i];
      }
    }
  }
  EXPECT_EQ(marks_of_tile.size(), layout_.tiles.size());
}

/// Centres of what the page really shows: circles (or ellipses) of the drawing, lozenges of the match marks.
std::vector<Vector2d> centres(const std::vector<Mark>& marks, bool lozenges) {
  std::vector<Vector2d> out;
  for (const Mark& mark : marks) {
    const auto* line = std::get_if<Polyline>(&mark.shape);
    if (lozenges && line && line->points_mm.size() == 4)
      out.push_back((line->points_mm[0] + line->points_mm[2]) / 2);
    if (lozenges) continue;
    if (const auto* circle = std::get_if<Circle>(&mark.shape)) out.push_back(circle->centre_mm);
    if (const auto* ellipse = std::get_if<Ellipse>(&mark.shape)) out.push_back(ellipse->centre_mm);
  }
  return out;
}

/// The one of `places` near to where it is expected, or nothing.
std::optional<Vector2d> near(const std::vector<Vector2d>& places, const Vector2d& expected) {
  constexpr double kNearMm = 1.0;  // far less than any two are apart
  for (const Vector2d& place : places) {
    if ((place - expected).norm() < kNearMm) return place;
  }
  return std::nullopt;
}

// Two sheets laid mark on mark: every circle of one must stand right to every circle of the other.
TEST_P(TilePages, JoinedSheetsAreOneDrawing) {
  constexpr double kStitchMm = 1e-6;
  int pairs = 0;
  for (const Joint& joint : find_joints(layout_, options_, plate_.keep_clear())) {
    std::vector<std::pair<Vector2d, Vector2d>>
        relative[2];  // true place, place on the paper from the match mark
    for (const std::size_t side : {0U, 1U}) {
      const std::size_t i = side == 0 ? joint.under : joint.over;
      const TileView view(layout_.tiles[i], layout_, options_);
      const auto mark = near(centres(pages_[i].frame.marks, true), view(joint.marks_mm.front()));
      ASSERT_TRUE(mark);
      const auto shown = centres(pages_[i].drawing.marks, false);
      for (const auto& c : plate_.circles) {
        if (const auto at = near(shown, view(c.centre_mm)))
          relative[side].emplace_back(c.centre_mm, *at - *mark);
      }
    }
    const Vector2d scale(options_.mirrored ? -options_.scale_x : options_.scale_x, options_.scale_y);
    for (const auto& [true_a, paper_a] : relative[0]) {
      for (const auto& [true_b, paper_b] : relative[1]) {
        EXPECT_LT((paper_b - paper_a - scale.cwiseProduct(true_b - true_a)).norm(), kStitchMm);
        ++pairs;
      }
    }
  }
  EXPECT_GT(pairs, 100);
}

TEST_P(TilePages, CheckBarsAreCorrectedOnBothAxes) {
  for (const Page& page : pages_) {
    double longest_x = 0.0;
    double longest_y = 0.0;
    for (const Mark& mark : page.frame.marks) {
      const auto* line = std::get_if<Line>(&mark.shape);
      if (line == nullptr) continue;
      if (distance_to_box(line->a_mm, *page.window) < kRoundingMm) continue;  // cut lines lie in the window
      longest_x = std::max(longest_x, std::abs(line->b_mm.x() - line->a_mm.x()));
      longest_y = std::max(longest_y, std::abs(line->b_mm.y() - line->a_mm.y()));
    }
    EXPECT_NEAR(longest_x, kCheckBarMm * options_.scale_x, kRoundingMm);
    EXPECT_NEAR(longest_y, kCheckBarMm * options_.scale_y, kRoundingMm);
  }
}

TEST_P(TilePages, StaysOnThePaperAndItsWordsDoNotOverlap) {
  for (const Page& page : pages_) {
    std::vector<Box> words;
    for (const Mark& mark : page.frame.marks) {
      const Box box = bounds(mark.shape);
      EXPECT_GE(box.low_mm.minCoeff(), options_.margin_mm - 0.1);
      EXPECT_LE(box.high_mm.x(), page.width_mm - options_.margin_mm + 0.1);
      EXPECT_LE(box.high_mm.y(), page.height_mm - options_.margin_mm + 0.1);
      if (!std::holds_alternative<Text>(mark.shape)) continue;
      for (const Box& other : words) EXPECT_FALSE(overlap(box, other)) << std::get<Text>(mark.shape).text;
      words.push_back(box);
    }
  }
}

TEST_P(TilePages, EveryPageSaysWhichItIs) {
  for (std::size_t i = 0; i < pages_.size(); ++i) {
    std::string all;
    for (const Mark& mark : pages_[i].frame.marks) {
      if (const auto* text = std::get_if<Text>(&mark.shape)) all += text->text + "\n";
    }
    EXPECT_THAT(all, HasSubstr("RIGHT plate, marked face: outer"));
    EXPECT_THAT(all, HasSubstr(fmt::format("Sheet {}, {} of ", layout_.tiles[i].name, i + 1)));
    EXPECT_THAT(all, HasSubstr("Measure me (x): 100 mm"));
    EXPECT_THAT(all, HasSubstr("Measure me (y): 100 mm"));
  }
}

TileOptions mirrored(TileOptions options) {
  options.mirrored = true;
  return options;
}

INSTANTIATE_TEST_SUITE_P(Papers, TilePages,
                         testing::Values(TileCase{"A4", on("A4")}, TileCase{"A3", on("A3")},
                                         TileCase{"Letter", on("Letter")},
                                         TileCase{"Corrected", on("A4", 0.985, 0.992)},
                                         TileCase{"CorrectedMost", on("A4", 1.05, 1.05)},
                                         TileCase{"Mirrored", mirrored(on("A4", 1.01, 0.99))}),
                         [](const auto& tile_case) { return tile_case.param.name; });

}  // namespace
}  // namespace fairhole::drawing
