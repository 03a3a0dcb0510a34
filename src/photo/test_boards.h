// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>
#include <vector>

#include "fairhole/photo/board.h"
#include "fairhole/photo/camera.h"
#include "fairhole/photo/picture.h"

/// A second method beside the program's own: boards painted through a View by looking up, for many points of
/// every pixel, what is printed there. Light is averaged over each pixel, then blurred, in linear light.
namespace fairhole::photo::test {

struct LaidBoard {
  Board board;
  Eigen::Vector2d origin_mm = Eigen::Vector2d::Zero();
  double turn_rad = 0.0, lift_mm = 0.0;
  Eigen::Vector2d scale = Eigen::Vector2d::Ones();
};

struct RenderSettings {
  int width_px = 1000, height_px = 750;
  double blur_px = 0.9;
  double paper = 0.75, ink = 0.04, ground = 0.25;  // linear light
  double noise = 0.0;                              // sigma, linear light
  unsigned seed = 1;
  int fineness = 8;  // points of a pixel, each way
};

/// What is printed, at a fineness that every coordinate of our own A4 sheet is a multiple of.
class PrintedSheet {
 public:
  explicit PrintedSheet(const Board& board)
      : columns_(static_cast<int>(std::lround(board.paper_mm.x() / kCellMm))),
        rows_(static_cast<int>(std::lround(board.paper_mm.y() / kCellMm))),
        black_(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_), false) {
    for (const InkBox& box : printed_boxes(board))
      for (int y = cell(box.low_mm.y()); y < cell(box.high_mm.y()); ++y)
        for (int x = cell(box.low_mm.x()); x < cell(box.high_mm.x()); ++x) black_[index(x, y)] = box.black;
  }
  /// Nothing off the paper; else whether there is ink.
  std::optional<bool> at(const Eigen::Vector2d& p) const {
    const int x = static_cast<int>(std::floor(p.x() / kCellMm)),
              y = static_cast<int>(std::floor(p.y() / kCellMm));
    if (x < 0 || y < 0 || x >= columns_ || y >= rows_) return std::nullopt;
    return black_[index(x, y)];
  }

 private:
  static constexpr double kCellMm = 0.125;
  static int cell(double mm) { return static_cast<int>(std::lround(mm / kCellMm)); }
  std::size_t index(int x, int y) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(x);
  }
  int columns_, rows_;
  std::vector<bool> black_;
};

inline void blur(Picture& picture, double sigma) {
  if (sigma <= 0.0) return;
  const int reach = static_cast<int>(std::ceil(5.0 * sigma));
  std::vector<double> weights;
  double sum = 0.0;
  for (int i = -reach; i <= reach; ++i) sum += weights.emplace_back(std::exp(-0.5 * i * i / (sigma * sigma)));
  // A row or column at a time, its ends carried on beyond the border.
  const auto pass = [&](int lines, int length, std::ptrdiff_t next_line, std::ptrdiff_t next) {
    std::vector<double> padded(static_cast<std::size_t>(length + 2 * reach));
    for (int line = 0; line < lines; ++line) {
      float* const first = picture.light.data() + line * next_line;
      for (int i = -reach; i < length + reach; ++i)
        padded[static_cast<std::size_t>(i + reach)] =
            static_cast<double>(first[std::clamp(i, 0, length - 1) * next]);
      for (int i = 0; i < length; ++i)
        first[i * next] = static_cast<float>(
            std::inner_product(weights.begin(), weights.end(), padded.begin() + i, 0.0) / sum);
    }
  };
  pass(picture.height_px, picture.width_px, picture.width_px, 1);
  pass(picture.width_px, picture.height_px, 1, picture.width_px);
}

inline Picture render(const View& view, const std::vector<LaidBoard>& boards,
                      const RenderSettings& settings = {}) {
  Picture picture;
  picture.name = "rendered";
  picture.width_px = settings.width_px;
  picture.height_px = settings.height_px;
  std::vector<PrintedSheet> sheets;
  for (const LaidBoard& laid : boards) sheets.emplace_back(laid.board);
  const int n = settings.fineness;
  for (int y = 0; y < settings.height_px; ++y)
    for (int x = 0; x < settings.width_px; ++x) {
      double light = 0.0;
      // The face is met at the pixel's corners; between them it is linear to far below a micrometre.
      for (std::size_t b = 0; b <= boards.size(); ++b) {
        if (b == boards.size()) {
          light = settings.ground;
          break;
        }
        const LaidBoard& laid = boards[b];
        const auto designed = [&](double px, double py) {
          const Eigen::Vector2d w = *meet_plane(view, {px, py}, laid.lift_mm) - laid.origin_mm;
          const double c = std::cos(laid.turn_rad), s = std::sin(laid.turn_rad);
          return Eigen::Vector2d((c * w.x() + s * w.y()) / laid.scale.x(),
                                 (c * w.y() - s * w.x()) / laid.scale.y());
        };
        const Eigen::Vector2d p00 = designed(x - 0.5, y - 0.5), p10 = designed(x + 0.5, y - 0.5);
        const Eigen::Vector2d p01 = designed(x - 0.5, y + 0.5), p11 = designed(x + 0.5, y + 0.5);
        const auto& sheet = sheets[b];
        if (!sheet.at(p00) && !sheet.at(p11) && !sheet.at(p10) && !sheet.at(p01)) continue;
        for (int j = 0; j < n; ++j)
          for (int i = 0; i < n; ++i) {
            const double u = (i + 0.5) / n, v = (j + 0.5) / n;
            const auto ink = sheet.at((1 - v) * ((1 - u) * p00 + u * p10) + v * ((1 - u) * p01 + u * p11));
            light += (!ink ? settings.ground : *ink ? settings.ink : settings.paper) / (n * n);
          }
        break;
      }
      picture.light.push_back(static_cast<float>(light));
    }
  blur(picture, settings.blur_px);
  if (settings.noise > 0.0) {
    std::mt19937 random(settings.seed);
    std::normal_distribution<double> noise(0.0, settings.noise);
    for (float& light : picture.light) light = static_cast<float>(static_cast<double>(light) + noise(random));
  }
  return picture;
}

/// A camera above a point of the face, looking down at it: tilted `tilt_rad` from the vertical towards
/// `bearing_rad`, then turned about its own axis.
inline View look_at(const Lens& lens, const Eigen::Vector2d& at_mm, double distance_mm, double tilt_rad,
                    double bearing_rad, double roll_rad) {
  View view;
  view.lens = lens;
  const Eigen::Vector3d back(std::sin(tilt_rad) * std::cos(bearing_rad),
                             std::sin(tilt_rad) * std::sin(bearing_rad), std::cos(tilt_rad));
  const Eigen::Vector3d z = -back;
  const Eigen::Vector3d across(-std::sin(bearing_rad), std::cos(bearing_rad), 0.0);
  const Eigen::Vector3d down(z.y() * across.z() - z.z() * across.y(), z.z() * across.x() - z.x() * across.z(),
                             z.x() * across.y() - z.y() * across.x());
  const double c = std::cos(roll_rad), s = std::sin(roll_rad);
  view.camera_from_world.row(0) = c * across + s * down;
  view.camera_from_world.row(1) = c * down - s * across;
  view.camera_from_world.row(2) = z;
  const Eigen::Vector3d eye = Eigen::Vector3d(at_mm.x(), at_mm.y(), 0.0) + distance_mm * back;
  view.origin_mm = -(view.camera_from_world * eye);
  return view;
}

}  // namespace fairhole::photo::test
