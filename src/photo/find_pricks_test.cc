// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "find_pricks.h"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <bitset>
#include <cmath>
#include <random>

#include "fairhole/photo/find_marks.h"
#include "test_hole_render.h"

namespace fairhole::photo {
namespace {

/// Pencil on paper: a straight stroke with round ends; a dot where both ends are one.
struct PencilStroke {
  Eigen::Vector2d a_mm, b_mm;
  double width_mm = 0.3;

  bool covers(const Eigen::Vector2d& p) const {
    const Eigen::Vector2d way = b_mm - a_mm;
    const double along =
        way.squaredNorm() > 0.0 ? std::clamp((p - a_mm).dot(way) / way.squaredNorm(), 0.0, 1.0) : 0.0;
    return (p - a_mm - along * way).norm() < 0.5 * width_mm;
  }
};

View over_the_sheet() { return test::look_at(3000.0, {80.0, 60.0}, 600.0, 0.3, 0.7, {420.0, 330.0}); }

/// Each pixel cut into 4 x 4 rays, each carried to the sheet; then blur and noise, in linear light.
Picture drawn(const View& view, const std::vector<PencilStroke>& strokes, unsigned seed) {
  constexpr int kRays = 4, kWidth = 840, kHeight = 660, kBesidePx = 8;
  constexpr double kPaper = 0.7, kPencil = 0.2, kBlurPx = 0.9, kNoise = 0.006;
  std::vector<std::bitset<kRays * kRays>> covered(std::size_t{kWidth} * kHeight);
  for (const PencilStroke& stroke : strokes) {
    const Eigen::Vector2d a = *project(view, {stroke.a_mm.x(), stroke.a_mm.y(), 0.0}),
                          b = *project(view, {stroke.b_mm.x(), stroke.b_mm.y(), 0.0});
    const Eigen::Vector2i low = a.cwiseMin(b).cast<int>().array() - kBesidePx,
                          high = a.cwiseMax(b).cast<int>().array() + kBesidePx;
    for (int y = std::max(low.y(), 0); y < std::min(high.y(), kHeight); ++y)
      for (int x = std::max(low.x(), 0); x < std::min(high.x(), kWidth); ++x)
        for (int k = 0; k < kRays * kRays; ++k) {
          const Eigen::Vector2d at((k % kRays + 0.5) / kRays - 0.5, (k / kRays + 0.5) / kRays - 0.5);
          if (stroke.covers(*meet_plane(view, Eigen::Vector2d(x, y) + at)))
            covered[static_cast<std::size_t>(y * kWidth + x)].set(static_cast<std::size_t>(k));
        }
  }
  Picture picture;
  picture.name = "sheet";
  picture.width_px = kWidth;
  picture.height_px = kHeight;
  for (const auto& rays : covered)
    picture.light.push_back(static_cast<float>(
        kPaper + (kPencil - kPaper) * static_cast<double>(rays.count()) / (kRays * kRays)));
  return test::with_noise(test::blurred(picture, kBlurPx), kNoise, seed);
}

/// A drawn cross with arms of different lengths, as a hand leaves it.
void add_cross(const Eigen::Vector2d& at, std::mt19937& random, std::vector<PencilStroke>& strokes) {
  const auto uniform = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  const double turn = uniform(0.0, 3.1), open = turn + uniform(1.2, 1.9), width = uniform(0.25, 0.45);
  for (const double angle : {turn, open}) {
    const Eigen::Vector2d way(std::cos(angle), std::sin(angle));
    strokes.push_back({at - uniform(2.5, 5.0) * way, at + uniform(2.5, 5.0) * way, width});
  }
}

std::vector<Eigen::Vector2d> places() {
  std::vector<Eigen::Vector2d> out;
  for (int k = 0; k < 20; ++k) out.emplace_back(32.0 + 23.0 * (k % 5), 22.0 + 23.0 * (k / 5));
  return out;
}

const Prick& nearest(const std::vector<Prick>& pricks, const Eigen::Vector2d& at) {
  return *std::ranges::min_element(pricks, {}, [&](const Prick& p) { return (p.centre_mm - at).norm(); });
}

TEST(FindPricks, CrossesAreWhereTheirStrokesMeetAsSurelyAsIsSaid) {
  constexpr double kRmsMm = 0.02;  // a tenth of a pixel
  double squares = 0.0, normalised = 0.0;
  int count = 0;
  for (unsigned seed = 1; seed <= 20; ++seed) {
    std::mt19937 random(seed);
    std::vector<PencilStroke> strokes;
    std::vector<Eigen::Vector2d> truth = places();
    for (Eigen::Vector2d& at : truth) {
      at += Eigen::Vector2d{std::uniform_real_distribution<double>(-2, 2)(random),
                            std::uniform_real_distribution<double>(-2, 2)(random)};
      add_cross(at, random, strokes);
    }
    const View view = over_the_sheet();
    const std::vector<Prick> found = find_pricks(drawn(view, strokes, seed), view, {});
    ASSERT_EQ(found.size(), truth.size());
    for (const Eigen::Vector2d& at : truth) {
      const Prick& prick = nearest(found, at);
      EXPECT_TRUE(prick.cross);
      const Eigen::Vector2d off = prick.centre_mm - at;
      squares += off.squaredNorm();
      normalised += 0.5 * off.dot(prick.cov_mm2.inverse() * off);
      ++count;
    }
  }
  EXPECT_LT(std::sqrt(squares / count), kRmsMm);
  // The mean of such squares scatters by one over the root of their number: three of that about the window.
  const double scatter = 3.0 / std::sqrt(count);
  std::printf("crosses: %.4f mm RMS, normalised square %.2f\n", std::sqrt(squares / count),
              normalised / count);
  EXPECT_GT(normalised / count, 0.7 * (1.0 - scatter));
  EXPECT_LT(normalised / count, 1.4 * (1.0 + scatter));
}

TEST(FindPricks, DotsAreFoundAndToldFromCrosses) {
  std::vector<PencilStroke> strokes;
  std::mt19937 random(4);
  const std::vector<Eigen::Vector2d> truth = places();
  for (const Eigen::Vector2d& at : truth)
    strokes.push_back({at, at, std::uniform_real_distribution<double>(0.7, 1.6)(random)});
  const View view = over_the_sheet();
  const std::vector<Prick> found = find_pricks(drawn(view, strokes, 4), view, {});
  ASSERT_EQ(found.size(), truth.size());
  double squares = 0.0;
  for (const Eigen::Vector2d& at : truth) {
    EXPECT_FALSE(nearest(found, at).cross);
    squares += (nearest(found, at).centre_mm - at).squaredNorm();
  }
  EXPECT_LT(std::sqrt(squares / static_cast<double>(truth.size())), 0.02);
}

// A line, a corner, a T, a ring, and letters: three crosses side by side.
TEST(FindPricks, OtherInkIsNoCentre) {
  std::vector<PencilStroke> strokes{{{30, 20}, {45, 20}},
                                    {{70, 20}, {78, 20}},
                                    {{70, 20}, {70, 28}},
                                    {{110, 28}, {120, 28}},
                                    {{115, 28}, {115, 20}}};
  for (int k = 0; k < 40; ++k) {
    const auto on = [&](int i) {
      const double angle = 2.0 * std::numbers::pi * i / 40;
      return Eigen::Vector2d(80 + 8 * std::cos(angle), 60 + 8 * std::sin(angle));
    };
    strokes.push_back({on(k), on(k + 1)});
  }
  for (const double x : {40.0, 43.5, 47.0}) {
    strokes.push_back({{x - 1.4, 98.6}, {x + 1.4, 101.4}});
    strokes.push_back({{x - 1.4, 101.4}, {x + 1.4, 98.6}});
  }
  const View view = over_the_sheet();
  for (const Prick& prick : find_pricks(drawn(view, strokes, 5), view, {}))
    ADD_FAILURE() << prick.centre_mm.transpose() << (prick.cross ? " cross" : " dot");
}

TEST(FindMarks, PricksHaveNoDiameterAndDotsAreDoubtful) {
  const View view = over_the_sheet();
  std::mt19937 random(6);
  std::vector<PencilStroke> strokes{{{100.0, 60.0}, {100.0, 60.0}, 1.2}};
  add_cross({60.0, 60.0}, random, strokes);
  const std::vector<HoleImage> marks = find_marks(drawn(view, strokes, 6), view, {});
  ASSERT_EQ(marks.size(), 2U);
  for (const HoleImage& mark : marks) {
    EXPECT_EQ(mark.kind, MarkKind::kPrick);
    EXPECT_EQ(mark.bore_diameter_mm, 0.0);
  }
  EXPECT_FALSE(marks[0].doubtful);
  ASSERT_TRUE(marks[1].doubtful);
  EXPECT_EQ(marks[1].reasons, std::vector<std::string>{"a dot: a pricked centre, or dirt on the sheet?"});
}

}  // namespace
}  // namespace fairhole::photo
