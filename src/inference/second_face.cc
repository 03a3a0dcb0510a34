// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "second_face.h"

#include <algorithm>
#include <cmath>

namespace fairhole::inference {
namespace {

using Eigen::Vector2d;

void mirror(FaceView& face, int axis) {
  for (Vector2d& p : face.holes_mm) p[axis] = -p[axis];
  for (Eigen::Index i = 0; i < face.covariance_mm2.rows(); ++i) {
    for (Eigen::Index j = 0; j < face.covariance_mm2.cols(); ++j) {
      if ((i % 2 == axis) != (j % 2 == axis)) face.covariance_mm2(i, j) = -face.covariance_mm2(i, j);
    }
  }
}

struct Home {
  SeenLine* line = nullptr;
  int k = 0;
  Vector2d place_mm = Vector2d::Zero();
};

/// The place of the structure nearest to a point; rows may be longer by one at either end.
Home nearest_place(Structure& structure, const Vector2d& p_mm, double within_mm) {
  Home home;
  for (SeenRows& rows : structure.rows) {
    const double u = p_mm[rows.along_y ? 1 : 0], v = p_mm[rows.along_y ? 0 : 1];
    for (SeenLine& line : rows.lines) {
      const int k = static_cast<int>(std::lround((u - rows.start_mm) / rows.pitch_mm - line.shift()));
      if (k < line.members.front().k - 1 || k > line.members.back().k + 1) continue;
      const double at = rows.start_mm + (k + line.shift()) * rows.pitch_mm;
      const double off_mm = std::hypot(u - at, v - line.gauge_mm);
      if (off_mm > within_mm) continue;
      within_mm = off_mm;
      home = {&line, k, rows.along_y ? Vector2d(line.gauge_mm, at) : Vector2d(at, line.gauge_mm)};
    }
  }
  return home;
}

/// Holes on places, for a shift along x and a turn.
struct Fit {
  double shift_mm = 0.0, turn_rad = 0.0;
  int on_places = 0;
  double squares = 0.0;
};

Vector2d laid(const Vector2d& p_mm, const Fit& fit) {
  return turned_back(p_mm, fit.turn_rad) + Vector2d(fit.shift_mm, 0.0);
}

Fit count(Structure& structure, const FaceView& face, Fit fit, double within_mm) {
  fit.on_places = 0;
  fit.squares = 0.0;
  for (const Vector2d& p : face.holes_mm) {
    const Vector2d q = laid(p, fit);
    const Home home = nearest_place(structure, q, within_mm);
    if (home.line == nullptr) continue;
    ++fit.on_places;
    fit.squares += (q - home.place_mm).squaredNorm();
  }
  return fit;
}

/// The second face's holes join the lines they lie on.
void join(Structure& structure, const FaceView& face, const Fit& fit, double within_mm) {
  std::vector<std::pair<SeenLine*, Member>> found;
  for (std::size_t i = 0; i < face.holes_mm.size(); ++i) {
    const Home home = nearest_place(structure, laid(face.holes_mm[i], fit), within_mm);
    if (home.line != nullptr) found.push_back({home.line, {static_cast<int>(i), home.k, false, 1}});
  }
  for (const auto& [line, member] : found) {
    line->members.push_back(member);
    std::stable_sort(line->members.begin(), line->members.end(),
                     [](const Member& a, const Member& b) { return a.k < b.k; });
  }
}

/// Turn by the lines' slopes, then shift along x where it is unknown; returns the turn's variance.
double settle(const Structure& seen, const FaceView& face, Fit& fit, double within_mm,
              double turn_sigma_rad) {
  Structure joined = seen;
  join(joined, face, fit, within_mm);
  const Slope slope = slope_of_lines(face.holes_mm, joined.rows, 1, seen.scatter_mm, turn_sigma_rad);
  fit.turn_rad = slope.turn_rad;
  if (!face.shifted_along_x) return slope.variance_rad2;
  double sum = 0.0, n = 0.0;
  for (const SeenRows& rows : joined.rows) {
    for (const SeenLine& line : rows.lines) {
      for (const Member& m : line.members) {
        if (m.face != 1) continue;
        const double at = rows.along_y ? line.gauge_mm : rows.start_mm + (m.k + line.shift()) * rows.pitch_mm;
        sum += at - laid(face.holes_mm[static_cast<std::size_t>(m.hole)], fit).x();
        n += 1.0;
      }
    }
  }
  if (n > 0.0) fit.shift_mm += sum / n;
  return slope.variance_rad2;
}

bool better(const Fit& a, const Fit& b) {
  return a.on_places != b.on_places ? a.on_places > b.on_places : a.squares < b.squares;
}

/// Every hole of the one on every hole of the other's first line is a shift to try.
Fit best_shift(Structure& structure, const FaceView& face, double within_mm) {
  Fit best;
  for (const SeenRows& rows : structure.rows) {
    for (const SeenLine& line : rows.lines) {
      const double at = rows.along_y
                            ? line.gauge_mm
                            : rows.start_mm + (line.members.front().k + line.shift()) * rows.pitch_mm;
      for (const Vector2d& p : face.holes_mm) {
        const Fit fit = count(structure, face, {at - p.x(), 0.0, 0, 0.0}, within_mm);
        if (better(fit, best)) best = fit;
      }
    }
  }
  return best;
}

/// What taking the turn off leaves of its uncertainty, over all holes.
void add_turn(FaceView& face, double variance_rad2) {
  const auto n = static_cast<Eigen::Index>(face.holes_mm.size());
  Eigen::VectorXd lever(2 * n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Vector2d& p = face.holes_mm[static_cast<std::size_t>(i)];
    lever.segment<2>(2 * i) << p.y(), -p.x();
  }
  face.covariance_mm2 += variance_rad2 * lever * lever.transpose();
}

}  // namespace

std::optional<FaceView> lay_second_face(Structure& structure, FaceView second, bool mirrored,
                                        double turn_sigma_rad) {
  const auto below = std::count_if(second.holes_mm.begin(), second.holes_mm.end(),
                                   [](const Vector2d& p) { return p.y() < 0.0; });
  const bool from_same_end = 2 * static_cast<std::size_t>(below) > second.holes_mm.size();
  if (mirrored) mirror(second, from_same_end ? 1 : 0);
  second.shifted_along_x = mirrored && !from_same_end;
  second.turn_unknown = false;

  const double wide_mm = 4.0 * kGateSigmas * structure.scatter_mm;
  Fit fit = second.shifted_along_x ? best_shift(structure, second, wide_mm) : Fit{};
  double variance_rad2 = 0.0;
  for (const double share : {1.0, 0.5, 0.5})
    variance_rad2 = settle(structure, second, fit, share * wide_mm, turn_sigma_rad);
  fit = count(structure, second, fit, 0.5 * wide_mm);
  if (fit.on_places < 3 || 2 * static_cast<std::size_t>(fit.on_places) < second.holes_mm.size())
    return std::nullopt;
  join(structure, second, fit, 0.5 * wide_mm);
  add_turn(second, variance_rad2);
  for (Vector2d& p : second.holes_mm) p = laid(p, fit);
  return second;
}

}  // namespace fairhole::inference
