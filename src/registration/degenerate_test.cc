// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <limits>

#include "fairhole/registration/registration.h"
#include "test_cases.h"

namespace fairhole {
namespace {

using test::exact_face;
using test::two_rows;

struct Refusal {
  const char* name;
  std::vector<Eigen::Vector2d> measured_mm;
  Code code;
  std::vector<PinnedPair> pins = {};
  double variance_mm2 = 0.0;
};
void PrintTo(const Refusal& refusal, std::ostream* os) { *os << refusal.name; }
class RegistrarRefusal : public testing::TestWithParam<Refusal> {};

TEST_P(RegistrarRefusal, SaysWhy) {
  MeasuredFace face = exact_face(GetParam().measured_mm);
  for (MeasuredHole& hole : face.holes)
    hole.centre_cov_mm2 = GetParam().variance_mm2 * Eigen::Matrix2d::Identity();
  const auto got = Registrar{}(two_rows(5), face, {std::nullopt, std::nullopt, GetParam().pins});
  ASSERT_FALSE(got);
  EXPECT_EQ(got.problems().front().code, GetParam().code);
  EXPECT_FALSE(got.problems().front().remedy.empty());
}

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
INSTANTIATE_TEST_SUITE_P(
    Degenerate, RegistrarRefusal,
    testing::Values(
        Refusal{"none", {}, codes::kRegistrationTooFew},
        Refusal{"one", {{38.1, 31.75}}, codes::kRegistrationTooFew},
        Refusal{"one_spot", {{38.1, 31.75}, {38.1, 31.75}, {38.1, 31.75}}, codes::kRegistrationCoincident},
        Refusal{"nan", {{38.1, kNan}, {76.2, 69.85}}, codes::kRegistrationNotFinite},
        Refusal{"no_such_length", {{0.0, 0.0}, {5000.0, 0.0}}, codes::kRegistrationTooFew},
        Refusal{"no_covariance", {{38.1, 31.75}, {76.2, 69.85}}, codes::kRegistrationCovariance, {}, -1.0},
        Refusal{"no_such_pin", {{38.1, 31.75}, {76.2, 69.85}}, codes::kRegistrationPin, {{"T1", "M9"}}},
        Refusal{"pinned_twice",
                {{38.1, 31.75}, {76.2, 69.85}},
                codes::kRegistrationPin,
                {{"T1", "M1"}, {"T1", "M2"}}},
        Refusal{"pins_apart",
                {{38.1, 31.75}, {76.2, 69.85}, {190.5, 31.75}},
                codes::kRegistrationPinsDoNotFit,
                {{"T1", "M1"}, {"T2", "M3"}}},
        Refusal{"too_many", std::vector<Eigen::Vector2d>(3001, {1.0, 1.0}), codes::kRegistrationTooMany}),
    [](const auto& param) { return param.param.name; });

TEST(Registrar, TwoExactHolesGiveAPlainAnswer) {
  const Pattern pattern = two_rows(2);
  MeasuredFace face;
  for (const NominalHole& nominal : pattern) {
    MeasuredHole hole;
    hole.id = nominal.id;
    hole.centre_mm = nominal.centre_mm;  // zero covariance
    face.holes.push_back(hole);
  }
  const auto got = Registrar{}(pattern, face);
  ASSERT_TRUE(got);
  EXPECT_EQ(got->matches.size(), 2u);
  EXPECT_TRUE(got->independent_holes);
  EXPECT_TRUE(got->pose_cov.allFinite());
}

}  // namespace
}  // namespace fairhole
