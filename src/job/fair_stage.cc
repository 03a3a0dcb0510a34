// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fair_stage.h"

#include <fmt/format.h>

#include <algorithm>

#include "check_contacts.h"
#include "fairhole/fairing/alternatives.h"
#include "fairhole/fairing/check_plan.h"
#include "fairhole/fairing/joint_fairing.h"
#include "fairhole/fairing/movers.h"
#include "seat_movers.h"

namespace fairhole::job {
namespace {

constexpr double kClosesMm = 0.5;  // less is within what a tape tells of a straightened part

const Joint* joint_named(const Job& job, const std::string& name) {
  const auto found =
      std::find_if(job.joints.begin(), job.joints.end(), [&](const Joint& j) { return j.name == name; });
  return found == job.joints.end() ? nullptr : &*found;
}

void note_layer(const Job& job, OldLayer& layer) {
  const Face* face = job.face(layer.part, layer.face);
  const auto note = face->holes.find(layer.hole);
  if (note == face->holes.end()) return;
  if (note->second.may_be_opened) layer.may_be_opened = *note->second.may_be_opened;
  if (note->second.largest_mm) layer.largest_mm = note->second.largest_mm;
}

bool has_no_play(const Play& play) {
  return play.along_min_mm == play.along_max_mm && play.across_min_mm == play.across_max_mm &&
         play.turn_min.radians() == play.turn_max.radians();
}

/// Welding will pull the new plate by `pull`, and the old plate's parts stay: a hole to meet theirs is
/// drilled short of where they stand by the pull, and the doubt of the pull is common to all of them.
void pull_layers(const Job& job, const Plate& plate, Assembly& assembly) {
  std::vector<Eigen::Index> tied;
  for (Stack& stack : assembly.stacks) {
    if (stack.plate != plate.name) continue;
    for (OldLayer& layer : stack.layers) {
      const Joint* joint = joint_named(job, layer.joint);
      if (joint == nullptr || !joint->tied_to_old_plate) continue;
      layer.centre_mm -= plate.pull->shift_mm;
      if (layer.covariance_index >= 0) tied.push_back(2 * static_cast<Eigen::Index>(layer.covariance_index));
    }
  }
  const Eigen::Matrix2d common = plate.pull->sigma_mm * plate.pull->sigma_mm * Eigen::Matrix2d::Identity();
  for (const Eigen::Index a : tied) {
    for (const Eigen::Index b : tied) assembly.covariance_mm2.block<2, 2>(a, b) += common;
  }
}

std::vector<PlatesTogether> plate_pairs(const Job& job, const Joined& joined) {
  std::vector<PlatesTogether> sound = job.pairs;
  std::erase_if(sound, [&](const PlatesTogether& pair) {
    return joined.spoiled.contains(pair.a) || joined.spoiled.contains(pair.b);
  });
  return sound;
}

std::vector<MovingTogether> moving_together(const Assembly& assembly) {
  std::vector<MovingTogether> together;
  for (const Mover& mover : assembly.movers) {
    if (mover.followers.size() < 2) continue;
    MovingTogether& each = together.emplace_back(MovingTogether{mover.name, {}});
    for (const Mover::Follower& follower : mover.followers) {
      const SeatedFace& seat = assembly.seats[follower.seat];
      each.places.push_back({seat.part, seat.plate});
    }
  }
  return together;
}

std::vector<MoverAt> movers_at(const Assembly& assembly) {
  const std::vector<SeatMove> moves = moves_to_seats(assembly);
  std::vector<MoverAt> movers;
  for (std::size_t k = 0; k < assembly.movers.size(); ++k) {
    MoverAt& each = movers.emplace_back(MoverAt{assembly.movers[k], moves[k], {}});
    for (Mover::Follower& follower : each.mover.followers) {
      each.joints.push_back(assembly.seats[follower.seat].joint);
      follower.seat = each.joints.size() - 1;
    }
  }
  return movers;
}

}  // namespace

std::vector<PlateShape> plate_shapes(const Job& job, const std::set<std::string>& spoiled) {
  std::vector<PlateShape> shapes;
  for (const Plate& plate : job.plates) {
    if (!spoiled.contains(plate.name)) {
      shapes.push_back({plate.name, plate.outline_mm, plate.keep_outs, plate.thickness_mm, true});
    }
  }
  for (const Part& part : job.parts) {
    for (const Face& face : part.faces) {
      const std::string name = part.id + "/" + face.name;
      const bool carries =
          std::any_of(job.groups.begin(), job.groups.end(), [&](const HoleGroup& g) { return g.on == name; });
      if (carries && !spoiled.contains(name))
        shapes.push_back({name, face.outline_mm, {}, face.thickness_mm, false});
    }
  }
  return shapes;
}

std::vector<Stack> empty_stacks(const Job& job, const std::set<std::string>& spoiled) {
  std::vector<Stack> stacks;
  for (const HoleGroup& group : job.groups) {
    if (spoiled.contains(group.on)) continue;
    const Plate* plate = job.plate(group.on);
    for (const NominalHole& hole : group.holes) {
      Stack stack;
      stack.id = hole.id;
      stack.plate = group.on;
      stack.group = group.name;
      stack.nominal_mm = hole.centre_mm;
      stack.nominal_diameter_mm = hole.diameter_mm;
      stack.fastener = job.fasteners.at(group.fastener);
      stack.plate_is_new = plate != nullptr;
      stack.plate_thickness_mm = plate != nullptr ? plate->thickness_mm : 0.0;
      stack.packing_mm = group.packing_mm;
      if (const auto decided = group.overrides.find(hole.id); decided != group.overrides.end()) {
        stack.pinned_finish_mm = decided->second.finish_mm;
        stack.pinned_method = decided->second.method;
      }
      stacks.push_back(std::move(stack));
    }
  }
  return stacks;
}

void apply_notes(const Job& job, Assembly& assembly) {
  for (Stack& stack : assembly.stacks) {
    for (OldLayer& layer : stack.layers) note_layer(job, layer);
  }
  for (SeatedFace& seat : assembly.seats) {
    const Joint* joint = joint_named(job, seat.joint);
    seat.stays = joint == nullptr || joint->tied_to_old_plate || (!joint->pinned && has_no_play(joint->play));
  }
  for (const Plate& plate : job.plates) {
    if (plate.joined_after_drilling && plate.pull) pull_layers(job, plate, assembly);
  }
}

Result<Assembly> job_assembly(const Job& job, const Joined& joined) {
  std::vector<JoinedFace> faces;
  for (const JoinedFace& face : joined.faces) {
    if (!joined.spoiled.contains(face.seated.plate)) faces.push_back(face);
  }
  Result<Assembly> assembly =
      assemble(plate_shapes(job, joined.spoiled), empty_stacks(job, joined.spoiled), faces, job.assembling);
  if (!assembly) return assembly;
  // A carrying old face is what the others are set to: it has no seat to set, and no error of setting.
  std::erase_if(assembly->seats, [](const SeatedFace& seat) { return seat.joint.empty(); });
  apply_notes(job, *assembly);
  assembly->movers = seat_movers(job, assembly->seats, job.contact_slack_mm);
  for (const PlatesTogether& pair : plate_pairs(job, joined)) {
    if (pair.together) assembly->pairs.push_back({pair.a, pair.b, pair.b_from_a});
  }
  return assembly;
}

Faired fair(const Job& job, const Joined& joined) {
  const Result<Assembly> assembly = job_assembly(job, joined);
  Faired faired;
  if (!assembly) {
    faired.problems = assembly.problems();
    return faired;
  }
  faired.warnings = loose_faces(job);
  faired.open_loops = closure_warnings(*assembly, kClosesMm);
  faired.together = moving_together(*assembly);
  JointFairing::Result fairing = JointFairing{job.rules}(*assembly);
  std::vector<PlatePair> pairs;
  for (const PlatesTogether& pair : plate_pairs(job, joined))
    pairs.push_back({pair.a, pair.b, pair.b_from_a});
  fairing.plan.alternatives = alternatives(*assembly, pairs, job.rules, fairing.plan);
  faired.assembly = std::move(fairing.assembly);
  faired.movers = movers_at(faired.assembly);
  faired.plan = std::move(fairing.plan);
  // The checker knows no solver: a plan it refuses must not be drilled, whatever its own words.
  faired.problems = check_plan(*assembly, faired.plan, job.rules);
  const Problems torn = check_contacts(job, faired.plan.seats, job.contact_slack_mm);
  faired.problems.insert(faired.problems.end(), torn.begin(), torn.end());
  return faired;
}

}  // namespace fairhole::job
