// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Holes from a photograph: a ray-traced picture of an angle with a scale board over its toe, whose check bars
// measured 118.2 and 198.4 mm on the print (120 and 200 as designed: the printer shrank it), 3.2 mm above the
// metal. Six holes are in it.
#include <fmt/format.h>

#include <array>
#include <fstream>
#include <iterator>

#include "fairhole/job/board_json.h"
#include "fairhole/photo/read_photos.h"

std::string bytes_of(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

int main(int, char** arguments) {
  using namespace fairhole;
  const std::string folder = arguments[1];
  const auto boards = job::parse_boards(bytes_of(folder + "/boards.json"), "boards.json");
  const auto picture = photo::decode_picture(bytes_of(folder + "/devA.jpg"), "devA.jpg");
  if (!boards || !picture) return 1;
  photo::ReadOptions options;
  options.cameras.bars = {{.board = "A4-0", .x_mm = 118.2, .y_mm = 198.4}};
  options.cameras.lifts["A4-0"] = {.mm = 3.2};
  const auto reading = photo::read_photos(std::array{*picture}, *boards, options);
  if (!reading) return exit_status(reading.problems());
  const MeasuredFace face = photo::measured_face(*reading);  // with the covariance over all holes
  fmt::print("{} holes, covariance {} x {}\n", face.holes.size(), face.covariance_mm2.rows(),
             face.covariance_mm2.cols());
}
