// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/net_section.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <numbers>
#include <random>

#include "../fits/test_reference.h"
#include "support/evidence.h"

namespace fairhole::fasteners {
namespace {

constexpr double kMm = 1e-9;

TEST(NetSection, OfARowAcrossIsTheSumOfItsHoles) {
  const NetLine line = worst_net_line({{100, 90, 22}, {100, 30, 22}, {40, 60, 25}});
  // Across: 44 mm. By way of the middle hole: 22 + 25 + 22 - 2 x 60^2/(4 x 30) = 9 mm.
  EXPECT_NEAR(line.lost_mm, 44.0, kMm);
  EXPECT_EQ(line.holes, (std::vector<std::size_t>{1, 0}));
}

TEST(NetSection, TakesTheZigZagWhereItIsWorse) {
  // s = 30, p = 50: each step gives back 900/200 = 4.5 mm (EN 1993-1-1 6.2.2.2(4)): 66 - 9 = 57 against 44
  // straight.
  const NetLine line = worst_net_line({{0, 40, 22}, {30, 90, 22}, {0, 140, 22}});
  EXPECT_NEAR(line.lost_mm, 57.0, kMm);
  EXPECT_EQ(line.holes, (std::vector<std::size_t>{0, 1, 2}));
  // At s = 66.332 (s^2/4p = 22) a detour gains nothing any more.
  EXPECT_NEAR(worst_net_line({{0, 40, 22}, {67, 90, 22}, {0, 140, 22}}).lost_mm, 44.0, kMm);
}

TEST(NetSection, WithoutHolesLosesNothing) {
  EXPECT_EQ(worst_net_line({}).lost_mm, 0.0);
  EXPECT_TRUE(worst_net_line({}).holes.empty());
  EXPECT_EQ(worst_net_line({{0, 40, 22}, {30, 40, 25}}).lost_mm,
            25.0);  // on one gauge line no line takes both
}

double lost_along(const std::vector<StripHole>& holes, const std::vector<std::size_t>& line) {
  double lost_mm = 0.0;
  for (std::size_t k = 0; k < line.size(); ++k) {
    lost_mm += holes[line[k]].diameter_mm;
    if (k == 0) continue;
    const double s = holes[line[k]].along_mm - holes[line[k - 1]].along_mm;
    lost_mm -= s * s / (4.0 * (holes[line[k]].across_mm - holes[line[k - 1]].across_mm));
  }
  return lost_mm;
}

TEST(NetSection, IsTheWorstOfAllLines) {
  std::mt19937_64 engine(5);
  const auto roll = [&engine](int sides) {
    return static_cast<double>(engine() % static_cast<unsigned>(sides));
  };
  for (int trial = 0; trial < 500; ++trial) {
    std::vector<StripHole> holes;
    for (int i = 0; i < 1 + trial % 10; ++i)
      holes.push_back({10.0 * roll(20), 15.0 * roll(12), 16.0 + roll(12)});
    double worst_mm = 0.0;
    for (unsigned chosen = 1; chosen < 1U << holes.size(); ++chosen) {
      std::vector<std::size_t> line;
      for (std::size_t i = 0; i < holes.size(); ++i) {
        if ((chosen >> i & 1U) != 0U) line.push_back(i);
      }
      std::sort(line.begin(), line.end(),
                [&](std::size_t a, std::size_t b) { return holes[a].across_mm < holes[b].across_mm; });
      const bool steady = std::adjacent_find(line.begin(), line.end(), [&](std::size_t a, std::size_t b) {
                            return holes[a].across_mm >= holes[b].across_mm;
                          }) == line.end();
      if (steady) worst_mm = std::max(worst_mm, lost_along(holes, line));
    }
    const NetLine found = worst_net_line(holes);
    ASSERT_NEAR(found.lost_mm, worst_mm, kMm) << trial;
    ASSERT_NEAR(lost_along(holes, found.holes), worst_mm, kMm) << trial;
  }
}

TEST(NetSection, ReproducesPublishedBoilerSeams) {
  // Single riveted lap seams of California Title 8 s. 796: the lesser of the plate's and the rivets' share,
  // plate 55 000 and rivet 44 000 lbf/in2. Printed to half a point or less; the last row's 51.4 is that of
  // its net plate, though by the same figures its rivets carry 50.0.
  const fits::Table table = fits::reference_table("rivet_seams.csv");
  constexpr double kPrintedPct = 0.31, kMostPct = 1.45;
  ASSERT_EQ(table.rows(), 14U);
  test::Evidence seams = test::published("California Code of Regulations, Title 8 s. 796 (lap seams)",
                                         "strength of the seam over that of the plate", "%");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    SCOPED_TRACE(table.text(row, "plate_in"));
    const double t = table.length_mm(row, "plate_in"), d = table.length_mm(row, "hole_in");
    const double pitch = table.length_mm(row, "pitch_in");
    const NetLine line =
        worst_net_line({{0.0, 0.5 * pitch, d}, {0.0, 1.5 * pitch, d}, {0.0, 2.5 * pitch, d}});
    const double plate_pct = 100.0 * (3.0 * pitch - line.lost_mm) / (3.0 * pitch);
    const double rivet_pct = 100.0 * std::numbers::pi / 4.0 * d * d * 44.0 / (pitch * t * 55.0);
    const double pct = std::min(plate_pct, rivet_pct);
    EXPECT_NEAR(pct, table.number(row, "recomputed_pct"), 0.06);
    seams.near(pct, table.number(row, "published_pct"), row + 1 < table.rows() ? kPrintedPct : kMostPct);
  }
}

}  // namespace
}  // namespace fairhole::fasteners
