// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>

#include "seat_movers.h"

namespace fairhole::job {

std::vector<std::string> loose_faces(const Job& job) {
  std::vector<std::string> warnings;
  for (const Part& part : job.parts) {
    if (part.kind == "angle") continue;
    std::vector<const Face*> jointed;
    for (const Face& face : part.faces) {
      const bool used = std::any_of(job.joints.begin(), job.joints.end(), [&](const Joint& joint) {
        return joint.part == part.id && joint.face == face.name;
      });
      if (used) jointed.push_back(&face);
    }
    const bool told = std::any_of(jointed.begin(), jointed.end(),
                                  [](const Face* face) { return face->opposite.has_value(); });
    if (jointed.size() < 2 || told) continue;
    warnings.push_back(
        fmt::format("{}: how its faces lie to each other is not said, so each is seated by itself; say "
                    "\"opposite\" of one of them.",
                    part.id));
  }
  return warnings;
}

}  // namespace fairhole::job
