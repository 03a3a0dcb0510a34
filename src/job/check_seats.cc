// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "fairhole/job/run.h"
#include "join_stage.h"
#include "outline.h"

namespace fairhole::job {
namespace {

constexpr double kLeastShareOver = 0.5;   // a foot may overhang its plate, not lie beside it
constexpr double kLeastShareTied = 0.05;  // a strap across a joint line lies on two plates
constexpr double kLeastHolesOn =
    0.5;  // one hole may be drawn wrong; most of them on the face or the seat is wrong
constexpr double kOffFaceMm = 5.0;  // worn and pressed parts: an edge is good to this

Outline posed(const Outline& outline_mm, const Motion& motion) {
  Outline moved;
  for (const Eigen::Vector2d& corner : outline_mm) moved.push_back(motion * corner);
  return moved;
}

struct Fit {
  double least_over = kLeastShareOver;
  double over = 0.0;      ///< share of the face over its carrier
  double holes_on = 0.0;  ///< share of the drawing's holes on the face
  bool good() const { return over >= least_over && holes_on >= kLeastHolesOn; }
};

Fit fit(const Face& face, const Outline& carrier_mm, const Pattern& holes, const Motion& seat, bool tied) {
  const Outline outline_mm = posed(face.outline_mm, seat);
  const auto on = std::count_if(holes.begin(), holes.end(), [&](const NominalHole& hole) {
    return inside(outline_mm, hole.centre_mm, kOffFaceMm);
  });
  return {tied ? kLeastShareTied : kLeastShareOver, share_over(outline_mm, carrier_mm),
          holes.empty() ? 1.0 : static_cast<double>(on) / static_cast<double>(holes.size())};
}

/// The same face also lies on another carrier: a strap across the joint line.
bool lies_on_two(const Job& job, const Joint& joint) {
  return std::any_of(job.joints.begin(), job.joints.end(), [&](const Joint& other) {
    return other.part == joint.part && other.face == joint.face && other.on != joint.on &&
           !other.groups.empty();
  });
}

std::string remedy(const Joint& joint, const Face& face, bool other_hand_fits) {
  if (!other_hand_fits)
    return "look at the seat: x and y of the face's datum corner, and where its x axis points";
  return fmt::format(
      "it would lie right if \"side\" were \"{}\", or if the face had been measured from its {} side",
      joint.on_marked_face ? "other" : "marked", face.measured_from == Surface::kFaying ? "outer" : "faying");
}

}  // namespace

Pattern joint_pattern(const Job& job, const std::vector<std::string>& groups) {
  Pattern pattern;
  for (const std::string& name : groups) {
    const HoleGroup* group = job.group(name);
    pattern.insert(pattern.end(), group->holes.begin(), group->holes.end());
  }
  return pattern;
}

Problems check_seats(const Job& job) {
  Problems problems;
  for (std::size_t i = 0; i < job.joints.size(); ++i) {
    const Joint& joint = job.joints[i];
    if (joint.groups.empty()) continue;  // an old plate that stays lies beside the new one
    const Face& face = *job.face(joint.part, joint.face);
    const Plate* plate = job.plate(joint.on);
    const Outline& carrier_mm =
        plate != nullptr ? plate->outline_mm : job.carrying_face(joint.on)->outline_mm;
    Pattern holes = joint_pattern(job, joint.groups);
    std::erase_if(holes, [&](const NominalHole& hole) {
      return std::find(joint.blank.begin(), joint.blank.end(), hole.id) != joint.blank.end();
    });
    const bool tied = lies_on_two(job, joint);
    const Fit stated = fit(face, carrier_mm, holes, joint.seat.motion, tied);
    if (stated.good()) continue;
    Motion other = joint.seat.motion;
    other.mirrored = !other.mirrored;
    const std::string hint = remedy(joint, face, fit(face, carrier_mm, holes, other, tied).good());
    const std::string where = fmt::format("{}: joints[{}] \"{}\"", job.file, i, joint.name);
    if (stated.over < stated.least_over) {
      problems.push_back(
          {codes::kSeatInAir, where,
           fmt::format("the part would hang in the air: {:.0f} % of face \"{}\" lies over \"{}\"",
                       100.0 * stated.over, joint.face, joint.on),
           hint});
    } else {
      problems.push_back({codes::kHolesOffFace, where,
                          fmt::format("{:.0f} of {} holes of the drawing lie on face \"{}\" at its seat",
                                      std::round(stated.holes_on * static_cast<double>(holes.size())),
                                      holes.size(), joint.face),
                          hint});
    }
  }
  return problems;
}

std::vector<OldLayer::Bound> face_bounds(const Face& face) {
  std::vector<OldLayer::Bound> bounds;
  const Outline& outline_mm = face.outline_mm;
  for (std::size_t i = 0; i < outline_mm.size(); ++i) {
    if (!face.free_edges[i]) continue;
    const Eigen::Vector2d& a = outline_mm[i];
    const Eigen::Vector2d along = (outline_mm[(i + 1) % outline_mm.size()] - a).normalized();
    const Eigen::Vector2d inward(-along.y(), along.x());
    constexpr double kRoundingMm = 1e-6;
    const bool outer_edge = std::all_of(outline_mm.begin(), outline_mm.end(), [&](const Eigen::Vector2d& p) {
      return inward.dot(p - a) >= -kRoundingMm;
    });
    if (outer_edge) bounds.push_back({inward, inward.dot(a), false, face.edge_names[i]});
  }
  double far_mm = 0.0;
  for (const Eigen::Vector2d& p : outline_mm) far_mm = std::max(far_mm, p.y());
  if (face.heel_fillet_mm > 0.0) {
    // The other leg, as thick as this one, stands on the heel; the fillet begins at its face.
    bounds.push_back(
        {Eigen::Vector2d::UnitY(), face.thickness_mm + face.heel_fillet_mm, true, "heel fillet"});
  }
  if (face.toe_radius_mm > 0.0) {
    bounds.push_back({-Eigen::Vector2d::UnitY(), face.toe_radius_mm - far_mm, true, "toe radius"});
  }
  return bounds;
}

}  // namespace fairhole::job
