// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>

#include <opencv2/imgcodecs.hpp>

#include "fairhole/photo/read_photos.h"
#include "test_scenes.h"

namespace fairhole::photo {
namespace {

/// The measure for all others: unpacking 12 million pixels of JPEG, in colour, as any viewer does.
void unpack_jpeg(benchmark::State& state) {
  const std::string bytes = test::scene_file("devA.jpg");
  const cv::Mat packed(1, static_cast<int>(bytes.size()), CV_8U, const_cast<char*>(bytes.data()));
  for ([[maybe_unused]] auto _ : state) benchmark::DoNotOptimize(cv::imdecode(packed, cv::IMREAD_COLOR));
}
BENCHMARK(unpack_jpeg)->Unit(benchmark::kMillisecond);

void decode_to_light(benchmark::State& state) {
  const std::string bytes = test::scene_file("devA.jpg");
  for ([[maybe_unused]] auto _ : state) benchmark::DoNotOptimize(decode_picture(bytes, "devA.jpg"));
}
BENCHMARK(decode_to_light)->Unit(benchmark::kMillisecond);

void cameras_of_one_picture(benchmark::State& state) {
  const test::Scene scene = test::load_scene("devA");
  const std::vector<Picture> pictures{*decode_picture(test::scene_file("devA.jpg"), "devA.jpg")};
  for ([[maybe_unused]] auto _ : state)
    benchmark::DoNotOptimize(find_cameras(pictures, scene.boards, scene.options));
}
BENCHMARK(cameras_of_one_picture)->Unit(benchmark::kMillisecond);

/// From the file's bytes to holes.
void read_one_picture(benchmark::State& state) {
  const test::Scene scene = test::load_scene("devA");
  ReadOptions options;
  options.cameras = scene.options;
  const std::string bytes = test::scene_file("devA.jpg");
  for ([[maybe_unused]] auto _ : state) {
    const std::vector<Picture> pictures{*decode_picture(bytes, "devA.jpg")};
    benchmark::DoNotOptimize(read_photos(pictures, scene.boards, options));
  }
}
BENCHMARK(read_one_picture)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace fairhole::photo
