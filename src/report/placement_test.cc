// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "placement.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>

namespace fairhole::report {
namespace {

double squared_shift(const std::vector<double>& places, const std::vector<double>& wanted) {
  double sum = 0.0;
  for (std::size_t i = 0; i < places.size(); ++i) sum += (places[i] - wanted[i]) * (places[i] - wanted[i]);
  return sum;
}

TEST(Spread, LeavesRoomyPlacesAlone) {
  const std::vector<double> wanted{1.0, 5.0, 9.0};
  EXPECT_EQ(spread(wanted, 3.0, 0.0, 20.0), wanted);
}

TEST(Spread, TwoTooCloseGiveWayAlike) {
  const auto places = spread({10.0, 11.0}, 3.0, 0.0, 20.0);
  ASSERT_TRUE(places);
  EXPECT_DOUBLE_EQ((*places)[0], 9.0);
  EXPECT_DOUBLE_EQ((*places)[1], 12.0);
}

TEST(Spread, SaysSoWhenThereIsNoRoom) { EXPECT_FALSE(spread({1.0, 2.0, 3.0}, 3.0, 0.0, 5.9)); }

/// Feasible, and no feasible neighbour is better: a convex problem, so that is the best there is.
TEST(Spread, NoOtherPlacingIsNearer) {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> unit;
  for (int trial = 0; trial < 200; ++trial) {
    SCOPED_TRACE(trial);
    std::vector<double> wanted;
    for (int i = 0; i < 20; ++i) wanted.push_back(60.0 * unit(random));
    std::sort(wanted.begin(), wanted.end());
    const auto places = spread(wanted, 2.8, 0.0, 60.0);
    ASSERT_TRUE(places);
    constexpr double kTolMm = 1e-9;  // sums of 20 numbers below 100
    EXPECT_GE(places->front(), -kTolMm);
    EXPECT_LE(places->back(), 60.0 + kTolMm);
    for (std::size_t i = 1; i < places->size(); ++i) EXPECT_GE((*places)[i] - (*places)[i - 1], 2.8 - kTolMm);
    const double best = squared_shift(*places, wanted);
    for (int other = 0; other < 200; ++other) {
      std::vector<double> rival;  // a feasible placing near by: mix with a random feasible one
      for (std::size_t i = 0; i < wanted.size(); ++i) rival.push_back(60.0 * unit(random));
      std::sort(rival.begin(), rival.end());
      rival = *spread(rival, 2.8, 0.0, 60.0);
      const double share = 0.2 * unit(random);
      for (std::size_t i = 0; i < rival.size(); ++i)
        rival[i] = (1.0 - share) * (*places)[i] + share * rival[i];
      EXPECT_GE(squared_shift(rival, wanted), best - kTolMm);
    }
  }
}

TEST(Labels, KeepOffOneAnotherAndTheirSymbols) {
  std::mt19937_64 random(11);
  std::uniform_real_distribution<double> unit;
  std::vector<LabelRequest> requests;
  for (int i = 0; i < 60; ++i)
    requests.push_back({{180.0 * unit(random), 100.0 * unit(random)}, 3.0, 7.0, 3.4});
  const Obstacles obstacles{{{-10.0, -10.0}, {190.0, 110.0}}, {{{80.0, 40.0}, {110.0, 46.0}}}, {}, {}};
  const auto labels = place_labels(requests, obstacles);
  ASSERT_EQ(labels.size(), requests.size());
  for (std::size_t i = 0; i < labels.size(); ++i) {
    EXPECT_TRUE(labels[i].clear);
    EXPECT_TRUE(obstacles.region.holds(labels[i].box));
    EXPECT_FALSE(labels[i].box.overlaps(obstacles.boxes[0]));
    for (std::size_t j = 0; j < labels.size(); ++j) {
      EXPECT_GE((labels[i].box.nearest(requests[j].at_mm) - requests[j].at_mm).norm(),
                requests[j].keep_off_mm);
      EXPECT_TRUE(j <= i || !labels[i].box.overlaps(labels[j].box));
    }
  }
}

TEST(Labels, OfFarHolesDoNotDisturbOneAnother) {
  std::mt19937_64 random(12);
  std::uniform_real_distribution<double> unit;
  const Obstacles plate{{{-10.0, -10.0}, {900.0, 110.0}}, {}, {}, {}};
  std::vector<LabelRequest> near;
  for (int i = 0; i < 120; ++i) near.push_back({{150.0 * unit(random), 100.0 * unit(random)}, 3.0, 7.0, 3.4});
  std::vector<LabelRequest> both = near;
  for (LabelRequest far : near) {
    far.at_mm.x() += 700.0;
    both.push_back(far);
  }
  const auto alone = place_labels(near, plate);
  const auto together = place_labels(both, plate);
  for (std::size_t i = 0; i < near.size(); ++i) {
    EXPECT_EQ(together[i].box.low_mm, alone[i].box.low_mm);
    EXPECT_EQ(together[i].leader, alone[i].leader);
  }
}

TEST(Labels, WithoutAnyRoomSayThatTheyAreNotClear) {
  const auto labels = place_labels({{{5.0, 5.0}, 3.0, 7.0, 3.4}}, {{{2.0, 2.0}, {8.0, 8.0}}, {}, {}, {}});
  ASSERT_EQ(labels.size(), 1U);
  EXPECT_FALSE(labels[0].clear);
}

TEST(Labels, OfMoreTextThanPaperStandBesideTheirHolesNotClear) {
  const std::vector<LabelRequest> requests(10000, {{50.0, 50.0}, 3.0, 7.0, 3.4});
  const auto labels = place_labels(requests, {{{0.0, 0.0}, {200.0, 280.0}}, {}, {}, {}});
  ASSERT_EQ(labels.size(), requests.size());
  for (const PlacedLabel& label : labels) {
    EXPECT_FALSE(label.clear);
    EXPECT_LT((label.box.nearest({50.0, 50.0}) - Eigen::Vector2d(50.0, 50.0)).norm(), 5.0);
  }
}

TEST(Crosses, SegmentThroughAcrossAndBeside) {
  const Box box{{0.0, 0.0}, {2.0, 1.0}};
  EXPECT_TRUE(crosses({-1.0, 0.5}, {3.0, 0.5}, box));
  EXPECT_TRUE(crosses({0.5, 0.5}, {0.6, 0.6}, box));
  EXPECT_FALSE(crosses({-1.0, 1.0}, {3.0, 1.0}, box));
  EXPECT_FALSE(crosses({-1.0, 0.0}, {0.0, 1.5}, box));
}

}  // namespace
}  // namespace fairhole::report
