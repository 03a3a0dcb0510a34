// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/registration/distortion.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <numbers>

#include "test_distortion.h"

namespace fairhole {
namespace {

using test::Shape;
using test::two_rows_on_the_face;
using testing::ElementsAre;

constexpr double kExact = 1e-6;  // Gauss-Newton goes on to a ten-millionth of a mm
constexpr double kMiddleMm = 300.0;

double radians(double degrees) { return degrees * std::numbers::pi / 180.0; }

/// Seven holes a row, 0..600 along, rows at 30 and 70 from the datum edge; measured as `shape` makes it of
/// the drawing, both in the face's frame.
MatchedPoints shaped(const Shape& shape) {
  MatchedPoints points;
  points.nominal_mm = two_rows_on_the_face();
  for (const Eigen::Vector2d& p : points.nominal_mm) points.measured_mm.push_back(shape(p));
  points.covariance_mm2 = 0.01 * Eigen::MatrixXd::Identity(28, 28);
  return points;
}

Eigen::Vector2d bowed(const Eigen::Vector2d& p) {
  const double share = (p.x() - kMiddleMm) / kMiddleMm;
  return {p.x(), p.y() + 1.2 * (1.0 - share * share)};
}
Eigen::Vector2d sheared(const Eigen::Vector2d& p) {  // the corner opened to 90.8 degrees
  return {p.x() - p.y() * std::tan(radians(0.8)), p.y()};
}
Eigen::Vector2d twisted(const Eigen::Vector2d& p) {  // the outer row turned about its own middle
  if (p.y() < 50.0) return p;
  const double arm = p.x() - kMiddleMm;
  return {kMiddleMm + arm * std::cos(radians(0.2)), p.y() + arm * std::sin(radians(0.2))};
}

double value(const Distortion& found, DistortionTerm term) { return found[term].estimate->value; }

TEST(Distortion, FindsEachTermAloneAndExactly) {
  const auto stretched = [](const Eigen::Vector2d& p) { return Eigen::Vector2d(1.003 * p); };
  const auto wider = [](const Eigen::Vector2d& p) { return Eigen::Vector2d(p.x(), 1.02 * p.y()); };
  const DistortionFinder find;
  const Distortion scale = find(shaped(stretched), {});
  EXPECT_THAT(scale.accepted, ElementsAre(DistortionTerm::kScale));
  EXPECT_NEAR(value(scale, DistortionTerm::kScale), 1.003, kExact);
  const Distortion shear = find(shaped(sheared), {});
  EXPECT_THAT(shear.accepted, ElementsAre(DistortionTerm::kShear));
  EXPECT_NEAR(value(shear, DistortionTerm::kShear), 0.8, kExact);
  const Distortion aspect = find(shaped(wider), {});
  EXPECT_THAT(aspect.accepted, ElementsAre(DistortionTerm::kAspect));
  EXPECT_NEAR(value(aspect, DistortionTerm::kAspect), 1.02, kExact);
  const Distortion bow = find(shaped(bowed), {});
  EXPECT_THAT(bow.accepted, ElementsAre(DistortionTerm::kBow));
  EXPECT_NEAR(value(bow, DistortionTerm::kBow), 1.2, kExact);
  EXPECT_NEAR(bow[DistortionTerm::kBow].estimate->over_mm, 600.0, kExact);
  const Distortion twist = find(shaped(twisted), {});
  constexpr double kSecondOrder = 1e-4;  // degrees; the model turns rows by tangents, the row was turned
  EXPECT_THAT(twist.accepted, ElementsAre(DistortionTerm::kTwist));
  EXPECT_NEAR(value(twist, DistortionTerm::kTwist), 0.2, kSecondOrder);
}

TEST(Distortion, SizeIsWhatAFitterWouldSee) {
  const DistortionFinder find;
  const TermEstimate shear = *find(shaped(sheared), {})[DistortionTerm::kShear].estimate;
  EXPECT_NEAR(shear.over_mm, 40.0, kExact);  // between the rows: as far as a square reaches
  EXPECT_NEAR(shear.size_mm, 40.0 * std::tan(radians(0.8)), kExact);
  const TermEstimate bow = *find(shaped(bowed), {})[DistortionTerm::kBow].estimate;
  EXPECT_NEAR(bow.size_mm, 1.2, kExact);
  PartDatum longer;
  longer.length_mm = 1200.0;  // the same curve over twice the length: four times the bow
  const TermEstimate over_part = *find(shaped(bowed), {}, longer)[DistortionTerm::kBow].estimate;
  EXPECT_NEAR(over_part.value, 4.8, kExact);
  EXPECT_NEAR(over_part.over_mm, 1200.0, kExact);
}

TEST(Distortion, SignsFollowTheDatumNotTheDrawing) {
  const DistortionFinder find;
  // The drawing shows the other hand: y runs the other way, the pose is mirrored, the part is the same.
  MatchedPoints mirrored = shaped(bowed);
  for (Eigen::Vector2d& p : mirrored.nominal_mm) p.y() = -p.y();
  const FaceFromPattern mirror{{Eigen::Vector2d::Zero(), Angle(), true}};
  EXPECT_NEAR(value(find(mirrored, mirror), DistortionTerm::kBow), 1.2, kExact);
  mirrored = shaped(sheared);
  for (Eigen::Vector2d& p : mirrored.nominal_mm) p.y() = -p.y();
  EXPECT_NEAR(value(find(mirrored, mirror), DistortionTerm::kShear), 0.8, kExact);
  // The drawing lies on its side: its rows run along its own y.
  MatchedPoints turned = shaped(bowed);
  for (Eigen::Vector2d& p : turned.nominal_mm) p = Eigen::Vector2d(-p.y(), p.x());
  const FaceFromPattern quarter{{Eigen::Vector2d::Zero(), Angle::degrees(-90.0), false}};
  EXPECT_NEAR(value(find(turned, quarter), DistortionTerm::kBow), 1.2, kExact);
  // The datum edge is the other long edge: what bowed away from the one bows towards the other.
  const PartDatum other_edge{{1.0, 0.0}, {0.0, -1.0}, {}, {}};
  EXPECT_NEAR(value(find(shaped(bowed), {}, other_edge), DistortionTerm::kBow), -1.2, kExact);
  EXPECT_NEAR(value(find(shaped(sheared), {}, other_edge), DistortionTerm::kShear), -0.8, kExact);
  // Rows that open out towards one end close in towards the other.
  constexpr double kSecondOrder = 1e-4;
  const PartDatum other_end{{-1.0, 0.0}, {0.0, 1.0}, {}, {}};
  EXPECT_NEAR(value(find(shaped(twisted), {}, other_end), DistortionTerm::kTwist), -0.2, kSecondOrder);
}

TEST(Distortion, TellsSeveralApart) {
  const Distortion found =
      DistortionFinder{}(shaped([](const Eigen::Vector2d& p) { return bowed(sheared(1.003 * p)); }), {});
  EXPECT_THAT(found.accepted, testing::UnorderedElementsAre(DistortionTerm::kScale, DistortionTerm::kShear,
                                                            DistortionTerm::kBow));
  constexpr double kProducts = 0.01;  // of products of small terms, which the model leaves out
  EXPECT_NEAR(value(found, DistortionTerm::kScale), 1.003, kProducts * 0.003);
  EXPECT_NEAR(value(found, DistortionTerm::kShear), 0.8, kProducts * 0.8);
  EXPECT_NEAR(value(found, DistortionTerm::kBow), 1.2, kProducts * 1.2);
}

TEST(Distortion, ArrowsShowWhatIsTakenOff) {
  const MatchedPoints points = shaped(bowed);
  const Distortion found = DistortionFinder{}(points, {});
  ASSERT_EQ(found.arrows.size(), 14u);
  for (std::size_t i = 0; i < 14; ++i) {
    const ResidualArrow& arrow = found.arrows[i];
    EXPECT_LT((arrow.posed_mm + arrow.before_mm - points.measured_mm[i]).norm(), kExact);
    EXPECT_LT(arrow.after_mm.norm(), kExact);
    // Rigidly laid, a parabola leaves itself less its mean: 1.2 (4/9 - share^2), mean of share^2 over 0,
    // 1/3, 2/3, 1 either side being 4/9.
    const double share = (points.nominal_mm[i].x() - kMiddleMm) / kMiddleMm;
    EXPECT_NEAR(arrow.before_mm.y(), 1.2 * (4.0 / 9.0 - share * share), kExact);
  }
  EXPECT_GT(found.rigid_scatter_mm, 0.3);
  EXPECT_LT(found.scatter_mm, 0.01);
}

/// Scatter that no term can take up, the same in every test that needs some.
MatchedPoints strewn_bow() {
  MatchedPoints points = shaped([](const Eigen::Vector2d& p) { return bowed(sheared(p)); });
  std::mt19937_64 rng(5);
  for (Eigen::Vector2d& p : points.measured_mm) p += 0.1 * test::normal_pair(rng);
  points.covariance_mm2.block<2, 2>(4, 4) << 0.04, 0.01, 0.01, 0.02;
  points.covariance_mm2.block<2, 2>(4, 8) << 0.003, 0.002, 0.001, -0.002;
  points.covariance_mm2.block<2, 2>(8, 4) = points.covariance_mm2.block<2, 2>(4, 8).transpose();
  return points;
}

void expect_alike(const Distortion& a, const Distortion& b, double length_ratio) {
  constexpr double kAlike = 1e-6;  // relative; the scatter is iterated to 1e-5 of itself from equal starts
  EXPECT_EQ(a.accepted, b.accepted);
  for (std::size_t k = 0; k < kDistortionTerms; ++k) {
    ASSERT_TRUE(a.terms[k].estimate && b.terms[k].estimate);
    const TermEstimate& x = *a.terms[k].estimate;
    const TermEstimate& y = *b.terms[k].estimate;
    const double ratio = k == static_cast<std::size_t>(DistortionTerm::kBow) ? length_ratio : 1.0;
    EXPECT_NEAR(x.value * ratio, y.value, kAlike);
    EXPECT_NEAR(x.sigma * ratio, y.sigma, kAlike);
    EXPECT_NEAR(x.f / y.f, 1.0, kAlike);
    EXPECT_NEAR(x.size_mm * length_ratio, y.size_mm, kAlike * length_ratio);
    EXPECT_NEAR(x.limit_mm * length_ratio, y.limit_mm, kAlike * length_ratio);
  }
}

TEST(Distortion, IsTheSameHoweverTheFaceLies) {
  const MatchedPoints points = strewn_bow();
  const Distortion plain = DistortionFinder{}(points, {});
  for (const bool mirrored : {false, true}) {
    SCOPED_TRACE(mirrored);
    const Motion moved{{812.0, -95.0}, Angle::degrees(123.0), mirrored};
    const Eigen::Matrix2d linear = moved.linear();
    MatchedPoints elsewhere = points;
    for (Eigen::Vector2d& p : elsewhere.measured_mm) p = moved * p;
    for (Eigen::Index i = 0; i < 28; i += 2) {
      for (Eigen::Index j = 0; j < 28; j += 2) {
        const Eigen::Matrix2d block = points.covariance_mm2.block<2, 2>(i, j);
        elsewhere.covariance_mm2.block<2, 2>(i, j) = linear * block * linear.transpose();
      }
    }
    const PartDatum datum{linear.col(0), linear.col(1), {}, {}};
    expect_alike(plain, DistortionFinder{}(elsewhere, {moved}, datum), 1.0);
  }
}

TEST(Distortion, IsTheSameInAnyUnit) {
  constexpr double kLarger = 25.4;
  const MatchedPoints points = strewn_bow();
  MatchedPoints larger = points;
  for (Eigen::Vector2d& p : larger.nominal_mm) p *= kLarger;
  for (Eigen::Vector2d& p : larger.measured_mm) p *= kLarger;
  larger.covariance_mm2 *= kLarger * kLarger;
  expect_alike(DistortionFinder{}(points, {}), DistortionFinder{}(larger, {}), kLarger);
}

MatchedPoints only(const MatchedPoints& points, const std::vector<int>& kept) {
  MatchedPoints out;
  for (const int i : kept) {
    out.nominal_mm.push_back(points.nominal_mm[static_cast<std::size_t>(i)]);
    out.measured_mm.push_back(points.measured_mm[static_cast<std::size_t>(i)]);
  }
  const auto rows = static_cast<Eigen::Index>(2 * kept.size());
  out.covariance_mm2 = 0.01 * Eigen::MatrixXd::Identity(rows, rows);
  return out;
}

std::vector<std::optional<NotDetermined>> reasons(const Distortion& found) {
  std::vector<std::optional<NotDetermined>> out;
  for (const TermFinding& finding : found.terms) {
    EXPECT_NE(finding.estimate.has_value(), finding.why.has_value());
    if (finding.estimate) {
      EXPECT_TRUE(std::isfinite(finding.estimate->value) && std::isfinite(finding.estimate->sigma) &&
                  std::isfinite(finding.estimate->f) && std::isfinite(finding.estimate->p) &&
                  std::isfinite(finding.estimate->low) && std::isfinite(finding.estimate->high));
    }
    out.push_back(finding.why);
  }
  return out;
}

TEST(Distortion, SaysWhatTheseHolesCannotTell) {
  constexpr auto kSaid = std::nullopt;
  constexpr auto kFew = NotDetermined::kTooFewHoles;
  constexpr auto kRow = NotDetermined::kOneRow;
  constexpr auto kShort = NotDetermined::kNoLength;
  const MatchedPoints all = strewn_bow();  // holes 0..6 the row at 30, 7..13 the row at 70
  const DistortionFinder find;
  EXPECT_THAT(reasons(find(only(all, {0, 1, 2, 3, 4, 5, 6}), {})),
              ElementsAre(kSaid, kRow, kRow, kSaid, kRow));
  EXPECT_THAT(reasons(find(only(all, {3, 10}), {})), ElementsAre(kFew, kFew, kFew, kShort, kShort));
  EXPECT_THAT(reasons(find(only(all, {0, 6}), {})), ElementsAre(kFew, kRow, kRow, kFew, kRow));
  EXPECT_THAT(reasons(find(only(all, {4}), {})), ElementsAre(kFew, kFew, kFew, kFew, kFew));
  EXPECT_THAT(reasons(find(only(all, {}), {})), ElementsAre(kFew, kFew, kFew, kFew, kFew));
  // Two places along the length: a bow only shifts them both, whatever the part's length.
  for (const std::optional<double> length_mm : {std::optional<double>(), std::optional<double>(900.0)}) {
    PartDatum datum;
    datum.length_mm = length_mm;
    EXPECT_THAT(reasons(find(only(all, {0, 6, 7, 13}), {}, datum)),
                ElementsAre(kSaid, kSaid, kSaid, NotDetermined::kSameAsPose, kSaid));
  }
}

TEST(Distortion, ExactDrawingHasNone) {
  for (const double own_mm2 : {0.0, 0.01}) {
    MatchedPoints exact = shaped([](const Eigen::Vector2d& p) { return p; });
    exact.covariance_mm2 = own_mm2 * Eigen::MatrixXd::Identity(28, 28);
    const Distortion found = DistortionFinder{}(exact, {});
    EXPECT_TRUE(found.accepted.empty());
    EXPECT_THAT(reasons(found), testing::Each(testing::Eq(std::nullopt)));
  }
}

/// The size rule alone: everything here is significant beyond doubt, as there is no scatter at all.
TEST(Distortion, NothingIsClaimedThatTheReadingsMayHaveMade) {
  const DistortionFinder find;
  const auto stretched = [](double by) {
    return shaped([by](const Eigen::Vector2d& p) { return Eigen::Vector2d((1.0 + by) * p); });
  };
  // A tape of 0.05 % (1-sigma), in every hole alike: 2 sigmas over the 600 mm are 0.6 mm.
  constexpr double kTape = 0.0005;
  Eigen::VectorXd together(28);
  const std::vector<Eigen::Vector2d> holes = two_rows_on_the_face();
  for (std::size_t i = 0; i < 14; ++i) together.segment<2>(static_cast<Eigen::Index>(2 * i)) = holes[i];
  for (const auto& [stretch, claimed] : {std::pair(1.9 * kTape, false), std::pair(2.1 * kTape, true)}) {
    SCOPED_TRACE(stretch);
    MatchedPoints points = stretched(stretch);
    points.covariance_mm2 =
        kTape * kTape * together * together.transpose() + 1e-8 * Eigen::MatrixXd::Identity(28, 28);
    const Distortion found = find(points, {});
    const TermEstimate scale = *found[DistortionTerm::kScale].estimate;
    EXPECT_NEAR(scale.limit_mm, 2.0 * kTape * 600.0, 1e-3);
    EXPECT_EQ(found[DistortionTerm::kScale].accepted, claimed);
  }
  // Independent readings of 0.25 mm: many of them find a stretch of 0.2 mm, but no tape shows one.
  for (const auto& [over_part_mm, claimed] : {std::pair(0.2, false), std::pair(0.4, true)}) {
    SCOPED_TRACE(over_part_mm);
    MatchedPoints points = stretched(over_part_mm / 600.0);
    points.covariance_mm2 = 0.25 * 0.25 * Eigen::MatrixXd::Identity(28, 28);
    const Distortion found = find(points, {});
    EXPECT_TRUE(found[DistortionTerm::kScale].significant);
    EXPECT_EQ(found[DistortionTerm::kScale].accepted, claimed);
  }
}

TEST(Distortion, TakesThePairsOfARegistration) {
  const Pattern pattern = {{"N1", {0, 0}, {}}, {"N2", {100, 0}, {}}, {"N3", {100, 50}, {}}};
  MeasuredFace face;
  for (const auto& [id, x] : {std::pair("X", 7.0), std::pair("M2", 101.0), std::pair("M1", 1.0)}) {
    MeasuredHole hole;
    hole.id = id;
    hole.centre_mm = {x, 0.0};
    face.holes.push_back(hole);
  }
  face.covariance_mm2 = Eigen::VectorXd::LinSpaced(36, 0.0, 35.0).reshaped(6, 6);
  Registration registration;
  registration.matches = {{"N1", "M1", {}, 1.0}, {"N2", "M2", {}, 1.0}};
  const MatchedPoints points = matched_points(registration, pattern, face);
  ASSERT_EQ(points.nominal_mm.size(), 2u);
  EXPECT_EQ(points.nominal_mm[1], Eigen::Vector2d(100.0, 0.0));
  EXPECT_EQ(points.measured_mm[0], Eigen::Vector2d(1.0, 0.0));
  EXPECT_EQ((points.covariance_mm2.block<2, 2>(0, 2)), (face.covariance_mm2.block<2, 2>(4, 2)));
  EXPECT_EQ((points.covariance_mm2.block<2, 2>(0, 0)), (face.covariance_mm2.block<2, 2>(4, 4)));
}

}  // namespace
}  // namespace fairhole
