// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/pattern/hole.h"

#include <gtest/gtest.h>

#include <set>

namespace fairhole {
namespace {

TEST(HoleForm, NamesLeadBack) {
  std::set<std::string> names;
  for (int i = static_cast<int>(HoleForm::kThrough); i <= static_cast<int>(HoleForm::kTorn); ++i) {
    const auto form = static_cast<HoleForm>(i);
    EXPECT_EQ(form_from_name(form_name(form)), form);
    names.insert(form_name(form));
  }
  EXPECT_EQ(names.size(), 10U);
  EXPECT_TRUE(names.contains("rivet-in"));
  EXPECT_EQ(form_from_name("square"), std::nullopt);
  EXPECT_EQ(form_from_name("Through"), std::nullopt);
}

MeasuredFace two_holes() {
  MeasuredFace face;
  face.holes.resize(2);
  face.holes[0].id = "A1";
  face.holes[0].centre_cov_mm2 << 0.04, 0.01, 0.01, 0.09;
  face.holes[1].id = "A2";
  face.holes[1].centre_cov_mm2 << 0.25, 0.0, 0.0, 0.16;
  return face;
}

TEST(MeasuredFace, FindsAHoleById) {
  const MeasuredFace face = two_holes();
  EXPECT_EQ(face.find("A2"), &face.holes[1]);
  EXPECT_EQ(face.find("A3"), nullptr);
}

TEST(MeasuredFace, TakesHolesAsIndependentWithoutAFullCovariance) {
  Eigen::Matrix4d expected;
  expected << 0.04, 0.01, 0.0, 0.0,  //
      0.01, 0.09, 0.0, 0.0,          //
      0.0, 0.0, 0.25, 0.0,           //
      0.0, 0.0, 0.0, 0.16;
  EXPECT_EQ(two_holes().full_covariance_mm2(), expected);
  EXPECT_EQ(MeasuredFace().full_covariance_mm2().size(), 0);
}

TEST(MeasuredFace, GivesItsFullCovarianceWhereItHasOne) {
  MeasuredFace face = two_holes();
  face.covariance_mm2 = Eigen::MatrixXd::Constant(4, 4, 0.5);
  EXPECT_EQ(face.full_covariance_mm2(), face.covariance_mm2);
}

}  // namespace
}  // namespace fairhole
