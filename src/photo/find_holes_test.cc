// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/find_holes.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <Eigen/LU>

#include "fairhole/photo/find_marks.h"
#include "fairhole/photo/part_edges.h"
#include "rim_model.h"
#include "support/statistics.h"
#include "test_hole_render.h"
#include "test_truth.h"

namespace fairhole::photo {
namespace {

struct Tally {
  int holes = 0;
  double squares = 0.0, worst = 0.0, normalised = 0.0, diameters = 0.0, diameters2 = 0.0;
};

/// Every hole of one ray-traced photograph, seen with its true camera, found and asserted; nothing else is.
void count(const std::string& scene, std::size_t photo, Tally& tally) {
  SCOPED_TRACE(scene + " photo " + std::to_string(photo));
  const test::TruePhoto truth = test::true_photo(scene, photo);
  const Result<Picture> picture = decode_picture(test::scene_file(truth.file), truth.file);
  ASSERT_TRUE(picture);
  HoleSearch search;
  search.masked_px = truth.sheets_px;
  std::vector<HoleImage> found = find_holes(*picture, truth.view, search);
  for (const test::TrueHole& hole : truth.holes) {
    const auto match = std::find_if(found.begin(), found.end(), [&](const HoleImage& f) {
      return (f.face_mm - hole.face_mm).norm() < 1.5;
    });
    ASSERT_NE(match, found.end()) << hole.id << " missed";
    EXPECT_FALSE(match->doubtful) << hole.id << ": " << match->reasons.front();
    const Eigen::Vector2d off = match->pixel - hole.pixel;
    const double off_mm = (match->face_mm - hole.face_mm).norm();
    const double bigger = match->bore_diameter_mm - hole.bore_mm;
    ++tally.holes;
    tally.squares += off_mm * off_mm;
    tally.worst = std::max(tally.worst, off_mm);
    tally.normalised += 0.5 * off.dot(match->pixel_cov_px2.inverse() * off);
    tally.diameters += bigger;
    tally.diameters2 += bigger * bigger;
    found.erase(match);
  }
  for (const HoleImage& rest : found)
    EXPECT_TRUE(rest.doubtful) << "asserted at " << rest.pixel.transpose() << ", diameter "
                               << rest.bore_diameter_mm;
}

void report(const char* name, const Tally& t) {
  const double mean = t.diameters / t.holes;
  std::printf(
      "%s: %d holes, centre RMS %.3f mm, worst %.3f mm, normalised square %.2f, diameter %+.3f +- %.3f mm\n",
      name, t.holes, std::sqrt(t.squares / t.holes), t.worst, t.normalised / t.holes, mean,
      std::sqrt(t.diameters2 / t.holes - mean * mean));
}

// Limits: the accuracy asked of the finder when the camera is known (docs/photo-holes.md).
TEST(FindHoles, CleanScenes) {
  Tally tally;
  count("devA", 0, tally);
  count("devB", 0, tally);
  for (const std::size_t photo : {0U, 1U, 2U}) count("devC", photo, tally);
  ASSERT_GT(tally.holes, 50);
  report("devA, devB, devC", tally);
  EXPECT_LT(std::sqrt(tally.squares / tally.holes), 0.06);
  EXPECT_LT(tally.worst, 0.40);  // aim: 0.25; one faint rim of 62 is taken 0.2 mm too wide
  EXPECT_NEAR(tally.diameters / tally.holes, 0.0, 0.05);
  EXPECT_LT(std::sqrt(tally.diameters2 / tally.holes), 0.1);
  EXPECT_THAT(tally.normalised / tally.holes, testing::AllOf(testing::Ge(0.7), testing::Le(1.4)));
}

TEST(FindHoles, RustGlareShadowBurrs) {
  Tally tally;
  count("devD", 0, tally);
  report("devD", tally);
  EXPECT_LT(std::sqrt(tally.squares / tally.holes), 0.17);
  EXPECT_NEAR(tally.diameters / tally.holes, 0.0, 0.15);
}

// The rivet head, the plug's ring and the nut are offered, each with its own doubt.
TEST(FindHoles, WhatFitsACircleIsDoubtful) {
  const test::TruePhoto truth = test::true_photo("devD", 0);
  const Result<Picture> picture = decode_picture(test::scene_file(truth.file), truth.file);
  HoleSearch search;
  search.masked_px = truth.sheets_px;
  const std::vector<HoleImage> found = find_holes(*picture, truth.view, search);
  const auto doubt = [&](const std::string& kind) {
    for (const test::Distractor& d : truth.distractors)
      for (const HoleImage& f : found)
        if (d.kind == kind && (f.face_mm - d.face_mm).norm() < 6.0 && f.doubtful) return f.reasons.front();
    return std::string("not offered");
  };
  EXPECT_EQ(doubt("rivet"), "lighter in the middle than at the edge all round: a rivet head?");
  EXPECT_EQ(doubt("plug"), "a thin ring with the same surface inside and outside: a plugged hole, or drawn");
  EXPECT_EQ(doubt("nut"), "stands within a hexagon: a nut?");
}

TEST(FindMarks, RingsDiscsAndRubs) {
  const test::TruePhoto truth = test::true_photo("devE", 0);
  const Result<Picture> picture = decode_picture(test::scene_file(truth.file), truth.file);
  HoleSearch search;
  search.masked_px = truth.markers_px;
  const std::vector<HoleImage> found = find_marks(*picture, truth.view, search);
  ASSERT_EQ(found.size(), truth.holes.size());
  double squares = 0.0;
  for (const test::TrueHole& hole : truth.holes) {
    const auto match =
        std::min_element(found.begin(), found.end(), [&](const HoleImage& a, const HoleImage& b) {
          return (a.face_mm - hole.face_mm).norm() < (b.face_mm - hole.face_mm).norm();
        });
    const MarkKind kind = hole.style == "disc"  ? MarkKind::kDisc
                          : hole.style == "rub" ? MarkKind::kRub
                                                : MarkKind::kRing;
    EXPECT_EQ(match->kind, kind) << hole.id;
    squares += (match->face_mm - hole.face_mm).squaredNorm();
    EXPECT_NEAR(match->bore_diameter_mm, hole.bore_mm, 2.0 * match->bore_sigma_mm) << hole.id;
  }
  EXPECT_LT(std::sqrt(squares / static_cast<double>(found.size())), 0.06);
}

// The plate of devD is 430 x 150: its left, lower and upper edges are the lines x = 0, y = 0, y = 150.
TEST(PartEdges, ThoseOfAPlate) {
  const test::TruePhoto truth = test::true_photo("devD", 0);
  const Result<Picture> picture = decode_picture(test::scene_file(truth.file), truth.file);
  std::vector<Eigen::Vector2d> holes;
  for (const test::TrueHole& hole : truth.holes) holes.push_back(hole.face_mm);
  const std::vector<PartEdge> edges = find_part_edges(*picture, truth.view, holes, truth.sheets_px);
  const auto off = [&](const Eigen::Vector2d& along, const Eigen::Vector2d& on) {
    for (const PartEdge& e : edges)
      if ((e.b_mm - e.a_mm).normalized().dot(along) > 0.999)
        return std::max(std::abs((e.a_mm - on).dot(Eigen::Vector2d(-along.y(), along.x()))),
                        std::abs((e.b_mm - on).dot(Eigen::Vector2d(-along.y(), along.x()))));
    return 1e9;
  };
  EXPECT_LT(off({1.0, 0.0}, {0.0, 0.0}), 0.05);  // a third of a pixel
  EXPECT_LT(off({-1.0, 0.0}, {0.0, 150.0}), 0.05);
  EXPECT_LT(off({0.0, -1.0}, {0.0, 0.0}), 0.05);
}

struct Honesty {
  int asserted = 0, inside = 0;
  double squares = 0.0, diameters = 0.0;

  void add(double square, double by_diameter) {
    ++asserted;
    inside += square < 5.991;  // chi-square of 2 degrees of freedom, 95 %
    squares += 0.5 * square;
    diameters += by_diameter * by_diameter;
  }
  double held() const { return 100.0 * inside / asserted; }
  void print(const char* name) const {
    std::printf("%s: %d asserted, normalised square %.2f (diameter %.2f), 95 %% ellipses hold %.1f %%\n",
                name, asserted, squares / asserted, diameters / asserted, held());
  }
};

// Drawn holes, each with a camera of its own: slants to 50 degrees, chamfers that are unevenly lit and whose
// rim wanders, ovals, dark and light grounds, 8-bit tone curve. Holes offered as doubtful are counted, not
// judged. docs/photo-holes.md tells of 500 of them (FAIRHOLE_STATISTICS_SHARE=5), and that the claim is too
// wide there: only the unsafe side is asserted here.
TEST(FindHolesStatistics, ClaimedUncertaintyIsNotTooSmall) {
  constexpr int kSize = 190;
  constexpr unsigned kFirstSeed = 1000;  // constants were read off seeds from 500000 on
  const Eigen::Vector2d middle(94.4, 95.7);
  const int trials = fairhole::test::trials(100);
  int measured = 0;
  Honesty all, light_above;  // a light ground seen from within 13 degrees of straight above: the weak case
  for (int k = 0; k < trials; ++k) {
    std::mt19937 random(kFirstSeed + static_cast<unsigned>(k));
    const auto between = [&](double a, double b) {
      return std::uniform_real_distribution<double>(a, b)(random);
    };
    const double distance = between(550.0, 750.0), slant = between(0.05, 0.87), turn = between(0.0, 6.28);
    const View view = test::look_at(3000.0, {0.0, 0.0}, distance, slant, turn, middle);
    test::DrawnHole hole;
    hole.centre_mm.x() = between(-1.0, 1.0);
    hole.centre_mm.y() = between(-1.0, 1.0);
    hole.bore_mm = between(14.0, 25.0);
    hole.chamfer_mm = between(0.3, 1.2);
    hole.oval_mm = between(0.0, 0.5);
    hole.oval_axis_rad = between(0.0, 3.14);
    hole.face = between(0.08, 0.4);
    hole.chamfer = hole.face * between(0.5, 1.6);
    hole.chamfer_swing = between(0.0, 0.4);
    hole.wall = between(0.003, 0.02);
    hole.bench = k % 3 == 0 ? hole.face * between(0.3, 0.8) : between(0.005, 0.03);
    hole.wander_mm = between(0.03, 0.09);
    hole.seed = kFirstSeed + static_cast<unsigned>(k);
    const Picture picture = test::draw_hole(
        view, hole, {.blur_px = between(0.7, 1.2), .noise = 0.003, .tone_curve = true, .rays = 4}, kSize);
    HoleSearch search;
    search.hints_mm = {{0.0, 0.0}};
    search.expected_mm = {hole.bore_mm + between(-1.0, 1.0)};
    const std::vector<HoleImage> found = find_holes(picture, view, search);
    const auto match = std::find_if(found.begin(), found.end(), [&](const HoleImage& f) {
      return (f.face_mm - hole.centre_mm).norm() < 1.5 && std::abs(f.bore_diameter_mm - hole.bore_mm) < 2.0;
    });
    if (match == found.end()) continue;
    ++measured;
    if (match->doubtful) continue;
    const Eigen::Vector2d off = match->pixel - *project(view, {hole.centre_mm.x(), hole.centre_mm.y(), 0.0});
    const double square = off.dot(match->pixel_cov_px2.inverse() * off);
    const double by_diameter = (match->bore_diameter_mm - hole.bore_mm) / match->bore_sigma_mm;
    all.add(square, by_diameter);
    if (k % 3 == 0 && slant < 0.227) light_above.add(square, by_diameter);
  }
  std::printf("%d of %d found\n", measured, trials);
  all.print("all");
  light_above.print("light ground from above");
  if (!fairhole::test::judge_frequencies()) return;
  EXPECT_GE(measured, trials - 1);  // none of 500 was missed; one may be
  // Three standard deviations of a frequency over that many.
  const auto window = [](double share, int count) { return 3.0 * std::sqrt(share * (1.0 - share) / count); };
  EXPECT_GT(all.asserted, (0.94 - window(0.94, trials)) * trials);  // doubt is no way out
  EXPECT_LE(all.squares / all.asserted, 1.4);
  EXPECT_GT(all.held(), 95.0 - 100.0 * window(0.95, all.asserted));
}

}  // namespace
}  // namespace fairhole::photo
