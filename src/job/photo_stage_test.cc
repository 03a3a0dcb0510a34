// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "photo_stage.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <Eigen/Cholesky>

#include "../photo/test_face_render.h"
#include "fairhole/geometry/statistics.h"
#include "fairhole/job/board_json.h"
#include "fairhole/job/files.h"
#include "fairhole/job/run.h"
#include "test_job.h"

// Jobs whose faces were photographed: drawn pictures with known truth.

namespace fairhole::job {
namespace {

using photo::test::DrawnFace;
using photo::test::DrawnHole;
using photo::test::FaceCamera;
using testing::ElementsAre;
using testing::HasSubstr;

const std::vector<Eigen::Vector2d> kTruth{{30.3, 29.8}, {159.8, 30.2}, {29.9, 90.4}, {160.2, 89.7}};
constexpr double kThickness = 16.0;

/// Where the sheet lies: on the bench, its lower left corner right of the part's foot.
const Motion kBoardOnFace{{235.0, -60.0}, Angle::degrees(4.0), false};

struct Scene {
  DrawnFace face;  ///< in the face's frame
  Motion face_from_board = kBoardOnFace;
  double slant = 0.35, bearing = -1.5;
};

Scene bracket() {
  Scene scene;
  for (std::size_t i = 0; i < kTruth.size(); ++i) {
    DrawnHole hole;
    hole.centre_mm = kTruth[i];
    hole.bore_mm = 20.6;
    hole.chamfer_mm = 0.8;
    hole.chamfer = 0.62;
    hole.face = 0.42;
    hole.wall = 0.025;
    hole.bench = 0.04;  // the bench lies in the shade of the part
    hole.depth_mm = kThickness;
    hole.seed = static_cast<unsigned>(i + 1);
    scene.face.holes.push_back(hole);
  }
  scene.face.thickness_mm = kThickness;
  scene.face.grain = 0.015;
  scene.face.outline_mm = {{0, 0}, {200, 0}, {200, 120}, {0, 120}};
  return scene;
}

std::string drawn(const Scene& scene) {
  DrawnFace world = in_world(scene.face, scene.face_from_board.inverse());
  photo::test::LaidBoard laid{*photo::make_board("A4", 0)};
  laid.lift_mm = -kThickness + 0.1;
  laid.scale = {1.002, 0.998};
  world.boards = {laid};
  FaceCamera camera;
  const photo::Lens lens{.focal_px = 2100.0, .centre_px = {1003.0, 741.0}, .k1 = 0.03};
  const Eigen::Vector2d middle = scene.face_from_board.inverse() * Eigen::Vector2d(215.0, 75.0);
  camera.view = photo::test::look_at(lens, middle, 700.0, scene.slant, scene.bearing, 0.1);
  return photo::test::photo_file(draw_face(world, camera));
}

/// A job folder with one photograph of the bracket.
class PhotoJob : public testing::Test {
 protected:
  void write(const std::string& name, const std::string& bytes) const {
    ASSERT_TRUE(write_new_files({{(folder_ / name).string(), bytes}}).empty());
  }

  void SetUp() override { write("board.json", board_json(*photo::make_board("A4", 0))); }

  nlohmann::ordered_json photographed() const {
    nlohmann::ordered_json job = test::sound_job();
    const photo::Board board = *photo::make_board("A4", 0);
    auto& face = job["parts"][0]["faces"][0];
    face.erase("readings");
    face["thickness"] = kThickness;
    face["photos"] = {
        {{"files", {"photo.jpg"}},
         {"boards", {"board.json"}},
         {"check",
          {{"A4-0", {board.check_bars[0].length_mm * 1.002, board.check_bars[1].length_mm * 0.998}}}},
         {"lift", {{"A4-0", -kThickness + 0.1}}},
         {"at", {{"x", 230}, {"y", -55}, {"turn_deg", 5}}},
         {"edges", {"long datum edge", "datum end"}}}};
    return job;
  }

  Surveyed surveyed(const nlohmann::ordered_json& json) const {
    const Result<Job> job = parse_job(json.dump(), "job.json", folder_.string());
    EXPECT_TRUE(job) << describe(job.problems().front());
    return survey_faces(*job);
  }

  test::Scratch scratch_;
  const std::filesystem::path folder_ = scratch_ / "";
};

void expect_honest(const MeasuredFace& face, const std::vector<Eigen::Vector2d>& truth) {
  ASSERT_EQ(face.holes.size(), truth.size());
  Eigen::VectorXd error(2 * static_cast<Eigen::Index>(truth.size()));
  for (std::size_t i = 0; i < truth.size(); ++i) {
    error.segment<2>(2 * static_cast<Eigen::Index>(i)) = face.holes[i].centre_mm - truth[i];
    EXPECT_LT((face.holes[i].centre_mm - truth[i]).norm(), 0.4) << face.holes[i].id;
    EXPECT_NEAR(*face.holes[i].diameter_mm, 20.6, 0.15) << face.holes[i].id;
  }
  EXPECT_GT(
      chi2_upper_tail(error.dot(face.covariance_mm2.ldlt().solve(error)), static_cast<double>(error.size())),
      0.001);
}

const char* const kTape =
    "# tape: II\n# resolution: 0.5\n# centring: 0.15\nkind,from,to,reading,sigma,note\n"
    "along,A1,,30.5,,\nacross,A1,,30.0,,\nalong,A2,,160.0,,\nacross,A2,,30.0,,\n"
    "along,A3,,30.0,,\nacross,A3,,90.5,,\nalong,A4,,160.0,,\nacross,A4,,90.0,,\n"
    "centres,A1,A2,129.5,,\ncentres,A3,A4,130.5,,\ncentres,A1,A3,60.5,,\ncentres,A2,A4,59.5,,\n";

TEST_F(PhotoJob, OnePhotographAloneAndBesideReadings) {
  write("photo.jpg", drawn(bracket()));
  const nlohmann::ordered_json alone = photographed();
  const Surveyed by_photo = surveyed(alone);
  EXPECT_THAT(test::lines(by_photo.problems), ElementsAre());
  ASSERT_EQ(by_photo.faces.size(), 1U);
  const MeasuredFace& seen = by_photo.faces.begin()->second;
  expect_honest(seen, {kTruth[2], kTruth[0], kTruth[1], kTruth[3]});  // P1 ... by x
  EXPECT_EQ(seen.holes[0].id, "P1");
  ASSERT_EQ(by_photo.findings.at(0).pictures.size(), 1U);
  EXPECT_EQ(by_photo.findings[0].pictures[0].edges_mm.size(), 2U);

  nlohmann::ordered_json both = alone;
  auto& face = both["parts"][0]["faces"][0];
  face["readings"] = {"tape.csv"};
  face["photos"][0].erase("edges");
  write("tape.csv", kTape);
  const Surveyed agreeing = surveyed(both);
  EXPECT_THAT(test::lines(agreeing.problems), ElementsAre());
  EXPECT_THAT(agreeing.warnings, ElementsAre());
  const MeasuredFace& fused = agreeing.faces.begin()->second;
  expect_honest(fused, kTruth);
  EXPECT_EQ(fused.holes[3].id, "A4");
  const MeasuredFace taped = surveyed([&] {
                               nlohmann::ordered_json tape = both;
                               tape["parts"][0]["faces"][0].erase("photos");
                               return tape;
                             }())
                                 .faces.begin()
                                 ->second;
  const auto across_sigma = [](const MeasuredFace& f) {  // of A4's place as seen from A1, along x
    return std::sqrt(f.covariance_mm2(0, 0) + f.covariance_mm2(6, 6) - 2.0 * f.covariance_mm2(0, 6));
  };
  EXPECT_LT(fused.covariance_mm2.trace(), taped.covariance_mm2.trace());
  EXPECT_LT(across_sigma(fused), 0.6 * across_sigma(taped));

  // A2 read 1.2 mm too far along; nothing in the readings checks it that well.
  std::string slip = "kind,from,to,reading,sigma,note\n";
  for (std::size_t i = 0; i < kTruth.size(); ++i)
    slip += fmt::format("along,A{0},,{1:.1f},0.15,\nacross,A{0},,{2:.1f},0.15,\n", i + 1,
                        kTruth[i].x() + (i == 1 ? 1.2 : 0.0), kTruth[i].y());
  write("slip.csv", slip);
  face["readings"] = {"slip.csv"};
  const Surveyed apart = surveyed(both);
  EXPECT_THAT(test::lines(apart.problems), ElementsAre());
  ASSERT_EQ(apart.warnings.size(), 1U);
  EXPECT_THAT(apart.warnings[0], HasSubstr("bracket, foot: readings and photographs put hole A2 1."));
  EXPECT_THAT(apart.warnings[0],
              HasSubstr("mm apart, beyond what both claim; it is taken as not measured. Measure it "
                        "again."));
  EXPECT_EQ(apart.faces.begin()->second.find("A2"), nullptr);
  expect_honest(apart.faces.begin()->second, {kTruth[0], kTruth[2], kTruth[3]});
}

TEST_F(PhotoJob, TheOtherSideAndAHoleInDoubt) {
  Scene scene = bracket();
  scene.face_from_board = {
      {-30.0, -70.0}, Angle::degrees(176.0), true};  // x of the sheet runs against the face's
  scene.face.holes[1].bore_mm = 27.0;
  write("photo.jpg", drawn(scene));
  nlohmann::ordered_json job = photographed();
  auto& set = job["parts"][0]["faces"][0]["photos"][0];
  set["seen_from"] = "other side";
  set["at"] = {{"x", -26}, {"y", -73}, {"turn_deg", 175}};
  set["expect"] = {20.6};
  const Surveyed found = surveyed(job);
  EXPECT_THAT(test::lines(found.problems), ElementsAre());
  ASSERT_EQ(found.faces.size(), 1U);
  expect_honest(found.faces.begin()->second, {kTruth[2], kTruth[0], kTruth[3]});
  ASSERT_EQ(found.warnings.size(), 1U);
  EXPECT_THAT(found.warnings[0],
              HasSubstr("bracket, foot: what the photographs show at x 160, y 30 may be no hole"));
  EXPECT_THAT(found.warnings[0], HasSubstr("It is left out; look again."));
  // Half a degree of slant over 16 mm: 0.14 mm more than the measured side would have.
  EXPECT_GT(std::sqrt(found.faces.begin()->second.holes[0].centre_cov_mm2(0, 0)), 0.139);

  set.erase("edges");
  const Surveyed loose = surveyed(job);
  EXPECT_THAT(
      test::lines(loose.problems),
      ElementsAre(
          "E656 job.json: part \"bracket\", face \"foot\", photo.jpg: they give the holes' shape, and "
          "not where they lie on the face; let them show both datum edges and name these in \"edges\", "
          "or take readings from both datum edges: along and across to two holes at least"));
}

TEST_F(PhotoJob, WhatAPersonSaysOfPlacesHolds) {
  Scene scene = bracket();
  scene.face.holes[1].bore_mm = 27.0;  // none of those expected
  write("photo.jpg", drawn(scene));
  nlohmann::ordered_json job = photographed();
  auto& set = job["parts"][0]["faces"][0]["photos"][0];
  set["expect"] = {20.6};
  const auto mark = [&](std::size_t i, double off_mm) {
    const Eigen::Vector2d at = scene.face_from_board.inverse() * kTruth[i] + Eigen::Vector2d(off_mm, 0.0);
    return nlohmann::ordered_json{{"x", at.x()}, {"y", at.y()}};
  };
  nlohmann::ordered_json large = mark(1, 2.0), none = mark(3, -2.0), nothing_there = mark(0, 60.0),
                         renamed = mark(2, 1.0);
  large["name"] = "B7";
  none["is"] = "no hole";
  nothing_there["name"] = "B9";
  renamed["name"] = "H4";  // what the search itself calls another
  set["by_hand"] = {large, none, nothing_there, renamed};
  const Surveyed found = surveyed(job);
  EXPECT_THAT(test::lines(found.problems), ElementsAre());
  EXPECT_THAT(found.warnings, ElementsAre());
  const MeasuredFace& face = found.faces.begin()->second;
  ASSERT_EQ(face.holes.size(), 3U);
  ASSERT_NE(face.find("B7"), nullptr);
  EXPECT_LT((face.find("B7")->centre_mm - kTruth[1]).norm(), 0.4);  // fitted to the rim, not where it was put
  EXPECT_NEAR(*face.find("B7")->diameter_mm, 27.0, 0.15);
  ASSERT_NE(face.find("H4"), nullptr);
  EXPECT_LT((face.find("H4")->centre_mm - kTruth[2]).norm(), 0.4);
  EXPECT_THAT(
      found.findings.at(0).remarks,
      testing::AllOf(testing::Contains(testing::StartsWith("B7 is taken as a hole by hand, although: ")),
                     testing::Contains(testing::MatchesRegex(
                         "no rim is found at x .*, where hole B9 was marked by hand: look again"))));

  // A hole that the readings name keeps that name.
  auto& both = job["parts"][0]["faces"][0];
  both["readings"] = {"tape.csv"};
  auto& again = both["photos"][0];  // the key added has moved all others
  again.erase("edges");
  again["by_hand"] = {large};
  write("tape.csv", kTape);
  const Surveyed with_readings = surveyed(job);
  ASSERT_EQ(with_readings.warnings.size(), 1U);
  EXPECT_EQ(with_readings.warnings[0],
            "bracket, foot: what was named B7 in the pictures by hand is A2 of the readings; it keeps that "
            "name. Look again.");
  again["by_hand"] = {large, large};
  EXPECT_THAT(test::lines(parse_job(job.dump(), "job.json", "").problems()),
              ElementsAre("E131 job.json: parts[0].faces[0].photos[0].by_hand[1]: hole \"B7\" is marked "
                          "twice; name each hole once"));
}

/// The demo's photographed bracket, beam and rubbing against the truth they were drawn from. The prints were
/// measured without error and the edges are unworn, while 0.1 and 0.15 mm are allowed for: chi-square comes
/// out low.
TEST(PhotoDemo, HolesLieWithinWhatIsClaimed) {
  const std::string folder = FAIRHOLE_SOURCE_DIR "/fixtures/jobs/wharf-crane";
  Job job = *load_job(folder);
  for (Part& part : job.parts)
    for (Face& face : part.faces)
      if (face.photos.empty()) face.readings.clear();  // nothing to do for them here
  std::erase_if(job.joints,
                [&](const Joint& joint) { return job.face(joint.part, joint.face)->photos.empty(); });
  const Surveyed surveyed = survey_faces(job);
  EXPECT_THAT(test::lines(surveyed.problems), ElementsAre());
  const nlohmann::json truth = nlohmann::json::parse(*read_file(folder + "/truth.json", ""));
  ASSERT_EQ(surveyed.faces.size(), 3U);
  for (const auto& [key, face] : surveyed.faces) {
    SCOPED_TRACE(key.first);
    const nlohmann::json& holes = truth.at(key.first + "/" + key.second);
    EXPECT_EQ(face.holes.size(), holes.size());
    Eigen::VectorXd error(2 * static_cast<Eigen::Index>(face.holes.size()));
    for (std::size_t i = 0; i < face.holes.size(); ++i) {
      Eigen::Vector2d nearest(1e9, 1e9);
      for (const nlohmann::json& hole : holes) {
        const Eigen::Vector2d off =
            face.holes[i].centre_mm - Eigen::Vector2d(hole["x"].get<double>(), hole["y"].get<double>());
        if (off.norm() < nearest.norm()) nearest = off;
      }
      EXPECT_LT(nearest.norm(), 0.6) << face.holes[i].id;
      error.segment<2>(2 * static_cast<Eigen::Index>(i)) = nearest;
    }
    const double chi2 = error.dot(face.covariance_mm2.ldlt().solve(error));
    EXPECT_GT(chi2_upper_tail(chi2, static_cast<double>(error.size())), 0.001)
        << chi2 << " of " << error.size();
  }
  // Same job, same bytes: the results name its files as the job does, wherever it lies.
  std::string remarks;
  for (const FaceFindings& face : surveyed.findings)
    for (const std::string& remark : face.remarks) remarks += remark + "\n";
  EXPECT_THAT(remarks, testing::HasSubstr("photos/right-aft-bracket.jpg"));
  EXPECT_THAT(remarks, testing::Not(testing::HasSubstr(folder)));
}

TEST_F(PhotoJob, SaysWhatIsWrongWithItsKeys) {
  nlohmann::ordered_json job = photographed();
  auto& set = job["parts"][0]["faces"][0]["photos"][0];
  set["files"] = nlohmann::ordered_json::array();
  set["edges"] = {"far end"};
  set["check"] = {{"A4-0", {0, 100}}};
  set.erase("at");
  set.erase("boards");
  EXPECT_THAT(
      test::lines(parse_job(job.dump(), "job.json", "").problems()),
      testing::UnorderedElementsAre(
          "E129 job.json: parts[0].faces[0].photos[0].check[\"A4-0\"]: a check bar cannot measure that; "
          "write what "
          "the x and the y bar measured: [179.6, 269.5]",
          "E126 job.json: parts[0].faces[0].photos[0]: \"at\" is missing; say where the sheet's lower left "
          "corner "
          "lies on the face, and which way its x points: \"at\": { \"x\": 120, \"y\": 30, \"turn_deg\": 90 }",
          "E130 job.json: parts[0].faces[0].photos[0].edges[0]: \"far end\" is no datum edge of this face; "
          "write "
          "long datum edge or datum end",
          "E356 job.json: parts[0].faces[0].photos[0]: no picture is named; name at least one: \"files\": "
          "[\"photos/1.jpg\"]",
          "E356 job.json: parts[0].faces[0].photos[0]: nothing says how large things are; name the "
          "BOARD.json of "
          "the sheet in the pictures in \"boards\", or the \"dpi\" of a flatbed scan"));
  job["parts"][0]["faces"][0]["photos"] = nlohmann::ordered_json::array();
  EXPECT_THAT(
      test::lines(parse_job(job.dump(), "job.json", "").problems()),
      ElementsAre(
          "E126 job.json: parts[0].faces[0]: neither readings nor photographs; name a readings file, or "
          "photographs"));
}

TEST_F(PhotoJob, SaysWhichFileIsMissing) {
  const Surveyed none = surveyed(photographed());
  ASSERT_EQ(none.problems.size(), 1U);
  EXPECT_EQ(none.problems[0].code, codes::kFileUnreadable);
  EXPECT_THAT(none.problems[0].where, HasSubstr("photo.jpg"));
}

}  // namespace
}  // namespace fairhole::job
