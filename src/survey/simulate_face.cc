// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "model.h"
#include "simulated_face.h"

namespace fairhole::test {
namespace {

constexpr double kTapeSigmaMm = 0.29;  // read to half a millimetre, centred to 0.25 mm
constexpr double kCaliperSigmaMm = 0.1;

std::string id_of(int hole) { return fmt::format("H{}", hole + 1); }
int pick(std::mt19937_64& random, int count) { return static_cast<int>(uniform(random) * count); }

ReadingKind one_of(std::mt19937_64& random, std::initializer_list<ReadingKind> kinds) {
  return *(kinds.begin() + pick(random, static_cast<int>(kinds.size())));
}

void add(SimulatedFace& f, ReadingKind kind, int from, int to = -1,
         std::optional<double> direction = std::nullopt) {
  Reading r;
  r.row = static_cast<int>(f.readings.rows.size()) + 1;
  r.line = r.row + 1;
  r.kind = kind;
  r.from = id_of(from);
  if (to >= 0) r.to = id_of(to);
  r.direction_rad = direction;
  r.sigma_mm = kind == ReadingKind::kDia ? kCaliperSigmaMm : kTapeSigmaMm;
  if (kind == ReadingKind::kRun) r.set_up = "A";
  if (kind == ReadingKind::kRunAcross) r.set_up = "B";
  if (kind != ReadingKind::kDia) r.tape = 0;
  f.readings.rows.push_back(std::move(r));
}

int grid_columns(int holes) { return static_cast<int>(std::ceil(std::sqrt(2.25 * holes))); }

/// Places on a rough grid, so that no two holes are close; sizes about 22 mm, ovals from their prior.
void draw_holes(SimulatedFace& f, std::mt19937_64& random) {
  const int columns = grid_columns(f.holes);
  const int rows = (f.holes + columns - 1) / columns;
  f.truth[f.common()] = 22.0;
  for (int h = 0; h < f.holes; ++h) {
    const double cell_x = 860.0 / columns;
    const double cell_y = 380.0 / rows;
    f.truth[2 * h] = 20.0 + cell_x * (h % columns + 0.3 + 0.4 * uniform(random));
    f.truth[2 * h + 1] =
        20.0 + cell_y * (std::floor(h / static_cast<double>(columns)) + 0.3 + 0.4 * uniform(random));
    const double spread = f.sized(h) ? 0.5 : survey_detail::kCommonDiameterSigmaMm;
    f.truth[f.d(h)] = f.truth[f.common()] + spread * normal(random);
    if (!f.oval(h)) continue;
    f.truth[f.d(h) + 1] = survey_detail::kOvalSigmaMm * normal(random);
    f.truth[f.d(h) + 2] = survey_detail::kOvalSigmaMm * normal(random);
  }
}

/// Another hole: any, or one beside `h` on the rough grid.
int partner_of(const SimulatedFace& f, int h, std::mt19937_64& random, bool neighbours) {
  int other = pick(random, f.holes);
  if (neighbours) {
    const int columns = grid_columns(f.holes);
    const int steps[] = {1, -1, columns, -columns, columns + 1, columns - 1};
    other = h + steps[pick(random, 6)];
    if (other < 0 || other >= f.holes) other = h == 0 ? 1 : h - 1;
  }
  return other == h ? (h + 1) % f.holes : other;
}

void add_hole_readings(SimulatedFace& f, std::mt19937_64& random, int per_hole, bool neighbours) {
  using K = ReadingKind;
  for (int h = 0; h < f.holes; ++h) {
    // The first two holes carry the running set-ups' zeros.
    add(f, h < 2 ? K::kAlong : one_of(random, {K::kAlong, K::kAlong, K::kAlongNear, K::kAlongFar, K::kRun}),
        h);
    add(f,
        h < 2 ? K::kAcross
              : one_of(random, {K::kAcross, K::kAcross, K::kAcrossNear, K::kAcrossFar, K::kRunAcross}),
        h);
    if (h < 2) {
      add(f, K::kRun, h);
      add(f, K::kRunAcross, h);
    }
    if (f.sized(h)) add(f, K::kDia, h, -1, f.oval(h) ? std::optional(0.0) : std::nullopt);
    if (f.oval(h)) add(f, K::kDia, h, -1, std::numbers::pi / 2.0);
    for (int k = 0; k < per_hole - 3; ++k) {
      const int other = partner_of(f, h, random, neighbours);
      const K kind = one_of(random, {K::kCentres, K::kCentres, K::kCentres, K::kNearEdges, K::kFarEdges,
                                     K::kSameEdges, K::kOffLine});
      add(f, kind, h, other);
      if (kind != K::kOffLine) continue;
      // A line between two other holes, well apart.
      const int a = (h + 1) % f.holes;
      const int b = neighbours ? (h + 3) % f.holes : (h + f.holes / 2 + 1) % f.holes;
      Reading& r = f.readings.rows.back();
      if (a == b || a == h || b == h) {
        r.kind = K::kCentres;
      } else {
        r.to = id_of(a);
        r.line_end = id_of(b);
      }
    }
  }
}

}  // namespace

SimulatedFace simulate_face(std::mt19937_64& random, int holes, int per_hole, bool neighbours) {
  SimulatedFace f;
  f.holes = holes;
  f.truth = Eigen::VectorXd::Zero(5 * holes + 7);
  for (int h = 0; h < holes; ++h) {
    const double luck = uniform(random);
    f.sized_.push_back(luck < 0.8);
    f.oval_.push_back(luck < 0.3);
  }
  f.readings.source = "simulated.csv";
  f.readings.tapes.push_back({"tape 1", "II", *tape_class("II")});
  f.readings.corner = CornerPrior{0.0, 0.2 * std::numbers::pi / 180.0};
  f.readings.tape_sigma_mm = kTapeSigmaMm;
  draw_holes(f, random);
  f.draw_tape(random);
  f.truth[f.run_zero(false)] = 100.0 * normal(random);
  f.truth[f.run_zero(true)] = 100.0 * normal(random);
  add_hole_readings(f, random, per_hole, neighbours);
  f.measure_again(random);
  return f;
}

}  // namespace fairhole::test
