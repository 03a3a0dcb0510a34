// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <set>

#include "fairhole/photo/adjust.h"
#include "test_boards.h"
#include "test_scenes.h"

namespace fairhole::photo {
namespace {

const Lens kLens{1500.0, {640.3, 478.9}, -0.06, 0.01, 0.0, 0.0};

View above(const Eigen::Vector2d& at_mm, double tilt_rad = 0.3, double distance_mm = 560.0) {
  return test::look_at(kLens, at_mm, distance_mm, tilt_rad, 0.8, 0.2);
}

/// Coarser: enough for what is said of a picture.
Picture plainly_rendered(const View& view, const std::vector<test::LaidBoard>& boards, double blur_px = 0.9) {
  return test::render(view, boards, {.width_px = 1280, .height_px = 960, .blur_px = blur_px, .fineness = 2});
}

Picture rendered(const View& view, const std::vector<test::LaidBoard>& boards, double blur_px = 0.9) {
  return test::render(view, boards,
                      {.width_px = 1280, .height_px = 960, .blur_px = blur_px, .noise = 0.01, .fineness = 5});
}

std::string message(const Result<Cameras>& result) {
  return result ? "no problem" : describe(result.problems().front());
}

Picture mirrored(Picture picture) {
  for (int y = 0; y < picture.height_px; ++y) {
    const auto row = picture.light.begin() + static_cast<std::ptrdiff_t>(y) * picture.width_px;
    std::reverse(row, row + picture.width_px);
  }
  return picture;
}

TEST(FindCameras, SeesARenderedBoardAsItLies) {
  const test::LaidBoard laid{.board = *make_board("A4", 3), .lift_mm = 0.1, .scale = {0.99, 1.004}};
  const std::vector<Board> boards{laid.board};
  PhotoOptions options;
  options.focal_px = 1510.0;
  options.bars = {{"A4-3", 0.99 * 180.0, 1.004 * 270.0}};
  const View view = above({104.0, 149.0});
  const std::vector<Picture> pictures{rendered(view, {laid})};
  const Result<Cameras> cameras = find_cameras(pictures, boards, options);
  ASSERT_TRUE(cameras) << message(cameras);
  EXPECT_EQ(cameras->adjusted.frame, "A4-3");
  EXPECT_LT(cameras->adjusted.rms_px, 0.03);
  // Places on the face, as if seen without error: off by no more than the cameras' own uncertainty allows.
  std::vector<HoleTie> ties;
  const std::vector<Eigen::Vector2d> points{{20, 30}, {190, 260}, {-30, 150}};
  for (const Eigen::Vector2d& point : points)
    ties.push_back({{{0, *project(view, {point.x(), point.y(), 0.0}), 1e-4 * Eigen::Matrix2d::Identity()}}});
  const Result<AdjustedPhotos> adjusted = adjust_photos(boards, cameras->sights, ties, options);
  ASSERT_TRUE(adjusted);
  for (std::size_t i = 0; i < points.size(); ++i) {
    const auto row = 2 * static_cast<Eigen::Index>(i);
    const Eigen::Vector2d error = adjusted->holes[i].centre_mm - points[i];
    const Eigen::Matrix2d covariance = adjusted->covariance_mm2.block<2, 2>(row, row);
    EXPECT_LT(error.dot(covariance.inverse() * error), 13.8);  // chi-square, 2 degrees of freedom, 1 in 1000
    EXPECT_LT(std::sqrt(covariance.trace()), 0.15);
  }
}

TEST(FindCameras, SaysWhatIsWrongWithAPicture) {
  const test::LaidBoard laid{.board = *make_board("A4", 3)};
  const std::vector<Board> boards{laid.board};
  const Eigen::Vector2d middle(104.0, 149.0);
  const auto with = [&](const Picture& picture) { return message(find_cameras({&picture, 1}, boards)); };

  EXPECT_EQ(
      with(plainly_rendered(above(middle), {})),
      "E641 rendered: no scale board is found in it; photograph a whole board with its white margin, sharp, "
      "evenly lit, at least a sixth of the picture wide");
  EXPECT_EQ(with(mirrored(plainly_rendered(above(middle), {laid}))),
            "E642 rendered: the board is seen mirrored; do not flip the picture, and print the sheet without "
            "\"mirror\"");
  const std::string wrong = with(plainly_rendered(above(middle), {{.board = *make_board("A4", 4)}}));
  EXPECT_EQ(wrong.substr(0, 33), "E643 rendered: its markers (48, 4");
  EXPECT_EQ(wrong.substr(wrong.find(')')),
            ") belong to none of the boards given; give the BOARD.json of the sheet in the picture");
  const std::string alike = with(plainly_rendered(above({200.0, 149.0}, 0.1, 800.0),
                                                  {laid, {.board = laid.board, .origin_mm = {225.0, 5.0}}}));
  EXPECT_EQ(alike.substr(0, 22), "E644 rendered: markers");
  EXPECT_EQ(alike.substr(alike.find(" are")),
            " are seen twice: two sheets of one number; use sheets of different numbers (fairhole board "
            "--number N)");
  EXPECT_EQ(
      with(rendered(above(middle, 0.1, 3400.0), {laid})),
      "E646 rendered: the board is seen, but its edges are too blurred or too small to be measured; take it "
      "again, sharp and nearer; rest the camera on something");
}

TEST(FindCameras, SaysThatAPictureIsBlurred) {
  const test::LaidBoard laid{.board = *make_board("A4", 3)};
  const auto with_blur = [&](double blur_px) {
    Picture picture = plainly_rendered(above({104.0, 149.0}, 0.1, 400.0), {laid}, blur_px);
    return message(find_cameras({&picture, 1}, {&laid.board, 1}));
  };
  EXPECT_EQ(with_blur(2.0), "no problem");
  EXPECT_EQ(
      with_blur(3.0),
      "E646 rendered: the picture is blurred: a printed edge fades over some 8 px, and no hole is measured "
      "surely in it; take it again, sharp; rest the camera on something");
  EXPECT_EQ(
      with_blur(12.0),
      "E646 rendered: nothing in it is sharp, and no scale board can be made out; take it again, sharp and "
      "evenly lit; rest the camera on something");
}

/// A plate lies on what of the board is nearer to its lower edge than `line_mm`.
Picture covered_below(double line_mm, const View& view, Picture picture) {
  for (int y = 0; y < picture.height_px; ++y)
    for (int x = 0; x < picture.width_px; ++x)
      if (meet_plane(view, {x, y})->y() < line_mm)
        picture.light[static_cast<std::size_t>(y * picture.width_px + x)] = 0.25F;
  return picture;
}

TEST(FindCameras, SaysThatAQuarterOfABoardIsTooLittle) {
  const test::LaidBoard laid{.board = *make_board("A4", 3)};
  const View view = above({104.0, 149.0}, 0.1);
  constexpr double kTopRowMm = 240.0;  // three markers of twelve stand above it
  const Picture quarter = covered_below(kTopRowMm, view, plainly_rendered(view, {laid}));
  EXPECT_EQ(message(find_cameras({&quarter, 1}, {&laid.board, 1})),
            "E645 rendered: too little of a board is seen to go by; take it again with a whole board in the "
            "picture, sharp and lying flat");
}

/// Places about the board, as if seen without error, come out where they are within the covariance of all
/// three.
void expect_holes_within_claims(const View& view, const std::vector<Board>& boards,
                                const std::vector<BoardSights>& sights, const PhotoOptions& options) {
  std::vector<HoleTie> ties;
  const std::vector<Eigen::Vector2d> points{{20, 30}, {190, 20}, {-30, 250}};
  for (const Eigen::Vector2d& point : points)
    ties.push_back({{{0, *project(view, {point.x(), point.y(), 0.0}), 1e-4 * Eigen::Matrix2d::Identity()}}});
  const Result<AdjustedPhotos> adjusted = adjust_photos(boards, sights, ties, options);
  ASSERT_TRUE(adjusted);
  Eigen::VectorXd off(6);
  for (std::size_t i = 0; i < 3; ++i)
    off.segment<2>(2 * static_cast<Eigen::Index>(i)) = adjusted->holes[i].centre_mm - points[i];
  EXPECT_LT(off.dot(adjusted->covariance_mm2.ldlt().solve(off)), 22.46);  // chi-square of 6, once in 1000
}

// Half a board is used: what it says of a place holds within its covariance, and that half of it is missing
// is said. The share is that of the design.
TEST(FindCameras, UsesHalfABoardAndSaysSo) {
  const test::LaidBoard laid{.board = *make_board("A4", 3), .lift_mm = 0.1};
  const std::vector<Board> boards{laid.board};
  constexpr double kLineMm = 168.0;  // between two rows of print
  std::set<int> all, above_line;
  for (const PrintedEdge& edge : printed_edges(laid.board)) {
    all.insert(edge.feature);
    if (std::min(edge.a_mm.y(), edge.b_mm.y()) > kLineMm) above_line.insert(edge.feature);
  }
  for (const PrintedEdge& edge : printed_edges(laid.board))
    if (std::min(edge.a_mm.y(), edge.b_mm.y()) < kLineMm) above_line.erase(edge.feature);
  const View view = above({104.0, 149.0});
  const Picture half = covered_below(kLineMm, view, rendered(view, {laid}));
  PhotoOptions options;
  options.focal_px = 1510.0;
  options.bars = {{"A4-3", 180.0, 270.0}};
  const Result<Cameras> cameras = find_cameras({&half, 1}, boards, options);
  ASSERT_TRUE(cameras) << message(cameras);
  const std::vector<std::string> words{fmt::format(
      "rendered: only {:.0f} % of what is printed on board A4-3 is seen, the rest is hidden or outside the "
      "picture, mostly in its lower half; holes far from what is seen are less sure, as their uncertainty "
      "says; "
      "where that is too much, take the picture again with the whole board",
      100.0 * static_cast<double>(above_line.size()) / static_cast<double>(all.size()))};
  EXPECT_EQ(cameras->adjusted.warnings, words);
  expect_holes_within_claims(view, boards, cameras->sights, options);
}

// Lamplight that falls off over the sheet: on one side the paper is lighter than the file can say.
TEST(FindCameras, UsesAnOverexposedBoardAndSaysSo) {
  const test::LaidBoard laid{.board = *make_board("A4", 3), .lift_mm = 0.1};
  const std::vector<Board> boards{laid.board};
  const View view = above({104.0, 149.0}, 0.6);
  Picture picture = rendered(view, {laid});
  for (int y = 0; y < picture.height_px; ++y)
    for (int x = 0; x < picture.width_px; ++x) {
      float& light = picture.light[static_cast<std::size_t>(y * picture.width_px + x)];
      light = std::min(1.0F,
                       light * (0.8F + 1.6F * static_cast<float>(x) / static_cast<float>(picture.width_px)));
    }
  PhotoOptions options;
  options.focal_px = 1510.0;
  options.bars = {{"A4-3", 180.0, 270.0}};
  const Result<Cameras> cameras = find_cameras({&picture, 1}, boards, options);
  ASSERT_TRUE(cameras) << message(cameras);
  const std::vector<std::string> words{
      "rendered: the paper is overexposed, white without shades, and its printed edges tell less than they "
      "could, as the holes' uncertainty says; take the picture again, darker"};
  EXPECT_EQ(cameras->adjusted.warnings, words);
  expect_holes_within_claims(view, boards, cameras->sights, options);
}

TEST(FindCameras, SaysThatABarCannotHaveBeenReadSo) {
  const test::LaidBoard laid{.board = *make_board("A4", 3)};  // bars of 180 and 270 mm
  PhotoOptions options;
  options.bars = {{"A4-3", 269.5, 179.6}};
  const Result<Cameras> cameras = find_cameras({}, {&laid.board, 1}, options);
  ASSERT_EQ(cameras.problems().size(), 2U);
  EXPECT_EQ(
      describe(cameras.problems()[0]),
      "E690 --check: board A4-3: its x bar is 180 mm long as designed, so it cannot have measured 269.5 mm; "
      "read both bars again, in mm, and write first x, then y: A4-3=X,Y");
  options.bars = {{"A4-3", 178.0, 270.5}};
  EXPECT_EQ(message(find_cameras({}, {&laid.board, 1}, options)).substr(0, 4), "E648");
}

TEST(AdjustPhotos, SaysWhenItCannotBegin) {
  const std::vector<Board> boards{*make_board("A4", 3)};
  BoardSights sights{.name = "one.jpg", .width_px = 1000, .height_px = 750, .focal = {}, .camera = ""};
  sights.corners = {{0, {12.0, 12.0}, {100.0, 100.0}}, {0, {40.0, 12.0}, {180.0, 100.0}}};
  EXPECT_EQ(describe(adjust_photos(boards, {&sights, 1}, {}).problems().front()),
            "E645 one.jpg: too little of a board is seen to go by; take it again with a whole board in the "
            "picture, "
            "sharp and lying flat");
  for (const BoardMarker& marker : boards[0].markers)  // all corners in one spot
    for (const Eigen::Vector2d& corner : marker.corners_mm)
      sights.corners.push_back({0, corner, {500.0, 400.0}});
  EXPECT_EQ(describe(adjust_photos(boards, {&sights, 1}, {}).problems().front()),
            "E649 one.jpg: no place of the camera explains the board as seen; take it again with a whole "
            "board in the "
            "picture, sharp and lying flat");
}

/// Scaled up and down to that share, as a screenshot of another format would be.
Picture squeezed(const Picture& picture, double share) {
  Picture out = picture;
  out.height_px = static_cast<int>(std::lround(share * picture.height_px));
  out.light.clear();
  for (int y = 0; y < out.height_px; ++y)
    for (int x = 0; x < out.width_px; ++x)
      out.light.push_back(static_cast<float>(
          picture.between(x, std::clamp((y + 0.5) / share - 0.5, 0.0, picture.height_px - 1.0))));
  return out;
}

// Seen from two sides the boards tell a stretch from a slant; 8 % is 4:3 made 13:9.
TEST(FindCameras, SaysThatAPictureIsStretched) {
  const test::LaidBoard laid{.board = *make_board("A4", 3)};
  const Picture picture = rendered(above({104.0, 149.0}, 0.5), {laid});
  EXPECT_EQ(message(find_cameras({&picture, 1}, {&laid.board, 1})), "no problem");
  const Picture stretched = squeezed(picture, 0.92);
  const std::string said = message(find_cameras({&stretched, 1}, {&laid.board, 1}));
  double percent = 0.0;
  ASSERT_EQ(std::sscanf(said.c_str(), "E360 rendered: the picture is stretched by %lf", &percent), 1) << said;
  EXPECT_NEAR(percent, 100.0 * (1.0 / 0.92 - 1.0), 0.5);
  EXPECT_EQ(said.substr(said.find(" %")),
            " % across; give the photograph as the camera wrote it: no screenshot, nothing scaled");
}

TEST(FindCameras, SaysThatALayoutIsAnother) {
  const test::LaidBoard laid{.board = *make_board("A4", 3)};
  Board other = laid.board;  // the same ids, in another order
  for (std::size_t i = 0; i + 1 < other.markers.size(); i += 2)
    std::swap(other.markers[i].corners_mm, other.markers[i + 1].corners_mm);
  const Picture picture = plainly_rendered(above({104.0, 149.0}), {laid});
  const std::string said = message(find_cameras({&picture, 1}, {&other, 1}));
  EXPECT_EQ(said.substr(0, said.find('(') + 1),
            "E643 rendered: its markers do not lie as the board's file says (");
}

TEST(FindCameras, SaysWhatHangsTogetherAndWhatNot) {
  const test::LaidBoard left{.board = *make_board("A4", 0)};
  const test::LaidBoard right{.board = *make_board("A4", 1), .origin_mm = {900.0, 0.0}};
  const std::vector<Board> boards{left.board, right.board};
  std::vector<Picture> pictures{plainly_rendered(above({104.0, 149.0}), {left}),
                                plainly_rendered(above({1004.0, 149.0}), {right})};
  pictures[1].name = "second.jpg";
  PhotoOptions in_frame;
  in_frame.frame = "A4-1";
  EXPECT_EQ(message(find_cameras(pictures, boards)),
            "E647 second.jpg: this picture shares no board with the others, so nothing ties it to them; take "
            "a picture "
            "that shows two neighbouring boards, or adjust this one by itself");
  EXPECT_EQ(
      message(find_cameras({pictures.data(), 1}, boards, in_frame)),
      "E648 --frame: board A4-1 is to give the frame, and no picture shows it; name a board that is seen, or "
      "photograph this one too");
  PhotoOptions options;
  options.bars = {{"A4-7", 180.0, 270.0}};
  EXPECT_EQ(message(find_cameras({pictures.data(), 1}, boards, options)),
            "E350 --check: there is no board \"A4-7\"; the boards given are A4-0, A4-1");
}

TEST(FindCameras, WarnsOfBarsAndOfAnOpenFocalLength) {
  const test::LaidBoard laid{.board = *make_board("A4", 3), .lift_mm = 6.0};
  const std::vector<Board> boards{laid.board};
  PhotoOptions options;
  options.lifts["A4-3"] = {6.0, 0.1};
  const Picture picture = plainly_rendered(above({104.0, 149.0}, 0.02), {laid});
  const Result<Cameras> cameras = find_cameras({&picture, 1}, boards, options);
  ASSERT_TRUE(cameras) << message(cameras);
  ASSERT_EQ(cameras->adjusted.warnings.size(), 3U);
  EXPECT_EQ(cameras->adjusted.warnings[0],
            "board A4-3: nobody measured its x check bar; printers are off by up to 0.5 %, 5 mm in a metre "
            "(--check "
            "A4-3=X,Y)");
  const std::string& open = cameras->adjusted.warnings[2];
  EXPECT_EQ(open.substr(0, 38), "rendered: the focal length is known to");
  EXPECT_EQ(open.substr(open.find(" % only")),
            " % only, because height and focal length look alike from straight above, and the print lies 6.0 "
            "mm off "
            "the metal's face; lay the board on the face, or take a second picture from the side");
}

}  // namespace
}  // namespace fairhole::photo
