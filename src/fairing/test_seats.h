// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <random>
#include <vector>

#include "fairhole/fairing/joint_seats.h"

/// Invented cases of parts with play, for tests and benchmarks.
namespace fairhole::test {

inline SeatPlay even_play(double dx_mm, double dy_mm, double turn_deg) {
  const double turn = turn_deg * M_PI / 180.0;
  return {{-dx_mm, dx_mm}, {-dy_mm, dy_mm}, {-turn, turn}};
}

inline double uniform(std::mt19937_64& random, double least, double most) {
  return least + (most - least) * static_cast<double>(random() >> 11) * 0x1p-53;
}

inline Eigen::Vector2d scatter(std::mt19937_64& random, double sigma_mm) {
  Eigen::Vector2d sum = Eigen::Vector2d::Zero();  // of twelve: nearly normal
  for (int i = 0; i < 12; ++i) sum += Eigen::Vector2d{uniform(random, -0.5, 0.5), uniform(random, -0.5, 0.5)};
  return sigma_mm * sum;
}

/// Holes of a part that belongs at `pivot`: each stack's place, moved off by what the part is off, and
/// scattered.
class CaseMaker {
 public:
  explicit CaseMaker(std::uint64_t seed) : random_(seed) {}
  std::mt19937_64& random() { return random_; }

  int part(const SeatPlay& play, const Eigen::Vector2d& pivot_mm) {
    made_.parts.push_back(play);
    pivots_.push_back(pivot_mm);
    off_.push_back({uniform(random_, play.dx_mm.least, play.dx_mm.most),
                    uniform(random_, play.dy_mm.least, play.dy_mm.most),
                    uniform(random_, play.turn_rad.least, play.turn_rad.most)});
    return static_cast<int>(made_.parts.size()) - 1;
  }
  int stack() { return made_.stacks++; }
  void hole(int part, int stack, const Eigen::Vector2d& place_mm, double sigma_mm, double diameter_mm) {
    const auto p = static_cast<std::size_t>(part);
    const SeatMove& off = off_[p];
    const Eigen::Vector2d arm = place_mm - pivots_[p];
    const Eigen::Vector2d turned(arm.x() * std::cos(off.turn_rad) - arm.y() * std::sin(off.turn_rad),
                                 arm.x() * std::sin(off.turn_rad) + arm.y() * std::cos(off.turn_rad));
    const Eigen::Vector2d centre =
        pivots_[p] + turned + Eigen::Vector2d(off.dx_mm, off.dy_mm) + scatter(random_, sigma_mm);
    made_.discs.push_back(disc_on_part(part, stack, centre, diameter_mm / 2.0, pivots_[p]));
  }
  const JointCase& made() const { return made_; }

 private:
  std::mt19937_64 random_;
  JointCase made_;
  std::vector<Eigen::Vector2d> pivots_;
  std::vector<SeatMove> off_;
};

/// A frame of two plates (one stays, or both do), four angles and a beam. Each stack goes through two or
/// three of them; one in ten holes is an old mistake.
inline JointCase frame_case(std::uint64_t seed, int stacks, double sigma_mm = 0.3, bool right_stays = false) {
  CaseMaker maker(seed);
  const double length = 10.0 * stacks;
  const int left = maker.part({}, {length / 4.0, 150.0});
  const SeatPlay right_play = right_stays ? SeatPlay{} : even_play(1.0, 1.0, 0.1);
  const int right = maker.part(right_play, {3.0 * length / 4.0, 150.0});
  const int beam = maker.part(even_play(2.0, 2.0, 0.2), {length / 2.0, 150.0});
  std::vector<int> angles;
  for (const double y : {20.0, 280.0}) {
    for (const double x : {length / 4.0, 3.0 * length / 4.0})
      angles.push_back(maker.part(even_play(2.0, 1.5, 0.25), {x, y}));
  }
  for (int i = 0; i < stacks; ++i) {
    const bool high = i % 2 == 1;
    const double x = length * (i + 0.5) / stacks;
    const Eigen::Vector2d place(x, high ? 280.0 : 20.0);
    const int plate = 2 * x < length ? left : right;
    const int angle = angles[static_cast<std::size_t>((high ? 2 : 0) + (plate == left ? 0 : 1))];
    const int stack = maker.stack();
    const auto hole = [&](int part) {
      const bool mistake = uniform(maker.random(), 0.0, 1.0) < 0.1;
      maker.hole(part, stack, place, mistake ? 4.0 * sigma_mm : sigma_mm,
                 uniform(maker.random(), 10.0, 10.4));
    };
    hole(plate);
    hole(angle);
    if (i % 3 != 2) hole(beam);
  }
  return maker.made();
}

/// Plates in a row (the first stays), each with an angle below and above, neighbours joined by beams; `ring`:
/// the last is joined to the first too.
inline JointCase chain_case(std::uint64_t seed, int stacks, int plates, double sigma_mm, bool ring) {
  CaseMaker maker(seed);
  const double length = 10.0 * stacks;
  const double width = length / plates;
  std::vector<int> plate, angle, beam;
  for (int p = 0; p < plates; ++p) {
    const double middle = width * (p + 0.5);
    plate.push_back(maker.part(p == 0 ? SeatPlay{} : even_play(1.0, 1.0, 0.1), {middle, 150.0}));
    for (const double y : {20.0, 280.0}) angle.push_back(maker.part(even_play(2.0, 1.5, 0.25), {middle, y}));
  }
  for (int p = 0; p < plates; ++p)
    beam.push_back(maker.part(even_play(2.0, 2.0, 0.2), {width * (p + 1), 150.0}));
  for (int i = 0; i < stacks; ++i) {
    const double x = length * (i + 0.5) / stacks;
    const bool high = i % 2 == 1;
    const int p = static_cast<int>(x / width);
    const double within = x / width - p;
    const int stack = maker.stack();
    const auto hole = [&](int part) {
      const bool mistake = uniform(maker.random(), 0.0, 1.0) < 0.1;
      maker.hole(part, stack, {x, high ? 280.0 : 20.0}, mistake ? 4.0 * sigma_mm : sigma_mm,
                 uniform(maker.random(), 10.0, 10.4));
    };
    hole(plate[static_cast<std::size_t>(p)]);
    hole(angle[static_cast<std::size_t>(2 * p + (high ? 1 : 0))]);
    if (within > 0.6 && (p + 1 < plates || ring)) hole(beam[static_cast<std::size_t>(p)]);
    if (within < 0.4 && (p > 0 || ring)) hole(beam[static_cast<std::size_t>((p + plates - 1) % plates)]);
  }
  return maker.made();
}

inline std::vector<StackLevels> even_levels(int stacks, const std::vector<double>& limit_mm,
                                            const std::vector<double>& cost) {
  return std::vector<StackLevels>(static_cast<std::size_t>(stacks), {limit_mm, cost});
}

}  // namespace fairhole::test
