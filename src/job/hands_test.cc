// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <Eigen/Geometry>

#include "test_job.h"

// The hand of a seat against the workshop itself: plate, part and observer stand in space, and what the
// observer writes down follows from where he looks from. Nothing here knows the rule by which the program
// mirrors.
namespace fairhole::job {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kRoundingMm = 1e-9;

/// The plate lies in z = 0, its marked face up. Who looks at a part that lies on the marked face sees its
/// outer side from above and its faying side from below; for a part on the other face it is the reverse.
Vector3d towards_observer(bool on_marked_face, bool from_outer) {
  return on_marked_face == from_outer ? Vector3d::UnitZ() : Vector3d(-Vector3d::UnitZ());
}

struct Stated {
  bool on_marked_face, from_outer;
  double turn_deg;
};
void PrintTo(const Stated& s, std::ostream* out) {
  *out << (s.on_marked_face ? "marked" : "other") << ", " << (s.from_outer ? "outer" : "faying") << ", "
       << s.turn_deg << " deg";
}

class Hands : public ::testing::TestWithParam<Stated> {};

TEST_P(Hands, AnObserversFiguresComeToLieWhereTheMetalIs) {
  const Stated& stated = GetParam();
  const Vector2d corner(80.0, 60.0);
  nlohmann::ordered_json json = test::sound_job();
  json["joints"][0]["side"] = stated.on_marked_face ? "marked" : "other";
  json["joints"][0]["seat"] = {{"x", corner.x()}, {"y", corner.y()}, {"turn_deg", stated.turn_deg}};
  json["parts"][0]["faces"][0]["measured_from"] = stated.from_outer ? "outer" : "faying";
  const Result<Job> job = test::parsed(json);
  ASSERT_TRUE(job.ok());
  const PlateFromFace& plate_from_face = job->joints.front().seat;

  const Vector3d n = towards_observer(stated.on_marked_face, stated.from_outer);
  const Vector3d x_axis =
      Eigen::AngleAxisd(Angle::degrees(stated.turn_deg).radians(), Vector3d::UnitZ()) * Vector3d::UnitX();
  const Vector3d y_axis = n.cross(x_axis);  // right-handed as the observer sees it
  for (const Vector2d& figures : {Vector2d(0, 0), Vector2d(30, 45), Vector2d(160, 20)}) {
    const Vector3d metal =
        Vector3d(corner.x(), corner.y(), 0.0) + figures.x() * x_axis + figures.y() * y_axis;
    const Vector2d posed = plate_from_face * figures;
    EXPECT_NEAR(posed.x(), metal.x(), kRoundingMm);
    EXPECT_NEAR(posed.y(), metal.y(), kRoundingMm);
  }
}

std::vector<Stated> all_statements() {
  std::vector<Stated> all;
  for (const bool on_marked_face : {true, false}) {
    for (const bool from_outer : {true, false}) {
      for (const double turn_deg : {0.0, 90.0, 180.0, -90.0, 37.0, -143.5})
        all.push_back({on_marked_face, from_outer, turn_deg});
    }
  }
  return all;
}
INSTANTIATE_TEST_SUITE_P(EverySide, Hands, ::testing::ValuesIn(all_statements()));

/// An angle stands in space: heel along z, one leg in the x z plane, the other in the y z plane. An
/// observer's x runs along the heel; his y away from it fixes which way.
Vector3d heel_direction(const Vector3d& away_from_heel, const Vector3d& towards_him) {
  return away_from_heel.cross(towards_him);
}

TEST(AngleLegs, DatumEndsMustBeThoseOfOneAngle) {
  for (const bool a_outer : {true, false}) {
    for (const bool b_outer : {true, false}) {
      // The outside of the heel (the faying sides) looks to -y on leg a and to -x on leg b.
      const Vector3d a =
          heel_direction(Vector3d::UnitX(), a_outer ? Vector3d::UnitY() : Vector3d(-Vector3d::UnitY()));
      const Vector3d b =
          heel_direction(Vector3d::UnitY(), b_outer ? Vector3d::UnitX() : Vector3d(-Vector3d::UnitX()));
      const bool same_end = a.dot(b) > 0.0;
      for (const bool stated_same_end : {true, false}) {
        nlohmann::ordered_json json = test::sound_job();
        nlohmann::ordered_json& part = json["parts"][0];
        part["kind"] = "angle";
        part["faces"].push_back(part["faces"][0]);
        part["faces"][1]["name"] = "other leg";
        part["faces"][0]["measured_from"] = a_outer ? "outer" : "faying";
        part["faces"][1]["measured_from"] = b_outer ? "outer" : "faying";
        part["faces"][0]["datum_end"] = "top";
        part["faces"][1]["datum_end"] = stated_same_end ? "top" : "foot";
        EXPECT_EQ(test::parsed(json).ok(), stated_same_end == same_end)
            << a_outer << b_outer << stated_same_end;
      }
    }
  }
}

}  // namespace
}  // namespace fairhole::job
