// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <set>
#include <string>
#include <vector>

#include "fairhole/fairing/assemble.h"
#include "survey_stage.h"

/// The second stage of a run: every face registered to the drawing and seated.
namespace fairhole::job {

struct Joined {
  std::vector<JoinedFace> faces;        ///< carrying old faces first, then the joints as the job lists them
  std::vector<JointFindings> findings;  ///< one a face, same order
  Problems problems;
  std::set<std::string> spoiled;  ///< carriers with a face that could not be joined
  std::vector<std::string> warnings;
};

Joined join_faces(const Job& job, const Surveyed& surveyed);

/// Would every part lie where its seat says? Needs the drawing and the outlines alone, no reading. Problems:
/// kSeatInAir, kHolesOffFace.
Problems check_seats(const Job& job);

/// Edges, heel fillet and toe radius of a face as bounds of its holes, face frame. Only edges the whole face
/// lies on one side of: beside a re-entrant edge a half plane would forbid good metal.
std::vector<OldLayer::Bound> face_bounds(const Face& face);

/// The nominal holes of a joint's groups, carrier frame.
Pattern joint_pattern(const Job& job, const std::vector<std::string>& groups);

}  // namespace fairhole::job
