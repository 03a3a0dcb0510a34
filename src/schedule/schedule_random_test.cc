// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <random>
#include <stdexcept>

#include "test_plans.h"

namespace fairhole {
namespace {

using namespace schedule_test;

/// Limits of k6, typed from ISO 286-2:2010 table 7 by people: over, up to, least and most in micrometres.
struct K6 {
  double over_mm, up_to_mm;
  int least_um, most_um;
};
constexpr K6 kK6[] = {{10, 18, 1, 12}, {18, 30, 2, 15}, {30, 50, 2, 18}};

const K6& k6_of(double size_mm) {
  for (const K6& row : kK6) {
    if (size_mm > row.over_mm && size_mm <= row.up_to_mm) return row;
  }
  throw std::out_of_range("size");
}

/// One finished piece in one of its holes, every layer as thin or as thick as it may be.
void check_in_hole(const FastenerPiece& piece, const StackFastener& stack, double off_mm) {
  const fasteners::BoltDesign& bolt = piece.turning->design;
  double grip_mm = 0.0;
  for (const fasteners::GripLayer& layer : stack.layers) grip_mm += layer.thickness_mm + off_mm;
  constexpr double kOverMm = 0.2;
  const double pitch_mm = bolt.thread.pitch_mm, nut_from_mm = grip_mm + bolt.nut_washer_mm;
  ASSERT_GE(bolt.shank_mm, grip_mm - kMm);  // neither thread nor relief in a layer or shear plane
  ASSERT_LE(bolt.shank_mm + kOverMm + bolt.relief_mm + pitch_mm, nut_from_mm + kMm);  // the nut stays off
  ASSERT_GE(bolt.length_mm - pitch_mm, nut_from_mm + bolt.nut_mm + 2.0 * pitch_mm - kMm);  // two threads past
  if (!piece.shank) {
    ASSERT_GE(piece.blank_mm, stack.finish_mm + 0.5);
    return;
  }
  const K6& row = k6_of(stack.finish_mm);
  ASSERT_GE(piece.shank->min_mm(), stack.finish_mm + row.least_um * 1e-3 - kMm);
  ASSERT_LE(piece.shank->max_mm(), stack.finish_mm + row.most_um * 1e-3 + kMm);
  ASSERT_GE(piece.shank->max_mm() - piece.shank->min_mm(), 0.010 - kMm);
}

TEST(Schedule, TenThousandRandomStacksFitTheirPieces) {
  constexpr unsigned kSeed = 20261127;
  constexpr int kPlans = 200, kStacksEach = 50;
  std::mt19937_64 engine(kSeed);
  const auto pick = [&](std::uint64_t most) { return engine() % (most + 1); };
  int pieces = 0, shared = 0, own = 0;
  for (int number = 0; number < kPlans; ++number) {
    SCOPED_TRACE(testing::Message() << "seed " << kSeed << ", plan " << number);
    Made made;
    for (int i = 0; i < kStacksEach; ++i) {
      const FastenerKind kind =
          pick(1) == 0 ? FastenerKind::kFittedBolt : FastenerKind::kRivetHeadedFittedBolt;
      // A few thicknesses, and sizes a few micrometres apart, so that pieces and shanks are shared.
      const double finish_mm =
          14.0 + 2.0 * static_cast<double>(pick(12)) + 0.001 * static_cast<double>(pick(4));
      std::vector<double> old_mm{8.0 + 4.0 * static_cast<double>(pick(8))};
      if (pick(2) == 0) old_mm.push_back(12.7);
      add_stack(made, spec(kind, 14.0), finish_mm, old_mm,
                pick(4) == 0 ? Method::kTransfer : Method::kOpenOut);
    }
    for (Stack& stack : made.assembly.stacks) stack.fastener.head_diameter_mm = 64.0;
    FastenerMaking making;
    making.head_height_mm = 20.0;
    const FastenerSchedule schedule = scheduled(made, making);
    std::size_t served = 0;
    for (const FastenerPiece& piece : schedule.pieces) {
      ++pieces;
      shared += piece.stacks.size() > 1 ? 1 : 0;
      own += piece.to_own_bore ? 1 : 0;
      served += piece.stacks.size();
      for (const std::size_t i : piece.stacks) {
        for (const double off_mm : {-0.5, 0.5})
          ASSERT_NO_FATAL_FAILURE(check_in_hole(piece, schedule.stacks[i], off_mm));
      }
    }
    ASSERT_EQ(served, static_cast<std::size_t>(kStacksEach)) << schedule.stacks[0].open;
  }
  EXPECT_GT(shared, 200);
  EXPECT_GT(own, 200);
  EXPECT_LT(pieces, kPlans * kStacksEach);
}

}  // namespace
}  // namespace fairhole
