// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/report/registration_picture.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "fairhole/drawing/writers.h"
#include "test_marks.h"
#include "test_plan.h"

namespace fairhole::report {
namespace {

using test::all_words;
using test::circles_of;
using test::lines_of;
using test::overlaps_of;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

/// A leg of two rows, 100 mm pitch over 600 mm and 40 mm apart, its drawing found where it is; bowed 2 mm
/// away from the heel unless told otherwise.
struct BowedLeg {
  Pattern pattern;
  MeasuredFace measured;
  Registration registration;
  Distortion distortion;
  DistortionNames names{"the heel", "row A", "row B"};

  explicit BowedLeg(double bow_mm = 2.0, double noise_mm = 0.0) {
    std::mt19937 random(3);
    std::normal_distribution<double> normal;
    for (int i = 0; i < 14; ++i) {
      const Eigen::Vector2d at(100.0 * (i % 7), i < 7 ? 30.0 : 70.0);
      const double share = (at.x() - 300.0) / 300.0;
      MeasuredHole hole;
      hole.id = fmt::format("{}", i + 1);
      // A rigid fit of a parabola leaves it less its mean: 4/9 of the bow.
      const Eigen::Vector2d residual{noise_mm * normal(random),
                                     bow_mm * (4.0 / 9.0 - share * share) + noise_mm * normal(random)};
      hole.centre_mm = at + residual;
      hole.centre_cov_mm2 = 1e-4 * Eigen::Matrix2d::Identity();
      pattern.push_back({"N" + hole.id, at, 20.6});
      measured.holes.push_back(hole);
      registration.matches.push_back({"N" + hole.id, hole.id, residual, 0.99});
    }
    registration.pose_cov = Eigen::Vector3d(0.04, 0.09, 1e-8).asDiagonal();
    distortion = DistortionFinder{}(matched_points(registration, pattern, measured), {});
  }
  RegistrationPicture picture() const { return {pattern, measured, registration, &distortion, names}; }
};

template <class Shape>
std::vector<std::pair<Shape, drawing::Stroke>> shapes_of(const drawing::Page& page) {
  std::vector<std::pair<Shape, drawing::Stroke>> found;
  for (const drawing::Mark& mark : page.drawing.marks) {
    if (const auto* shape = std::get_if<Shape>(&mark.shape)) found.emplace_back(*shape, mark.stroke);
  }
  return found;
}

TEST(RegistrationPicture, DrawsNominalSolidMeasuredDoubleAndBentGrid) {
  const BowedLeg leg;
  const drawing::Page page = registration_picture(leg.picture());
  int solid = 0, double_lines = 0;
  for (const auto& [circle, stroke] : circles_of(page)) {
    solid +=
        !circle.filled && stroke.ink == drawing::Ink::kInk && stroke.dash == drawing::Dash::kSolid ? 1 : 0;
    double_lines += stroke.ink == drawing::Ink::kOld ? 1 : 0;
  }
  EXPECT_EQ(solid, 14);
  EXPECT_EQ(double_lines, 28);
  const std::string words = all_words(page);
  EXPECT_THAT(words, HasSubstr("Bowed 2.00 mm in 600 mm, hollow towards the heel."));
  EXPECT_THAT(words, HasSubstr("misfit x 50"));
  EXPECT_THAT(words, HasSubstr("towards the heel\n"));
  EXPECT_THAT(words, HasSubstr("accuracy of the drawing's place"));
  EXPECT_TRUE(drawing::write_svg(page));
  EXPECT_THAT(overlaps_of(page), testing::IsEmpty());
}

/// Every length that is enlarged, by the enlargement that is printed: bent lines, rims and the bar.
TEST(RegistrationPicture, EnlargesAsItSays) {
  const BowedLeg leg;
  const drawing::Page page = registration_picture(leg.picture());
  // The grid's first level line runs straight as drawn, then bent: between its end and its middle a bow of
  // 2 mm over 600 mm grows by the margin of 20 mm either side to 2 (640/600)^2.
  const auto lines = shapes_of<drawing::Polyline>(page);
  std::vector<drawing::Polyline> level;  // pairs: straight, bent
  for (std::size_t i = 0; i + 1 < lines.size(); i += 1) {
    const auto& points = lines[i].first.points_mm;
    if (points.size() > 20 && points.back().x() - points.front().x() > 50.0) level.push_back(lines[i].first);
  }
  ASSERT_GE(level.size(), 2u);
  const auto& straight = level[0].points_mm;
  const auto& bent = level[1].points_mm;
  constexpr double kPaperMm = 0.01;
  EXPECT_NEAR(straight.front().y(), straight.back().y(), kPaperMm);
  const double scale = (straight.back().x() - straight.front().x()) / 640.0;
  EXPECT_NEAR(bent[12].y() - bent[0].y(), 50.0 * scale * 2.0 * (640.0 / 600.0) * (640.0 / 600.0), kPaperMm);
  bool bar = false;
  for (const auto& [line, stroke] : lines_of(page)) {
    bar = bar || (line.a_mm.y() == 2.2 && line.b_mm.y() == 2.2 &&
                  std::abs((line.b_mm - line.a_mm).norm() - 2.0 * 50.0 * scale) < kPaperMm);
  }
  EXPECT_TRUE(bar);
  EXPECT_THAT(all_words(page), HasSubstr("this long is 2 mm"));
}

/// The ellipse is the pose's propagated covariance: it answers to that and not to the residuals.
TEST(RegistrationPicture, EllipseIsTheAccuracyAtTheSameEnlargement) {
  BowedLeg leg(0.0, 0.3);
  const auto first_ratio = [&] {
    const drawing::Page page = registration_picture(leg.picture());
    const auto ellipses = shapes_of<drawing::Ellipse>(page);
    EXPECT_EQ(ellipses.size(), 14u);
    return ellipses.front().first;
  };
  const drawing::Ellipse drawn = first_ratio();
  // sd 0.2 along and 0.3 across at the origin, times sqrt(5.99); turn adds 1e-8 * 30^2, nothing to see.
  EXPECT_NEAR(drawn.major_mm / drawn.minor_mm, 1.5, 0.01);
  for (Match& match : leg.registration.matches) match.residual_mm *= 0.5;
  EXPECT_NEAR(first_ratio().major_mm / drawn.major_mm, 1.0, 1e-9);
}

TEST(RegistrationPicture, ShowsMissingExtraAndRivals) {
  BowedLeg leg(0.0, 0.3);
  leg.registration.matches.erase(leg.registration.matches.begin() + 2);
  leg.registration.missing = {"N3"};
  MeasuredHole extra;
  extra.id = "X";
  extra.centre_mm = {250.0, 50.0};
  leg.measured.holes.push_back(extra);
  leg.registration.extra = {"X"};
  leg.registration.rivals = {
      {FaceFromPattern{{Eigen::Vector2d(100.0, 0.0), Angle(), false}}, {}, 0.12, {}, {}},
      {FaceFromPattern{{Eigen::Vector2d(600.0, 100.0), Angle::degrees(180.0), false}}, {}, 0.03, {}, {}}};
  const drawing::Page page = registration_picture(leg.picture());
  const std::string words = all_words(page);
  for (const char* says : {"N3 missing", "X extra", "or so: 12 in 100", "or so: 3 in 100", "a ring where N1"})
    EXPECT_THAT(words, HasSubstr(says));
  int broken_outlines = 0;
  for (const auto& [line, stroke] : shapes_of<drawing::Polyline>(page))
    broken_outlines += line.closed && stroke.dash == drawing::Dash::kBroken ? 1 : 0;
  EXPECT_EQ(broken_outlines, 2);
  EXPECT_THAT(overlaps_of(page), testing::IsEmpty());
  const drawing::Box all = drawing::bounds(page.drawing);
  EXPECT_GE(all.low_mm.minCoeff(), 0.0);
  EXPECT_LE(all.high_mm.x(), page.width_mm);
  EXPECT_LE(all.high_mm.y(), page.height_mm);
}

TEST(RegistrationPicture, DrawsNoGridAndSaysSoWhenNothingIsBent) {
  const BowedLeg leg(0.0, 0.3);
  const drawing::Page page = registration_picture(leg.picture());
  for (const auto& [line, stroke] : shapes_of<drawing::Polyline>(page)) EXPECT_LT(line.points_mm.size(), 20u);
  EXPECT_THAT(all_words(page), HasSubstr("No distortion shows beyond the holes' own scatter of 0.3 mm."));
  EXPECT_THAT(all_words(page), Not(HasSubstr("Grid")));
}

/// Seen from behind, the heel is written at the other side.
TEST(RegistrationPicture, DatumSideFollowsTheView) {
  const BowedLeg leg;
  const auto height_of_heel = [](const drawing::Page& page) {
    for (const test::SetText& text : test::texts_of(page)) {
      if (text.text.text == "towards the heel") return text.text.at_mm.y() / page.height_mm;
    }
    return -1.0;
  };
  RegistrationPicture picture = leg.picture();
  EXPECT_LT(height_of_heel(registration_picture(picture)), 0.5);
  picture.view_from_face.mirrored = true;
  EXPECT_GT(height_of_heel(registration_picture(picture)), 0.9);
}

TEST(RegistrationPicture, NothingToShowIsNoFright) {
  const Registration registration;
  EXPECT_TRUE(registration_picture({{}, {}, registration}).drawing.marks.empty());
}

Distortion with(DistortionTerm term, const TermEstimate& estimate, bool accepted = true) {
  Distortion distortion;
  distortion.scatter_mm = 0.4;
  TermFinding& finding = distortion.terms[static_cast<std::size_t>(term)];
  finding.estimate = estimate;
  finding.significant = true;
  finding.accepted = accepted;
  if (accepted) distortion.accepted = {term};
  return distortion;
}

TermEstimate estimate(double value, double sigma, double size_mm, double over_mm) {
  TermEstimate e;
  e.value = value;
  e.sigma = sigma;
  e.size_mm = size_mm;
  e.over_mm = over_mm;
  return e;
}

/// Figures end in the decade of two sigmas (words.h): 0.04 degrees gives two decimals, 0.43 mm one.
TEST(DistortionWords, SayWhatAFitterWouldSay) {
  const DistortionNames names{"the heel", "row A", "row B"};
  const auto said = [&](DistortionTerm term, const TermEstimate& e) {
    return distortion_words(with(term, e), names).front();
  };
  EXPECT_EQ(said(DistortionTerm::kScale, estimate(1.003, 0.0005, 1.83, 610.0)),
            "Tape or stretch: 0.3 % long (1.8 mm in 610 mm).");
  EXPECT_EQ(said(DistortionTerm::kScale, estimate(0.997, 0.0005, 1.83, 610.0)),
            "Tape or stretch: 0.3 % short (1.8 mm in 610 mm).");
  EXPECT_EQ(said(DistortionTerm::kShear, estimate(0.4, 0.04, 4.26, 610.0)),
            "0.40 degrees out of square, the corner open (4.3 mm in 610 mm).");
  EXPECT_EQ(said(DistortionTerm::kShear, estimate(-0.4, 0.04, 4.26, 610.0)),
            "0.40 degrees out of square, the corner closed (4.3 mm in 610 mm).");
  EXPECT_EQ(said(DistortionTerm::kAspect, estimate(0.98, 0.002, 0.8, 40.0)),
            "2.0 % too narrow across, for its length (0.8 mm in 40 mm).");
  EXPECT_EQ(said(DistortionTerm::kBow, estimate(1.2, 0.2, 1.2, 610.0)),
            "Bowed 1.2 mm in 610 mm, hollow towards the heel.");
  EXPECT_EQ(said(DistortionTerm::kBow, estimate(-1.2, 0.2, 1.2, 610.0)),
            "Bowed 1.2 mm in 610 mm, round towards the heel.");
  EXPECT_EQ(said(DistortionTerm::kTwist, estimate(0.2, 0.03, 2.09, 600.0)),
            "Row B turned 0.20 degrees against row A, opening away from the corner (2.1 mm in 600 mm).");
}

TEST(DistortionWords, DoNotClaimWhatTheReadingsMayHaveMade) {
  const auto words =
      distortion_words(with(DistortionTerm::kScale, estimate(1.0003, 0.00005, 0.2, 610.0), false));
  EXPECT_THAT(words,
              ElementsAre("Tape or stretch: 0.03 % long (0.20 mm in 610 mm); the readings alone may have "
                          "made it."));
}

TEST(DistortionWords, SayWhatCannotBeTold) {
  Distortion distortion;
  distortion.scatter_mm = 0.4;
  const TermEstimate nothing = estimate(1.0, 0.001, 0.0, 600.0);
  distortion.terms[0].estimate = nothing;
  for (const std::size_t k : {1u, 2u, 4u}) distortion.terms[k].why = NotDetermined::kOneRow;
  distortion.terms[3].why = NotDetermined::kTooFewHoles;
  EXPECT_THAT(
      distortion_words(distortion),
      ElementsAre("No distortion shows beyond the holes' own scatter of 0.4 mm.",
                  "Cannot be told (too few holes to check it by): bow.",
                  "Cannot be told (the holes lie in one row): out of square, width across and rows turned."));
}

TEST(DistortionWords, StandInTheReportOnce) {
  ReportInput input = test::crane_report();
  const BowedLeg leg;
  JointFindings& joint = input.joints.front();
  joint.pattern = leg.pattern;
  joint.measured = leg.measured;
  joint.registration = leg.registration;
  joint.distortion = leg.distortion;
  joint.distortion_names = leg.names;
  const auto html = report_html(input);
  ASSERT_TRUE(html);
  const std::string says = "Bowed 2.00 mm in 600 mm, hollow towards the heel.";
  const auto first = html->find(says);
  ASSERT_NE(first, std::string::npos);
  EXPECT_EQ(html->find(says, first + 1), std::string::npos);
}

}  // namespace
}  // namespace fairhole::report
