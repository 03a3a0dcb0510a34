// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "face_relation.h"

#include <algorithm>

namespace fairhole::job {
namespace {

/// Both outlines lie over each other. Each frame is right-handed seen looking at its own measured side: two
/// faces that are both looked at from outside see each other mirrored.
Motion opposite_frame(const Part& part, const Face& face) {
  const auto other = std::find_if(part.faces.begin(), part.faces.end(),
                                  [&](const Face& f) { return f.name == face.opposite->face; });
  Eigen::Vector2d size = Eigen::Vector2d::Zero();
  for (const Eigen::Vector2d& corner : face.outline_mm) size = size.cwiseMax(corner);
  const bool mirrored = other->measured_from == face.measured_from;
  const bool same_way = face.opposite->same_way;
  Motion motion;
  motion.mirrored = mirrored;
  motion.turn = Angle::degrees(same_way ? 0.0 : 180.0);
  const bool y_reversed = mirrored == same_way;
  motion.shift_mm = {same_way ? 0.0 : size.x(), y_reversed ? size.y() : 0.0};
  return motion;
}

}  // namespace

std::optional<Motion> face_from_face(const Part& part, const std::string& to, const std::string& from) {
  if (to == from) return Motion{};
  for (const Face& face : part.faces) {
    if (!face.opposite) continue;
    if (face.name == to && face.opposite->face == from) return opposite_frame(part, face);
    if (face.name == from && face.opposite->face == to) return opposite_frame(part, face).inverse();
  }
  return std::nullopt;
}

}  // namespace fairhole::job
