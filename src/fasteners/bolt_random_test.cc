// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
//
// Ten thousand random stacks. The checker walks along the bolt by itself: it knows the order and the finished
// piece, and nothing of how the lengths were found.
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "fairhole/fasteners/bolt.h"

namespace fairhole::fasteners {
namespace {

constexpr unsigned kSeed = 20261126;
constexpr int kStacks = 10000;
constexpr double kMm = 1e-6;

class Dice {
 public:
  explicit Dice(unsigned seed) : engine_(seed) {}
  double from_to(double least, double most) {
    return least + (most - least) * (static_cast<double>(engine_() >> 11) * 0x1.0p-53);
  }
  int up_to(int most) { return static_cast<int>(engine_() % (static_cast<unsigned>(most) + 1)); }
  bool chance(double odds) { return from_to(0.0, 1.0) < odds; }

 private:
  std::mt19937_64 engine_;
};

/// A size of clearance bolt for which there is a nut.
double clearance_size_mm(const std::string& series, double limit_mm) {
  const auto thread = largest_thread(standard_catalogue(), series, limit_mm);
  const bool nut = hexagon_for(standard_catalogue(), hexagon_series_of(series), thread->major_mm).ok();
  return nut ? thread->major_mm : clearance_size_mm(series, thread->major_mm - 0.01);
}

BoltOrder random_order(Dice& dice, int number) {
  BoltOrder order;
  order.stack.id = "S" + std::to_string(number);
  const int layers = 1 + dice.up_to(4);
  for (int i = 0; i < layers; ++i) {
    order.stack.layers.push_back({"L" + std::to_string(i), dice.from_to(2.0, 60.0),
                                  dice.chance(0.5) ? dice.from_to(0.0, 0.6) : 0.0,
                                  i > 0 && dice.chance(0.3)});
  }
  const char* const series[] = {"metric", "BSW", "BSF", "UNC", "UNF"};
  order.rules.thread_series = series[dice.up_to(4)];
  order.kind = dice.chance(0.2)   ? Kind::kClearanceBolt
               : dice.chance(0.5) ? Kind::kFittedBolt
                                  : Kind::kRivetHeadedBolt;
  order.nominal_mm = dice.from_to(12.9, 36.0);
  if (order.kind == Kind::kClearanceBolt) {
    order.nominal_mm = clearance_size_mm(order.rules.thread_series, order.nominal_mm);
    order.shank = {nanometres(order.nominal_mm), nanometres(order.nominal_mm)};
  } else {
    order.shank = {nanometres(order.nominal_mm) + 2000, nanometres(order.nominal_mm) + 15000};
  }
  if (order.kind == Kind::kRivetHeadedBolt)
    order.head = HeadSize{HeadForm::kSnap, 1.6 * order.nominal_mm, 0.7 * order.nominal_mm};
  order.rules.threads_past_nut = dice.up_to(4);
  order.rules.threads_in_reserve = dice.up_to(3);
  order.rules.relief_pitches = dice.from_to(0.0, 3.0);
  order.rules.shank_over_mm = dice.from_to(0.0, 0.5);
  order.rules.lock_nut = dice.chance(0.2);
  if (dice.chance(0.3)) order.rules.washer_mm = dice.from_to(2.0, 16.0);
  order.rules.washer_under_head = dice.chance(0.25);  // made where the catalogue holds none
  return order;
}

/// The layers as they really are in one joint: each within its uncertainty.
std::vector<double> real_layers(const BoltOrder& order, Dice& dice, int which) {
  std::vector<double> thick_mm;
  for (const GripLayer& layer : order.stack.layers) {
    const double off = which == 0 ? -1.0 : which == 1 ? 1.0 : dice.from_to(-1.0, 1.0);
    thick_mm.push_back(layer.thickness_mm + off * layer.plus_minus_mm);
  }
  return thick_mm;
}

/// One finished joint: layers and the shank's length as they came out.
void check_joint(const BoltOrder& order, const BoltDesign& design, const std::vector<double>& layers_mm,
                 double shank_mm) {
  double face_mm = design.head_washer_mm;
  for (std::size_t i = 0; i < layers_mm.size(); ++i) {
    face_mm += layers_mm[i];
    if (order.stack.layers[i].packing) continue;
    // Neither relief nor thread begins before the far face of a bearing layer, so none lies in a shear plane
    // either.
    ASSERT_GE(shank_mm, face_mm - kMm) << "layer " << i;
  }
  const double pitch_mm = design.thread.pitch_mm;
  const double nut_from_mm = face_mm + design.nut_washer_mm, nut_to_mm = nut_from_mm + design.nut_mm;
  const double thread_from_mm = shank_mm + design.relief_mm, thread_to_mm = design.length_mm - pitch_mm;
  ASSERT_LE(thread_from_mm + order.rules.threads_in_reserve * pitch_mm,
            nut_from_mm + kMm);  // the nut cannot bottom
  ASSERT_GE(thread_to_mm, nut_to_mm + order.rules.threads_past_nut * pitch_mm - kMm);  // threads past the nut
  ASSERT_LE(thread_from_mm, design.thread_from_mm + kMm);
  if (shank_mm > face_mm + kMm) {  // into the washer, which must let it
    ASSERT_GE(design.nut_washer_hole_mm, order.shank.max_mm() + 0.5 - kMm);
    ASSERT_LE(shank_mm, nut_from_mm + kMm);
  }
}

void check_design(const BoltOrder& order, const BoltDesign& design, Dice& dice) {
  double off_mm = 0.0;
  for (const GripLayer& layer : order.stack.layers) off_mm += layer.plus_minus_mm;
  for (int joint = 0; joint < 4; ++joint) {
    const std::vector<double> layers_mm = real_layers(order, dice, joint);
    for (const double over_mm : {0.0, order.rules.shank_over_mm}) {
      ASSERT_NO_FATAL_FAILURE(check_joint(order, design, layers_mm, design.shank_mm + over_mm));
    }
  }
  ASSERT_LE(design.thread.major_mm, order.shank.max_mm() + 0.011);  // the thread passes the hole
  ASSERT_LT(design.relief_diameter_mm, design.thread.core_mm());
  // No longer than it must be: whole millimetres, and twice the grip's uncertainty.
  double grip_mm = 0.0;
  for (const GripLayer& layer : order.stack.layers) grip_mm += layer.thickness_mm;
  const double least_mm = design.head_washer_mm + grip_mm + design.nut_washer_mm + design.nut_mm +
                          (order.rules.threads_past_nut + 1) * design.thread.pitch_mm;
  ASSERT_LT(design.length_mm, least_mm + off_mm + 1.0 + kMm);
  if (order.rules.washer_mm) {
    ASSERT_EQ(design.nut_washer_mm, *order.rules.washer_mm);
  }
}

TEST(RandomBolts, KeepThreadOutOfLayersAndNutOffTheShank) {
  Dice dice(kSeed);
  int made = 0, too_thin = 0, own_washer = 0, stock = 0;
  for (int number = 0; number < kStacks; ++number) {
    BoltOrder order = random_order(dice, number);
    SCOPED_TRACE(testing::Message() << "seed " << kSeed << ", stack " << number);
    auto design = design_bolt(order, standard_catalogue());
    if (!design.ok()) {  // only ever a washer stated too thin; the thickness that the message gives will do
      const Problem& problem = design.problems()[0];
      ASSERT_EQ(problem.code, codes::kBadBolt) << describe(problem);
      ASSERT_NE(problem.what.find("leaves no room"), std::string::npos) << describe(problem);
      const double asked_mm = std::stod(problem.remedy.substr(4));
      ASSERT_GT(asked_mm, *order.rules.washer_mm);
      order.rules.washer_mm = asked_mm;
      ++too_thin;
      design = design_bolt(order, standard_catalogue());
      ASSERT_TRUE(design.ok()) << describe(design.problems()[0]);
    }
    ASSERT_NO_FATAL_FAILURE(check_design(order, *design, dice));
    ++made;
    own_washer += design->washer_made ? 1 : 0;
    stock += design->stock ? 1 : 0;
  }
  // The trial reaches every branch.
  EXPECT_EQ(made, kStacks);
  EXPECT_GT(too_thin, 100);
  EXPECT_GT(own_washer, 100);
  EXPECT_GT(stock, 100);
}

TEST(RandomBolts, FromTheShelfNeitherBottomNorLackThreads) {
  Dice dice(kSeed + 1);
  int clear = 0;
  for (int number = 0; number < kStacks / 10; ++number) {
    BoltOrder order = random_order(dice, number);
    order.kind = Kind::kClearanceBolt;
    order.rules.thread_series = "metric";
    order.rules.washer_mm = 16.0;
    order.rules.washer_under_head = false;
    order.rules.relief_pitches = 1.0;
    order.rules.threads_in_reserve = 1;
    order.nominal_mm = clearance_size_mm("metric", order.nominal_mm);
    order.shank = {nanometres(order.nominal_mm), nanometres(order.nominal_mm)};
    if (number % 3 == 0) order.stack.layers.push_back({"packing", 30.0, 0.0, true});
    const auto design = design_bolt(order, standard_catalogue());
    ASSERT_TRUE(design.ok());
    if (!design->stock) continue;
    double grip_mm = 0.0, off_mm = 0.0, bearing_mm = 0.0;
    for (const GripLayer& layer : order.stack.layers) {
      grip_mm += layer.thickness_mm;
      off_mm += layer.plus_minus_mm;
      if (!layer.packing) bearing_mm = grip_mm + off_mm;
    }
    const double pitch_mm = design->thread.pitch_mm;
    ASSERT_GE(design->stock->length_mm,
              grip_mm + off_mm + 16.0 + design->nut_mm + (order.rules.threads_past_nut + 1) * pitch_mm - kMm);
    ASSERT_LE(design->stock->thread_from_mm,
              grip_mm - off_mm + 16.0 - order.rules.threads_in_reserve * pitch_mm + kMm);
    const double run_out_mm = std::max(0.0, design->stock->thread_from_mm - 5.0 * pitch_mm);
    ASSERT_NEAR(design->stock->run_out_from_mm, run_out_mm, kMm);
    ASSERT_EQ(design->stock->thread_in_layer, run_out_mm < bearing_mm);
    clear += design->stock->thread_in_layer ? 0 : 1;
  }
  EXPECT_GT(clear, 10);
}

}  // namespace
}  // namespace fairhole::fasteners
