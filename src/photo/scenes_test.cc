// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <ostream>

#include "fairhole/photo/read_photos.h"
#include "support/evidence.h"
#include "test_scenes.h"

// The ray-traced pictures of fixtures/photos: truth from the program that drew them.

namespace fairhole::photo {
namespace {

std::vector<Picture> pictures_of(const test::Scene& scene) {
  std::vector<Picture> pictures;
  for (const std::string& photo : scene.photos) {
    Result<Picture> picture = decode_picture(test::scene_file(photo), photo);
    if (picture) pictures.push_back(*std::move(picture));
  }
  return pictures;
}

/// What a chi-square of n degrees of freedom exceeds once in 1000 (Wilson and Hilferty 1931, within 0.2 for
/// n >= 12).
double one_in_1000(Eigen::Index n) {
  const double c = 2.0 / (9.0 * static_cast<double>(n));
  return static_cast<double>(n) * std::pow(1.0 - c + 3.0902 * std::sqrt(c), 3);
}

struct CameraCase {
  const char* scene;
  double rms_mm;  // what the cameras may add to a hole's place
};

void PrintTo(const CameraCase& c, std::ostream* to) { *to << c.scene; }

class SceneCameras : public ::testing::TestWithParam<CameraCase> {};

/// The true pixels of the holes carried through the cameras as found: what is left is the cameras' share.
TEST_P(SceneCameras, CarryTrueHolePixelsToTrueHoles) {
  const test::Scene scene = test::load_scene(GetParam().scene);
  const std::vector<Picture> pictures = pictures_of(scene);
  ASSERT_EQ(pictures.size(), scene.photos.size());
  const Result<Cameras> cameras = find_cameras(pictures, scene.boards, scene.options);
  ASSERT_TRUE(cameras) << describe(cameras.problems().front());
  EXPECT_LT(cameras->adjusted.rms_px, 0.05);
  constexpr double kPixelSigma = 0.05;
  std::vector<HoleTie> ties;
  for (const test::SceneHole& hole : scene.holes) {
    HoleTie tie;
    for (std::size_t p = 0; p < hole.pixels.size(); ++p)
      if (hole.pixels[p])
        tie.seen.push_back(
            {static_cast<int>(p), *hole.pixels[p], kPixelSigma * kPixelSigma * Eigen::Matrix2d::Identity()});
    ties.push_back(tie);
  }
  const Result<AdjustedPhotos> adjusted = adjust_photos(scene.boards, cameras->sights, ties, scene.options);
  ASSERT_TRUE(adjusted);
  Eigen::VectorXd errors(2 * static_cast<Eigen::Index>(ties.size()));
  for (std::size_t h = 0; h < ties.size(); ++h)
    errors.segment<2>(2 * static_cast<Eigen::Index>(h)) =
        adjusted->holes[h].centre_mm - scene.holes[h].truth_mm;
  EXPECT_LT(std::sqrt(errors.squaredNorm() / static_cast<double>(ties.size())), GetParam().rms_mm);
  EXPECT_LT(errors.dot(adjusted->covariance_mm2.ldlt().solve(errors)), one_in_1000(errors.size()));
}

// devD: 17 mm of height and no EXIF. devE: bars of 150 and 200 mm read to 0.1 mm.
INSTANTIATE_TEST_SUITE_P(Scenes, SceneCameras,
                         ::testing::Values(CameraCase{"devA", 0.03}, CameraCase{"devB", 0.05},
                                           CameraCase{"devC", 0.03}, CameraCase{"devD", 0.15},
                                           CameraCase{"devE", 0.05}));

struct HolesCase {
  const char* scene;
  double rms_mm, worst_mm, bore_bias_mm, bore_spread_mm;
  bool rubbing = false;
};

void PrintTo(const HolesCase& c, std::ostream* to) { *to << c.scene; }

class SceneHoles : public ::testing::TestWithParam<HolesCase> {};

TEST_P(SceneHoles, AreFoundWhereTheyAre) {
  const test::Scene scene = test::load_scene(GetParam().scene);
  ReadOptions options;
  options.cameras = scene.options;
  options.cameras.marks_on_sheet = GetParam().rubbing;
  const Result<PhotoReading> reading = read_photos(pictures_of(scene), scene.boards, options);
  ASSERT_TRUE(reading) << describe(reading.problems().front());
  constexpr double kNearMm = 4.0;
  std::vector<bool> known(reading->holes.size(), false);
  double squares = 0.0, worst = 0.0, bore = 0.0, bore_squares = 0.0;
  std::vector<Eigen::Index> rows;  // of the true holes' coordinates in the covariance
  std::vector<double> errors;
  for (const test::SceneHole& hole : scene.holes) {
    const auto away = [&](const PhotoHole& h) { return (h.centre_mm - hole.truth_mm).norm(); };
    const auto found = std::ranges::min_element(reading->holes, {}, away);
    ASSERT_LT(away(*found), kNearMm) << hole.id << " is missed";
    EXPECT_FALSE(found->doubtful) << hole.id << ": " << (found->reasons.empty() ? "" : found->reasons[0]);
    known[static_cast<std::size_t>(found - reading->holes.begin())] = true;
    for (const Eigen::Index axis : {0, 1}) {
      rows.push_back(2 * (found - reading->holes.begin()) + axis);
      errors.push_back(found->centre_mm[axis] - hole.truth_mm[axis]);
    }
    squares += std::pow(away(*found), 2);
    worst = std::max(worst, away(*found));
    bore += found->bore_diameter_mm - hole.bore_diameter_mm;
    bore_squares += std::pow(found->bore_diameter_mm - hole.bore_diameter_mm, 2);
  }
  const double count = static_cast<double>(scene.holes.size());
  const std::string trial =
      fmt::format("photo: ray-traced scene {}, {} holes", GetParam().scene, scene.holes.size());
  fairhole::test::second_method(trial, "RMS error of the holes, board frame", "mm")
      .between(std::sqrt(squares / count), 0.0, GetParam().rms_mm);
  fairhole::test::second_method(trial, "largest error", "mm").between(worst, 0.0, GetParam().worst_mm);
  EXPECT_LT(std::abs(bore / count), GetParam().bore_bias_mm);
  EXPECT_LT(std::sqrt(bore_squares / count - std::pow(bore / count, 2)), GetParam().bore_spread_mm);
  // The joint covariance knows what the errors have in common.
  const Eigen::MatrixXd claimed = reading->adjusted.covariance_mm2(rows, rows);
  const Eigen::Map<const Eigen::VectorXd> off(errors.data(), std::ssize(errors));
  const double chi2 = off.dot(claimed.ldlt().solve(off));
  fairhole::test::second_method(trial,
                                fmt::format("chi-square of the errors, {} degrees, p > 0.001", off.size()))
      .between(chi2, 0.0, one_in_1000(off.size()));
  for (std::size_t h = 0; h < known.size(); ++h)
    EXPECT_TRUE(known[h] || reading->holes[h].doubtful) << reading->holes[h].id << " is none";
}

INSTANTIATE_TEST_SUITE_P(Scenes, SceneHoles,
                         ::testing::Values(HolesCase{"devA", 0.12, 0.4, 0.05, 0.1},
                                           HolesCase{"devB", 0.12, 0.4, 0.05, 0.1},
                                           HolesCase{"devC", 0.12, 0.4, 0.05, 0.1},
                                           HolesCase{"devD", 0.3, 0.9, 0.15, 0.3},
                                           HolesCase{"devE", 0.06, 0.25, 0.6, 0.6, true}));

}  // namespace
}  // namespace fairhole::photo
