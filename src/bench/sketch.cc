// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "answers.h"

namespace fairhole::bench {
namespace {

using job::Face;
using job::HoleGroup;
using job::Job;
using job::Joint;

Json point(const Eigen::Vector2d& p) { return {p.x(), p.y()}; }

template <class Move>
Json points(const std::vector<Eigen::Vector2d>& outline_mm, const Move& move) {
  Json all = Json::array();
  for (const Eigen::Vector2d& p : outline_mm) all.push_back(point(move * p));
  return all;
}

const Motion kStay;

/// The drawing's holes on a carrier.
Json holes_on(const Job& job, const std::string& carrier) {
  Json all = Json::array();
  for (const HoleGroup& group : job.groups) {
    if (group.on != carrier) continue;
    for (const NominalHole& hole : group.holes) {
      Json one = {
          {"id", hole.id}, {"group", group.name}, {"x", hole.centre_mm.x()}, {"y", hole.centre_mm.y()}};
      one["diameter"] = hole.diameter_mm ? Json(*hole.diameter_mm) : Json(nullptr);
      all.push_back(std::move(one));
    }
  }
  return all;
}

/// The faces on a carrier, each at its seat.
Json faces_on(const Job& job, const std::string& carrier) {
  Json all = Json::array();
  for (const Joint& joint : job.joints) {
    const Face* face = job.face(joint.part, joint.face);
    if (joint.on != carrier || face == nullptr) continue;
    const Motion& seat = joint.seat.motion;
    all.push_back({{"part", joint.part},
                   {"face", joint.face},
                   {"joint", joint.name},
                   {"side", joint.on_marked_face ? "marked" : "other"},
                   {"measured_from", face->measured_from == Surface::kOuter ? "outer" : "faying"},
                   {"seen_from_behind", seat.mirrored},
                   {"outline", points(face->outline_mm, seat)},
                   {"datum_corner", point(seat * Eigen::Vector2d(0.0, 0.0))},
                   {"along", point(seat.linear() * Eigen::Vector2d(1.0, 0.0))}});
  }
  return all;
}

}  // namespace

Json sketch_json(const Job& job) {
  Json plates = Json::array();
  for (const job::Plate& plate : job.plates) {
    Json keep_outs = Json::array();
    for (const KeepOut& place : plate.keep_outs)
      keep_outs.push_back({{"name", place.name}, {"outline", points(place.outline_mm, kStay)}});
    plates.push_back({{"name", plate.name},
                      {"hand", plate.hand},
                      {"marked_face", plate.marked_face},
                      {"outline", points(plate.outline_mm, kStay)},
                      {"keep_outs", keep_outs},
                      {"holes", holes_on(job, plate.name)},
                      {"faces", faces_on(job, plate.name)}});
    plates.back()["joint_line"] =
        plate.joint_line_mm ? Json{point(plate.joint_line_mm->first), point(plate.joint_line_mm->second)}
                            : Json(nullptr);
  }
  Json faces = Json::array();
  for (const job::Part& part : job.parts) {
    for (const Face& face : part.faces) {
      faces.push_back({{"part", part.id},
                       {"face", face.name},
                       {"measured_from", face.measured_from == Surface::kOuter ? "outer" : "faying"},
                       {"readings", face.readings},
                       {"outline", points(face.outline_mm, kStay)},
                       {"holes", holes_on(job, part.id + "/" + face.name)},
                       {"faces", faces_on(job, part.id + "/" + face.name)}});
    }
  }
  return {{"plates", plates}, {"faces", faces}};
}

}  // namespace fairhole::bench
