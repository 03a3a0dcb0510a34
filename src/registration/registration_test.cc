// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/registration/registration.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>

#include "test_cases.h"

namespace fairhole {
namespace {

using test::at_place;
using test::drawn_prior;
using test::keep;
using test::measured_part;
using test::survey_covariance;
using test::two_rows;

const Motion kTruth{{12.0, -7.0}, Angle::degrees(30.0), false};
const Eigen::Vector3d kSeatSigma{3.0, 3.0, 0.01};

TEST(Registrar, RecoversAnExactPose) {
  constexpr double kExactMm = 1e-6;  // Gauss-Newton to a picometre, readings carry a millionth of a mm
  for (const bool mirrored : {false, true}) {
    SCOPED_TRACE(mirrored);
    std::mt19937_64 rng(1);
    const Motion truth{kTruth.shift_mm, kTruth.turn, mirrored};
    const Pattern pattern = two_rows(7);
    const MeasuredFace face = measured_part(pattern, truth, 0.0, survey_covariance(7, 1e-8, 1e-8), rng);
    const auto got = Registrar{}(pattern, face, drawn_prior(truth, kSeatSigma, {100.0, 50.0}, rng));
    ASSERT_TRUE(got);
    EXPECT_EQ(got->matches.size(), 7u);
    for (std::size_t i = 0; i < 7; ++i) EXPECT_EQ(got->matches[i].measured, "M" + std::to_string(i + 1));
    EXPECT_LT((got->face_from_pattern.motion.shift_mm - truth.shift_mm).norm(), kExactMm);
    EXPECT_EQ(got->face_from_pattern.motion.mirrored, mirrored);
    EXPECT_TRUE(got->missing.empty());
    EXPECT_TRUE(got->extra.empty());
    EXPECT_FALSE(got->independent_holes);
  }
}

TEST(Registrar, NamesMissingAndExtraHoles) {
  std::mt19937_64 rng(2);
  const Pattern pattern = two_rows(8);
  MeasuredFace face = measured_part(pattern, kTruth, 0.4, survey_covariance(8, 0.2, 0.2), rng);
  face.holes[5].centre_mm =
      kTruth * Eigen::Vector2d(170.0, 50.0);  // an old repair where the drawing has none
  face.holes[5].id = "X1";
  face = keep(face, {0, 1, 3, 4, 5, 6, 7});  // M3 could not be reached
  const auto got = Registrar{}(pattern, face, drawn_prior(kTruth, kSeatSigma, {150.0, 50.0}, rng));
  ASSERT_TRUE(got);
  EXPECT_THAT(got->missing, testing::ElementsAre("T3", "T6"));
  EXPECT_THAT(got->extra, testing::ElementsAre("X1"));
  EXPECT_EQ(got->matches.size(), 6u);
  for (const Match& match : got->matches) EXPECT_GT(match.p, 0.9) << match.nominal;
}

TEST(Registrar, OffersARivalOnePitchAlong) {
  std::mt19937_64 rng(4);
  Pattern row;
  for (int i = 0; i < 6; ++i) row.push_back({"T" + std::to_string(i + 1), {76.2 * i, 30.0}, 20.6});
  MeasuredFace face = measured_part(row, Motion{}, 0.3, survey_covariance(6, 0.2, 0.1), rng);
  face = keep(face, {1, 2, 3, 4});  // both ends lost: four holes fit in three places
  const RegistrationKnown vague =
      at_place(Motion{{40.0, 0.0}, Angle(), false}, {60.0, 3.0, 0.01}, {190.0, 30.0});
  const auto got = Registrar{}(row, face, vague);
  ASSERT_TRUE(got);
  EXPECT_GE(got->rivals.size(), 1u);
  double sum = got->odds;
  for (const Rival& rival : got->rivals) {
    sum += rival.odds;
    EXPECT_LE(rival.odds, got->odds);
  }
  constexpr double kUnlisted = 0.003;  // rivals below one in a thousand are not listed
  EXPECT_NEAR(sum, 1.0, kUnlisted);
  // A seat that is known to some millimetres settles it.
  const RegistrationKnown seat = at_place(Motion{}, {3.0, 3.0, 0.01}, {190.0, 30.0});
  const auto settled = Registrar{}(row, face, seat);
  ASSERT_TRUE(settled);
  EXPECT_TRUE(settled->rivals.empty());
  EXPECT_EQ(settled->matches.front().nominal, "T2");
}

/// A bracket without symmetry, measured from its back: the tape's datum corner is then the mirrored one.
TEST(Registrar, RefusesAPartOfTheOtherHand) {
  std::mt19937_64 rng(5);
  const Pattern pattern{{"B1", {20.0, 20.0}, 20.0},  {"B2", {140.0, 20.0}, 20.0},
                        {"B3", {20.0, 95.0}, 20.0},  {"B4", {90.0, 60.0}, 20.0},
                        {"B5", {55.0, 110.0}, 20.0}, {"B6", {120.0, 105.0}, 20.0}};
  const Eigen::MatrixXd cov = survey_covariance(6, 0.2, 0.1);
  const RegistrationKnown seat = at_place(Motion{}, {3.0, 3.0, 0.01}, {80.0, 60.0});
  const MeasuredFace right = measured_part(pattern, Motion{}, 0.3, cov, rng);
  ASSERT_TRUE(Registrar{}(pattern, right, seat));
  const MeasuredFace turned =
      measured_part(pattern, Motion{{160.0, 0.0}, Angle::degrees(180.0), true}, 0.3, cov, rng);
  const auto wrong = Registrar{}(pattern, turned, seat);
  ASSERT_FALSE(wrong);
  ASSERT_EQ(wrong.problems().size(), 1u);
  EXPECT_EQ(wrong.problems().front().code, codes::kRegistrationWrongHand);
  EXPECT_EQ(wrong.problems().front().what,
            "the holes fit the pattern's other hand, and not the hand that was stated");
}

TEST(Registrar, FollowsTheFrameItIsGiven) {
  constexpr double kSameMm = 1e-6;  // two optimisations to a picometre, over coordinates of 1 m
  std::mt19937_64 rng(6);
  const Pattern pattern = two_rows(9);
  const MeasuredFace face =
      measured_part(pattern, kTruth, 0.4, 0.04 * Eigen::MatrixXd::Identity(18, 18), rng);
  const RegistrationKnown prior = drawn_prior(kTruth, kSeatSigma, {150.0, 50.0}, rng);
  const auto before = Registrar{}(pattern, face, prior);
  const Motion moved{{500.0, -300.0}, Angle::degrees(77.0), false};
  MeasuredFace other = face;
  for (MeasuredHole& hole : other.holes) hole.centre_mm = moved * hole.centre_mm;
  RegistrationKnown other_prior = prior;
  other_prior.place->pose = {moved * prior.place->pose.motion};
  const auto after = Registrar{}(pattern, other, other_prior);
  ASSERT_TRUE(before && after);
  const Motion expected = moved * before->face_from_pattern.motion;
  EXPECT_LT((after->face_from_pattern.motion.shift_mm - expected.shift_mm).norm(), kSameMm);
  EXPECT_LT((after->pose_cov - before->pose_cov).topLeftCorner(2, 2).trace(), kSameMm);
}

struct Refusal {
  const char* name;
  std::vector<Eigen::Vector2d> measured_mm;
  Code code;
};
void PrintTo(const Refusal& refusal, std::ostream* os) { *os << refusal.name; }
class RegistrarRefusal : public testing::TestWithParam<Refusal> {};

TEST_P(RegistrarRefusal, SaysWhy) {
  MeasuredFace face;
  for (const Eigen::Vector2d& p_mm : GetParam().measured_mm) {
    MeasuredHole hole;
    hole.id = "M" + std::to_string(face.holes.size() + 1);
    hole.centre_mm = p_mm;
    face.holes.push_back(hole);
  }
  const auto got = Registrar{}(two_rows(5), face);
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
        Refusal{"far_off", {{1e6, 1e6}, {1e6 + 38.1, 1e6}}, codes::kRegistrationTooFew}),
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
