// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/reamers.h"

#include <gtest/gtest.h>

#include "support/evidence.h"
#include "test_reference.h"

namespace fairhole {
namespace {

TEST(ReamerLimits, AreThoseOfTheTable) {
  // Source: fixtures/reference/reamer_limits.csv: DIN 1420 rows for H7 as published, other classes by the
  // same rule.
  const fits::Table table = fits::reference_table("reamer_limits.csv");
  ASSERT_EQ(table.rows(), 40U);
  test::Evidence h7 =
      test::published("DIN 1420 in two tool makers' catalogues", "reamer limits, H7 and 10 D8", "nm");
  test::Evidence others = test::second_method("the printed rule of DIN 1420, apart from the program",
                                              "reamer limits, other classes", "nm");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const std::string size = table.text(row, "size_mm"), name = table.text(row, "hole_class");
    SCOPED_TRACE(size + " " + name);
    SizeLimits hole{10040000, 10062000};  // the published 10 D8, whose letter our tables do not hold
    double nominal_mm = 10.0;
    if (name != "D8") {
      nominal_mm = std::stod(size.starts_with("over") ? size.substr(size.rfind(' ') + 1) : size);
      hole = *limits_of({name.substr(0, 1), std::stoi(name.substr(1))}, nominal_mm);
    }
    const SizeLimits found = reamer_limits(hole);
    const bool is_published = !table.text(row, "published_upper").empty();
    test::Evidence& reamers = is_published ? h7 : others;
    reamers.equal(static_cast<double>(found.max_nm - nanometres(nominal_mm)),
                  1000 * table.number(row, is_published ? "published_upper" : "rule_upper"));
    reamers.equal(static_cast<double>(found.min_nm - nanometres(nominal_mm)),
                  1000 * table.number(row, is_published ? "published_lower" : "rule_lower"));
  }
}

TEST(ReamingPlan, SaysDrillReamerAndWhatIsLeft) {
  // Source: Applied Science for Metal Workers, section 313: 1/64 in left for the reamer, or 0.010 in to 1/32
  // in.
  const ReamingPlan inch = *reaming_plan({"H", 7}, 22.225, DrillUnit::kInch, standard_catalogue());
  EXPECT_EQ(inch.drill.name, "55/64 in");
  EXPECT_NEAR(inch.left_mm, 25.4 / 64, 1e-9);
  ASSERT_TRUE(inch.reamer.has_value());
  EXPECT_EQ(inch.reamer->name, "7/8 in");
  EXPECT_EQ(inch.reamer->kind, ReamerKind::kHand);
  EXPECT_EQ(inch.reamer_limits.max_nm, 22225000 + 17000);  // 18 to 30 mm, H7: +17/+9
  const ReamingPlan metric = *reaming_plan({"H", 7}, 21, DrillUnit::kMetric, standard_catalogue());
  ASSERT_TRUE(metric.reamer.has_value());
  EXPECT_EQ(metric.reamer->kind, ReamerKind::kMachine);
  EXPECT_EQ(metric.drill.name, "20.5 mm");
  const auto own = parse_catalogue("reamer,kind,prov,source\n22,machine,user,mine\n", "mine.csv");
  const Catalogue machine_first =
      merged(*own, standard_catalogue());  // a hand reamer all the same, where there is one
  EXPECT_EQ(reaming_plan({"H", 7}, 22, DrillUnit::kMetric, machine_first)->reamer->kind, ReamerKind::kHand);
  EXPECT_FALSE(reaming_plan({"H", 7}, 21.3, DrillUnit::kMetric, standard_catalogue())->reamer.has_value());
}

TEST(ReamingPlan, LeavesWhatTheReamerCanTake) {
  for (int tenths = 40; tenths <= 500; ++tenths) {
    const auto plan = reaming_plan({"H", 7}, tenths / 10.0, DrillUnit::kAny, standard_catalogue());
    ASSERT_TRUE(plan.ok()) << tenths;
    EXPECT_GE(plan->left_mm, 0.254 - 1e-9) << tenths;
    EXPECT_LE(plan->left_mm, 0.79375 + 1e-9) << tenths;
    EXPECT_GT(plan->reamer_limits.min_nm, plan->hole.min_nm) << tenths;
    EXPECT_LT(plan->reamer_limits.max_nm, plan->hole.max_nm) << tenths;
  }
}

TEST(ReamingPlan, PassesOnWhatIsWrong) {
  EXPECT_EQ(reaming_plan({"H", 7}, 60, DrillUnit::kMetric, standard_catalogue()).problems()[0].code,
            codes::kDrillNotListed);
  EXPECT_EQ(reaming_plan({"E", 7}, 20, DrillUnit::kMetric, standard_catalogue()).problems()[0].code,
            codes::kFitClass);
}

}  // namespace
}  // namespace fairhole
