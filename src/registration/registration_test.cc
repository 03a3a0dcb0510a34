// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/registration/registration.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "test_cases.h"

namespace fairhole {
namespace {

using test::at_place;
using test::drawn_prior;
using test::exact_face;
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

std::vector<std::string> how(const std::vector<Rival>& rivals) {
  std::vector<std::string> words;
  for (const Rival& rival : rivals) words.push_back(rival.how);
  return words;
}

/// An L of five holes: no symmetry but the shift of its long leg.
const Pattern kEll{{"a", {0.0, 0.0}, 20.0},
                   {"b", {76.2, 0.0}, 20.0},
                   {"c", {152.4, 0.0}, 20.0},
                   {"d", {228.6, 0.0}, 20.0},
                   {"e", {0.0, 90.0}, 20.0}};

TEST(Registrar, NeedsNoPriorAndFindsTheHand) {
  for (const bool mirrored : {false, true}) {
    SCOPED_TRACE(mirrored);
    const Motion truth{{812.0, -95.0}, Angle::degrees(203.0), mirrored};
    std::vector<Eigen::Vector2d> centres_mm;
    for (const NominalHole& hole : kEll) centres_mm.emplace_back(truth * hole.centre_mm);
    const auto got = Registrar{}(kEll, exact_face(centres_mm));
    ASSERT_TRUE(got);
    EXPECT_TRUE(got->rivals.empty());
    EXPECT_TRUE(got->complete);
    EXPECT_EQ(got->face_from_pattern.motion.mirrored, mirrored);
    EXPECT_LT((got->face_from_pattern.motion.shift_mm - truth.shift_mm).norm(), 1e-6);
  }
}

TEST(Registrar, SaysHowRivalsDiffer) {
  const auto got =
      Registrar{}(kEll, exact_face({{0.0, 0.0}, {76.3, 0.1}, {152.3, 0.0}}), {std::nullopt, false, {}});
  ASSERT_TRUE(got);
  // The three holes are a to c or b to d, from either end.
  const auto along = testing::AnyOf("one pitch, 76.2 mm, further along", "one pitch, 76.2 mm, back along");
  const auto turned_along = testing::AnyOf("turned half round and one pitch, 76.2 mm, further along",
                                           "turned half round and one pitch, 76.2 mm, back along");
  EXPECT_THAT(how(got->rivals), testing::UnorderedElementsAre(along, "turned half round", turned_along));
  for (const Rival& rival : got->rivals) EXPECT_NEAR(rival.odds, 0.25, 0.03);
  EXPECT_NEAR(got->odds, 0.25, 0.03);
}

/// Holes in one line look the same from either side: that is said, not guessed.
TEST(Registrar, ListsBothHandsOfARow) {
  const Pattern row{{"a", {0.0, 0.0}, 20.0}, {"b", {60.0, 0.0}, 20.0}, {"c", {150.0, 0.0}, 20.0}};
  const auto got = Registrar{}(row, exact_face({{10.0, 5.0}, {70.0, 5.0}, {160.0, 5.0}}));
  ASSERT_TRUE(got);
  EXPECT_THAT(how(got->rivals), testing::ElementsAre("seen from the other side"));
  EXPECT_NEAR(got->odds, 0.5, 1e-3);
  EXPECT_FALSE(got->face_from_pattern.motion.mirrored);
}

TEST(Registrar, PinsSettleWhatIsOpen) {
  const MeasuredFace face = exact_face({{0.0, 0.0}, {76.3, 0.1}, {152.3, 0.0}});
  const auto got = Registrar{}(kEll, face, {std::nullopt, false, {{"d", "M3"}}});
  ASSERT_TRUE(got);
  EXPECT_TRUE(got->rivals.empty());
  ASSERT_EQ(got->matches.size(), 3u);
  EXPECT_EQ(got->matches.back().measured, "M3");
  EXPECT_EQ(got->matches.back().p, 1.0);
  EXPECT_EQ(got->matches.front().nominal, "b");
}

TEST(Registrar, SaysWhatThePlaceSettled) {
  const MeasuredFace face = exact_face({{0.0, 0.0}, {76.3, 0.1}, {152.3, 0.0}});
  const auto got = Registrar{}(kEll, face, at_place(Motion{}, {3.0, 3.0, 0.01}, {0.0, 0.0}));
  ASSERT_TRUE(got);
  EXPECT_TRUE(got->rivals.empty());
  EXPECT_GT(got->odds, 0.999);
  EXPECT_EQ(got->settled_by_place.size(), 3u);
  EXPECT_THAT(how(got->settled_by_place), testing::Contains("one pitch, 76.2 mm, back along"));
}

/// A seat without doubt is looked at even where the holes fit far better elsewhere; that they do is told.
TEST(Registrar, LooksNearTheSeatToo) {
  const MeasuredFace face = exact_face({{0.0, 0.0}, {76.2, 0.0}, {152.4, 0.0}, {228.6, 0.0}, {0.0, 90.0}});
  const auto got =
      Registrar{}(kEll, face, at_place(Motion{{75.0, 0.0}, Angle(), false}, {3.0, 3.0, 0.01}, {0.0, 0.0}));
  ASSERT_TRUE(got);
  EXPECT_NEAR(got->face_from_pattern.motion.shift_mm.x(), 76.2, 0.5);
  EXPECT_EQ(got->matches.size(), 3u);
  ASSERT_EQ(got->settled_by_place.size(), 1u);
  EXPECT_EQ(got->settled_by_place.front().matches.size(), 5u);
}

/// One hole is far from its place: three holes that fit well elsewhere are worth a thought beside four.
TEST(Registrar, ListsARivalWithFewerHoles) {
  const auto got = Registrar{}(kEll, exact_face({{0.0, 0.0}, {76.2, 0.0}, {152.4, 0.0}, {2.4, 92.4}}),
                               {std::nullopt, false, {}});
  ASSERT_TRUE(got);
  ASSERT_FALSE(got->rivals.empty());
  std::vector<std::size_t> counts{got->matches.size()};
  for (const Rival& rival : got->rivals) counts.push_back(rival.matches.size());
  EXPECT_THAT(counts, testing::Contains(4u));
  EXPECT_THAT(counts, testing::Contains(3u));
}

/// A statement that may be wrong chooses between poses that fit and forces none that does not.
TEST(Registrar, ADoubtfulPlaceForcesNothing) {
  std::vector<Eigen::Vector2d> centres_mm;
  for (const NominalHole& hole : kEll) centres_mm.push_back(hole.centre_mm);
  RegistrationKnown far = at_place(Motion{{400.0, 300.0}, Angle(), false}, {10.0, 10.0, 0.05}, {0.0, 0.0});
  far.place->doubt = 0.1;
  const auto got = Registrar{}(kEll, exact_face(centres_mm), far);
  ASSERT_TRUE(got);
  EXPECT_EQ(got->matches.size(), 5u);
  EXPECT_TRUE(got->rivals.empty());
}

TEST(Registrar, TakesDiametersAsEvidence) {
  Pattern pattern{{"a", {0.0, 0.0}, 17.0}, {"b", {76.2, 0.0}, 17.0}, {"c", {152.4, 0.0}, 23.0}};
  MeasuredFace face = exact_face({{0.0, 0.0}, {76.2, 0.0}, {152.4, 0.0}});
  const double worn_mm[] = {23.4, 17.6, 17.2};  // turned half round
  for (std::size_t i = 0; i < 3; ++i) face.holes[i].diameter_mm = worn_mm[i];
  const auto got = Registrar{}(pattern, face, {std::nullopt, false, {}});
  ASSERT_TRUE(got);
  EXPECT_TRUE(got->rivals.empty());
  EXPECT_EQ(got->matches.back().measured, "M1");
  for (MeasuredHole& hole : face.holes) hole.diameter_mm.reset();
  EXPECT_EQ(Registrar{}(pattern, face, {std::nullopt, false, {}})->rivals.size(), 1u);
}

TEST(Registrar, TakesNoNameForEvidence) {
  MeasuredFace face = exact_face({{0.0, 0.0}, {76.2, 0.0}, {152.4, 0.0}, {228.6, 0.0}, {0.0, 90.0}});
  const char* const names[] = {"d", "c", "b", "a", "e"};  // the row named from its other end
  for (std::size_t i = 0; i < 5; ++i) face.holes[i].id = names[i];
  const auto got = Registrar{}(kEll, face);
  ASSERT_TRUE(got);
  ASSERT_EQ(got->matches.size(), 5u);
  EXPECT_EQ(got->matches.front().nominal, "a");
  EXPECT_EQ(got->matches.front().measured, "d");
}

TEST(Registrar, ListsHolesThatMayBeEachOther) {
  Pattern pattern = kEll;
  pattern.push_back({"f", {6.0, 90.0}, 8.0});  // two small holes side by side
  const auto got =
      Registrar{}(pattern, exact_face({{0.0, 0.0}, {76.2, 0.0}, {152.4, 0.6}, {228.6, -0.6}, {3.0, 90.0}}));
  ASSERT_TRUE(got);
  ASSERT_EQ(got->swaps.size(), 1u);
  EXPECT_EQ(got->swaps.front().measured, "M5");
  EXPECT_EQ(std::min(got->swaps.front().nominal, got->swaps.front().alternative), "e");
  EXPECT_EQ(std::max(got->swaps.front().nominal, got->swaps.front().alternative), "f");
  EXPECT_GT(got->swaps.front().odds, 0.2);
  EXPECT_LT(got->swaps.front().odds, 0.6);
}

/// Scatter near nothing under a fine survey, and three times what is expected.
TEST(Registrar, EstimatesScatterSmallAndLarge) {
  constexpr int kHoles = 40;
  for (const double scatter_mm : {0.0, 1.5}) {
    SCOPED_TRACE(scatter_mm);
    std::mt19937_64 rng(8);
    const Pattern pattern = test::strewn(kHoles, rng);
    const MeasuredFace face =
        measured_part(pattern, kTruth, scatter_mm, survey_covariance(kHoles, 0.05, 0.02), rng);
    const auto got = Registrar{}(pattern, face);
    ASSERT_TRUE(got);
    EXPECT_EQ(got->matches.size(), static_cast<std::size_t>(kHoles));
    // 80 residuals: 3 standard errors of a sigma are 24 %; the prior pulls by less.
    if (scatter_mm > 0.0) {
      EXPECT_NEAR(got->scatter_mm, scatter_mm, 0.24 * scatter_mm);
    } else {
      EXPECT_LT(got->scatter_mm, 0.05);
    }
  }
}

/// A foot that its mirror image nearly fits: the stated hand holds every hole too, at the limit of its play
/// and less well. The evidence of both tells.
TEST(Registrar, RefusesTheWrongHandOfANearlySymmetricFoot) {
  const Pattern foot{{"a", {20.0, 20.0}, 20.0},  {"b", {80.0, 20.0}, 20.0},  {"c", {140.0, 20.0}, 20.0},
                     {"d", {22.5, 90.0}, 20.0},  {"e", {80.0, 92.0}, 20.0},  {"f", {140.0, 87.5}, 20.0},
                     {"g", {20.0, 150.0}, 20.0}, {"h", {83.5, 150.0}, 20.0}, {"i", {143.0, 152.0}, 20.0}};
  std::mt19937_64 rng(9);
  const Eigen::MatrixXd cov = survey_covariance(9, 0.1, 0.1);
  const RegistrationKnown seat = at_place(Motion{}, {3.0, 3.0, 0.01}, {80.0, 80.0});
  EXPECT_TRUE(Registrar{}(foot, measured_part(foot, Motion{}, 0.3, cov, rng), seat));
  const MeasuredFace behind =
      measured_part(foot, Motion{{163.0, 0.0}, Angle::degrees(180.0), true}, 0.3, cov, rng);
  const auto wrong = Registrar{}(foot, behind, seat);
  ASSERT_FALSE(wrong);
  EXPECT_EQ(wrong.problems().front().code, codes::kRegistrationWrongHand);
}

TEST(Registrar, WorksFarFromTheOrigin) {
  std::vector<Eigen::Vector2d> centres_mm;
  for (const NominalHole& hole : kEll) centres_mm.emplace_back(hole.centre_mm + Eigen::Vector2d(1e6, -1e6));
  const auto got = Registrar{}(kEll, exact_face(centres_mm));
  ASSERT_TRUE(got);
  EXPECT_EQ(got->matches.size(), 5u);
  EXPECT_NEAR(got->face_from_pattern.motion.shift_mm.x(), 1e6, 1e-3);
}

TEST(Registrar, SaysWhenTheSearchIsCutShort) {
  std::mt19937_64 rng(10);
  const Pattern pattern = test::strewn(30, rng);
  const MeasuredFace face = keep(measured_part(pattern, kTruth, 0.4, survey_covariance(30, 0.2, 0.1), rng),
                                 {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10});
  EXPECT_TRUE(Registrar{}(pattern, face)->complete);
  EXPECT_FALSE((Registrar{.most_poses = 1}(pattern, face)->complete));
}

}  // namespace
}  // namespace fairhole
