// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>

#include <opencv2/features2d.hpp>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "fairhole/photo/read_photos.h"
#include "test_drawn_faces.h"
#include "test_scenes.h"

namespace fairhole::photo {
namespace {

/// The measure for all others: unpacking 12 million pixels of JPEG, in colour, as any viewer does.
void unpack_jpeg(benchmark::State& state) {
  const std::string bytes = test::scene_file("devA.jpg");
  const cv::Mat packed(1, static_cast<int>(bytes.size()), CV_8U, const_cast<char*>(bytes.data()));
  for ([[maybe_unused]] auto _ : state) benchmark::DoNotOptimize(cv::imdecode(packed, cv::IMREAD_COLOR));
}
BENCHMARK(unpack_jpeg)->Unit(benchmark::kMillisecond)->UseRealTime();

void decode_to_light(benchmark::State& state) {
  const std::string bytes = test::scene_file("devA.jpg");
  for ([[maybe_unused]] auto _ : state) benchmark::DoNotOptimize(decode_picture(bytes, "devA.jpg"));
}
BENCHMARK(decode_to_light)->Unit(benchmark::kMillisecond)->UseRealTime();

void cameras_of_one_picture(benchmark::State& state) {
  const test::Scene scene = test::load_scene("devA");
  const std::vector<Picture> pictures{*decode_picture(test::scene_file("devA.jpg"), "devA.jpg")};
  for ([[maybe_unused]] auto _ : state)
    benchmark::DoNotOptimize(find_cameras(pictures, scene.boards, scene.options));
}
BENCHMARK(cameras_of_one_picture)->Unit(benchmark::kMillisecond)->UseRealTime();

/// From the file's bytes to holes.
void read_one_picture(benchmark::State& state) {
  const test::Scene scene = test::load_scene("devA");
  ReadOptions options;
  options.cameras = scene.options;
  const std::string bytes = test::scene_file("devA.jpg");
  for ([[maybe_unused]] auto _ : state) {
    std::vector<Picture> pictures;
    pictures.push_back(*decode_picture(bytes, "devA.jpg"));
    benchmark::DoNotOptimize(read_photos(pictures, scene.boards, options));
  }
}
BENCHMARK(read_one_picture)->Unit(benchmark::kMillisecond)->UseRealTime();

/// One face over several pictures, from the files' bytes to holes.
void read_three_pictures(benchmark::State& state) {
  const test::Scene scene = test::load_scene("devC");
  ReadOptions options;
  options.cameras = scene.options;
  for ([[maybe_unused]] auto _ : state) {
    std::vector<Picture> pictures;
    for (const std::string& name : scene.photos)
      pictures.push_back(*decode_picture(test::scene_file(name), name));
    benchmark::DoNotOptimize(read_photos(pictures, scene.boards, options));
  }
}
BENCHMARK(read_three_pictures)->Unit(benchmark::kMillisecond)->UseRealTime();

cv::Mat grey_picture() {
  const std::string bytes = test::scene_file("devA.jpg");
  const cv::Mat packed(1, static_cast<int>(bytes.size()), CV_8U, const_cast<char*>(bytes.data()));
  return cv::imdecode(packed, cv::IMREAD_GRAYSCALE);
}

/// General-purpose peers on the same picture, unpacked: OpenCV's circle and blob finders. They give circles
/// in pixels, without camera, place or uncertainty.
void circles_by_hough(benchmark::State& state) {
  cv::Mat smooth;
  cv::GaussianBlur(grey_picture(), smooth, {9, 9}, 2.0);
  cv::setNumThreads(1);
  std::vector<cv::Vec3f> circles;
  for ([[maybe_unused]] auto _ : state)
    cv::HoughCircles(smooth, circles, cv::HOUGH_GRADIENT, 2.0, 100.0, 100.0, 100.0, 20, 120);
  state.counters["found"] = static_cast<double>(circles.size());
}
BENCHMARK(circles_by_hough)->Unit(benchmark::kMillisecond)->UseRealTime();

void blobs_by_opencv(benchmark::State& state) {
  const cv::Mat grey = grey_picture();
  cv::setNumThreads(1);
  cv::SimpleBlobDetector::Params params;
  params.minArea = 1000.0F;
  params.maxArea = 50000.0F;
  const auto finder = cv::SimpleBlobDetector::create(params);
  std::vector<cv::KeyPoint> blobs;
  for ([[maybe_unused]] auto _ : state) finder->detect(grey, blobs);
  state.counters["found"] = static_cast<double>(blobs.size());
}
BENCHMARK(blobs_by_opencv)->Unit(benchmark::kMillisecond)->UseRealTime();

/// The adjustment of cameras, boards and holes alone: sights as measured, a row of pictures 300 mm apart.
void adjust_pictures(benchmark::State& state) {
  test::Draw draw{std::mt19937(7)};
  const test::Face face = test::draw_face(draw, static_cast<int>(state.range(0) + 1) / 2, false);
  std::vector<Board> boards;
  for (const test::LaidBoard& laid : face.laid) boards.push_back(laid.board);
  std::vector<BoardSights> sights;
  for (std::size_t p = 0; p < face.views.size(); ++p) sights.push_back(test::draw_sights(draw, face, p));
  bool good = true;
  for ([[maybe_unused]] auto _ : state)
    good = good && static_cast<bool>(adjust_photos(boards, sights, {}, face.options));
  if (!good) state.SkipWithError("not adjusted");
}
BENCHMARK(adjust_pictures)->Arg(1)->Arg(5)->Arg(19)->Arg(39)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
}  // namespace fairhole::photo
