// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "pairs.h"

#include <fmt/format.h>

#include <cmath>
#include <optional>
#include <utility>
#include <vector>

#include "fairhole/base/length.h"
#include "fairhole/job/load.h"

namespace fairhole::job {
namespace {

struct Common {
  HoleId id;
  Eigen::Vector2d a_mm, b_mm;
};

std::vector<Common> common_holes(const Job& job, const PlatesTogether& pair) {
  std::vector<Common> common;
  for (const HoleGroup& ga : job.groups) {
    for (const HoleGroup& gb : job.groups) {
      if (ga.on != pair.a || gb.on != pair.b) continue;
      for (const NominalHole& a : ga.holes) {
        for (const NominalHole& b : gb.holes) {
          if (a.id == b.id) common.push_back({a.id, a.centre_mm, b.centre_mm});
        }
      }
    }
  }
  return common;
}

/// The motion that carries the first hole and the direction to the one farthest from it.
Motion motion_by(const std::vector<Common>& holes, bool mirrored) {
  const Common* far = &holes.front();
  for (const Common& hole : holes) {
    if ((hole.a_mm - holes.front().a_mm).norm() > (far->a_mm - holes.front().a_mm).norm()) far = &hole;
  }
  const Eigen::Vector2d u = far->a_mm - holes.front().a_mm;
  const Eigen::Vector2d v = far->b_mm - holes.front().b_mm;
  Motion motion;
  motion.mirrored = mirrored;
  motion.turn = Angle::radians(std::atan2(v.y(), v.x()) - std::atan2(mirrored ? -u.y() : u.y(), u.x()));
  motion.shift_mm = holes.front().b_mm - motion.linear() * holes.front().a_mm;
  return motion;
}

double worst_mm(const std::vector<Common>& holes, const Motion& motion, HoleId& at) {
  double worst = 0.0;
  for (const Common& hole : holes) {
    const double off = (motion * hole.a_mm - hole.b_mm).norm();
    if (off > worst) worst = off, at = hole.id;
  }
  return worst;
}

}  // namespace

PlatesTogether read_pair(Node node) {
  PlatesTogether pair;
  const std::vector<std::string> plates = node.texts("plates", true);
  if (node.has("plates") && plates.size() != 2) {
    node.problem(codes::kJobPair, fmt::format("{} plates where two must stand", plates.size()),
                 "name the two plates: [\"left-toe\", \"right-toe\"]");
  } else if (plates.size() == 2) {
    pair.a = plates[0], pair.b = plates[1];
  }
  pair.together = node.word("drilled", {"together", "apart"}) != "apart";
  node.done();
  return pair;
}

Problems relate_pairs(Job& job) {
  constexpr double kSameMm = 0.05;  // half of what a drawing is dimensioned to
  Problems problems;
  for (std::size_t i = 0; i < job.pairs.size(); ++i) {
    PlatesTogether& pair = job.pairs[i];
    const std::string where = fmt::format("{}: pairs[{}].plates", job.file, i);
    const Plate* a = job.plate(pair.a);
    const Plate* b = job.plate(pair.b);
    if (a == nullptr || b == nullptr || a == b) {
      problems.push_back({codes::kJobPair, where,
                          fmt::format("\"{}\" and \"{}\" are not two plates of this job", pair.a, pair.b),
                          "name two of the job's plates"});
      continue;
    }
    const std::vector<Common> common = common_holes(job, pair);
    if (common.size() < 2) {
      problems.push_back({codes::kJobPair, where,
                          fmt::format("{} and {} have {} holes of one name", pair.a, pair.b, common.size()),
                          "plates drilled together share at least two hole ids"});
      continue;
    }
    const bool mirrored = a->hand != b->hand;
    pair.b_from_a = motion_by(common, mirrored);
    HoleId at;
    const double off = worst_mm(common, pair.b_from_a, at);
    if (off <= kSameMm) continue;
    problems.push_back(
        {codes::kJobPair, where,
         fmt::format("clamped together{}, hole {} of {} and {} would lie {} mm apart on the drawing",
                     mirrored ? ", one mirrored" : "", at, pair.a, pair.b, format_mm(off)),
         "give holes that lie on each other one id, and others another; plates of opposite hands say LEFT "
         "and RIGHT"});
  }
  return problems;
}

}  // namespace fairhole::job
