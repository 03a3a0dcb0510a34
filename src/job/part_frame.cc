// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "part_frame.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include "photo_edges.h"

namespace fairhole::job {
namespace {

constexpr double kSquare = 0.98;  // sine of the angle between the edges: within 11 degrees of square
constexpr double kAnywhereMm = 1000.0, kAnyTurn = 1.0;  // the edges alone give the frame

/// Holes in the order of x, then y, named anew; `covariance` in the old order.
void put_back(photo::PhotoReading& reading, const Motion& frame_from_world,
              const Eigen::MatrixXd& covariance) {
  for (photo::PhotoHole& hole : reading.holes) {
    hole.centre_mm = frame_from_world * hole.centre_mm;
    hole.oval_axis_rad += frame_from_world.turn.radians();
  }
  std::vector<std::size_t> order(reading.holes.size());
  std::iota(order.begin(), order.end(), 0U);
  std::ranges::sort(order, {}, [&](std::size_t i) {
    return std::pair(reading.holes[i].centre_mm.x(), reading.holes[i].centre_mm.y());
  });
  std::vector<Eigen::Index> rows;
  std::vector<photo::PhotoHole> holes;
  std::vector<photo::PlacedHole> placed;
  for (const std::size_t i : order) {
    rows.insert(rows.end(), {2 * static_cast<Eigen::Index>(i), 2 * static_cast<Eigen::Index>(i) + 1});
    holes.push_back(reading.holes[i]);
    holes.back().id = fmt::format("H{}", holes.size());
    placed.push_back(reading.adjusted.holes[i]);
    placed.back().centre_mm = holes.back().centre_mm;
  }
  reading.adjusted.covariance_mm2 = covariance(rows, rows);
  reading.adjusted.holes = std::move(placed);
  reading.adjusted.frame = kPartFrame;
  reading.holes = std::move(holes);
}

struct Corner {
  const photo::SeenPartEdge* along = nullptr;
  const photo::SeenPartEdge* end = nullptr;
};

std::optional<Corner> longest_corner(const std::vector<photo::SeenPartEdge>& edges) {
  std::optional<Corner> best;
  double longest = 0.0;
  for (const photo::SeenPartEdge& l : edges)
    for (const photo::SeenPartEdge& e : edges) {
      const Eigen::Vector2d u = l.edge.b_mm - l.edge.a_mm, v = e.edge.b_mm - e.edge.a_mm;
      const double sine = (u.x() * v.y() - u.y() * v.x()) / (u.norm() * v.norm());
      if (sine > -kSquare || u.norm() <= longest) continue;
      longest = u.norm();
      best = Corner{&l, &e};
    }
  return best;
}

}  // namespace

Result<PartFrame> frame_by_edges(PhotoFiles& files) {
  const std::vector<photo::SeenPartEdge> edges =
      photo::find_edges(files.pictures, files.boards, files.reading);
  const std::optional<Corner> corner = longest_corner(edges);
  if (!corner)
    return Problem{
        codes::kPhotoNoEdges, "--edges", "no two straight edges that meet square are seen about the holes",
        "photograph the part with its datum corner, on a ground of another colour; or name two holes: "
        "--datum H1,H5"};
  PartFrame frame;
  frame.edges = corner_ties(corner->along->edge, corner->end->edge);
  LooseFace loose;
  for (const photo::PhotoHole& hole : files.reading.holes) {
    MeasuredHole measured;
    measured.id = hole.id;
    measured.centre_mm = hole.centre_mm;
    if (hole.sized()) measured.diameter_mm = hole.bore_diameter_mm;
    loose.measured.holes.push_back(measured);
  }
  loose.measured.covariance_mm2 = files.reading.adjusted.covariance_mm2;
  const Eigen::Vector2d u = corner->along->edge.b_mm - corner->along->edge.a_mm;
  loose.face_from_loose.turn = Angle::radians(-std::atan2(u.y(), u.x()));
  loose.face_from_loose.shift_mm =
      -(loose.face_from_loose.linear() * (0.5 * (frame.edges[1].a_mm + frame.edges[1].b_mm)));
  loose.shift_sigma_mm = kAnywhereMm;
  loose.turn_sigma_rad = kAnyTurn;
  loose.edges = frame.edges;
  const Result<FusedFace> fused = fuse({}, loose);
  if (!fused) return fused.problems();
  frame.frame_from_world = fused->face_from_loose;
  // The fused face has its own order: back to that of the reading.
  std::vector<Eigen::Index> rows;
  for (const photo::PhotoHole& hole : files.reading.holes) {
    const auto at =
        std::ranges::find_if(fused->same, [&](const auto& pair) { return pair.second == hole.id; });
    const auto row = 2 * static_cast<Eigen::Index>(at - fused->same.begin());
    rows.insert(rows.end(), {row, row + 1});
  }
  put_back(files.reading, frame.frame_from_world, fused->face.covariance_mm2(rows, rows));
  frame.words.push_back(fmt::format(
      "x runs along the straight edge {:.0f} mm of which are seen in {}; the origin is where another meets "
      "it at its "
      "left end. An edge that lies lower than the face comes out displaced: look at the picture (--picture).",
      u.norm(), files.pictures[static_cast<std::size_t>(corner->along->photo)].name));
  for (const auto& [name, edge] : {std::pair("long edge", corner->along), std::pair("end edge", corner->end)})
    if (std::string words = bow_words(name, edge->edge); !words.empty())
      frame.words.push_back(std::move(words));
  return frame;
}

Result<PartFrame> frame_by_holes(PhotoFiles& files, const HoleId& origin, const HoleId& along) {
  const auto index = [&](const HoleId& id) -> std::optional<Eigen::Index> {
    const auto found = std::ranges::find(files.reading.holes, id, &photo::PhotoHole::id);
    if (found == files.reading.holes.end()) return std::nullopt;
    return found - files.reading.holes.begin();
  };
  const auto first = index(origin), second = index(along);
  if (!first || !second || *first == *second)
    return Problem{codes::kPhotoDatum, "--datum",
                   !first    ? fmt::format("no hole {} is seen", origin)
                   : !second ? fmt::format("no hole {} is seen", along)
                             : "one hole gives no direction",
                   "name two holes as they are listed without this option: --datum H1,H5"};
  const auto place = [&](Eigen::Index i) {
    return files.reading.holes[static_cast<std::size_t>(i)].centre_mm;
  };
  const Eigen::Vector2d d = place(*second) - place(*first);
  PartFrame frame;
  frame.frame_from_world.turn = Angle::radians(-std::atan2(d.y(), d.x()));
  frame.frame_from_world.shift_mm = -(frame.frame_from_world.linear() * place(*first));
  const Eigen::Index n = 2 * static_cast<Eigen::Index>(files.reading.holes.size());
  const Eigen::Matrix2d turn = frame.frame_from_world.linear();
  Eigen::MatrixXd slope = Eigen::MatrixXd::Zero(n, n);
  const Eigen::RowVector2d across(-d.y() / d.squaredNorm(),
                                  d.x() / d.squaredNorm());  // of the direction, by d
  for (Eigen::Index i = 0; i < n / 2; ++i) {
    const Eigen::Vector2d q = frame.frame_from_world * place(i);
    const Eigen::Matrix2d swing = Eigen::Vector2d(q.y(), -q.x()) * across;
    slope.block<2, 2>(2 * i, 2 * i) += turn;
    slope.block<2, 2>(2 * i, 2 * *first) -= turn + swing;
    slope.block<2, 2>(2 * i, 2 * *second) += swing;
  }
  put_back(files.reading, frame.frame_from_world,
           slope * files.reading.adjusted.covariance_mm2 * slope.transpose());
  frame.words.push_back(
      fmt::format("The origin is hole {} as listed before, x runs to hole {}.", origin, along));
  return frame;
}

}  // namespace fairhole::job
