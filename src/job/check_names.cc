// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "check_names.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <functional>
#include <map>
#include <set>

#include "fairhole/job/load.h"
#include "node.h"
#include "outline.h"

namespace fairhole::job {
namespace {

/// Collects findings; places are spelled as in the job file.
class Checker {
 public:
  explicit Checker(const Job& job) : job_(job) {}

  Problems run() {
    unique_names();
    for (std::size_t i = 0; i < job_.groups.size(); ++i)
      group(job_.groups[i], fmt::format("hole_groups[{}]", i));
    for (std::size_t i = 0; i < job_.joints.size(); ++i) joint(job_.joints[i], fmt::format("joints[{}]", i));
    for (std::size_t i = 0; i < job_.parts.size(); ++i) {
      carried_pins(job_.parts[i], fmt::format("parts[{}]", i));
      legs(job_.parts[i], fmt::format("parts[{}]", i));
    }
    hole_ids();
    rings();
    ways_of_drilling();
    return problems_;
  }

 private:
  void add(Code code, const std::string& place, std::string what, std::string remedy) {
    problems_.push_back({code, fmt::format("{}: {}", job_.file, place), std::move(what), std::move(remedy)});
  }

  void once(std::set<std::string>& seen, const std::string& name, const std::string& place,
            const char* thing) {
    if (!seen.insert(name).second) {
      add(codes::kJobNameTwice, place, fmt::format("there are two {} named \"{}\"", thing, name),
          "give each its own name");
    }
  }

  void unique_names() {
    std::set<std::string> plates, parts, groups, joints;
    for (std::size_t i = 0; i < job_.plates.size(); ++i) {
      std::string name = job_.plates[i].name;  // files of "A" and "a" are one on some disks
      std::transform(name.begin(), name.end(), name.begin(), [](unsigned char c) { return std::tolower(c); });
      once(plates, name, fmt::format("plates[{}].name", i), "plates");
    }
    for (std::size_t i = 0; i < job_.parts.size(); ++i) {
      once(parts, job_.parts[i].id, fmt::format("parts[{}].id", i), "parts");
      std::set<std::string> faces;
      for (std::size_t k = 0; k < job_.parts[i].faces.size(); ++k) {
        once(faces, job_.parts[i].faces[k].name, fmt::format("parts[{}].faces[{}].name", i, k),
             "faces of one part");
      }
      opposite_faces(job_.parts[i], fmt::format("parts[{}]", i));
    }
    for (std::size_t i = 0; i < job_.groups.size(); ++i) {
      once(groups, job_.groups[i].name, fmt::format("hole_groups[{}].name", i), "hole groups");
    }
    for (std::size_t i = 0; i < job_.joints.size(); ++i) {
      once(joints, job_.joints[i].name, fmt::format("joints[{}].name", i), "joints");
    }
  }

  void unknown(const std::string& place, const char* thing, const std::string& name,
               const std::vector<std::string>& known) {
    const std::optional<std::string> near = nearest(name, known);
    add(codes::kJobNameUnknown, place, fmt::format("there is no {} \"{}\"", thing, name),
        near ? fmt::format("did you mean \"{}\"?", *near) : fmt::format("write {}", any_of(known)));
  }

  void opposite_faces(const Part& part, const std::string& place) {
    std::vector<std::string> known;
    for (const Face& face : part.faces) known.push_back(face.name);
    for (std::size_t k = 0; k < part.faces.size(); ++k) {
      const Face& face = part.faces[k];
      if (!face.opposite) continue;
      const std::string here = fmt::format("{}.faces[{}].opposite", place, k);
      if (std::find(known.begin(), known.end(), face.opposite->face) == known.end()) {
        unknown(here, "face of this part", face.opposite->face, known);
      } else if (face.opposite->face == face.name) {
        add(codes::kJobWord, here, fmt::format("\"{}\" is said to be opposite itself", face.name),
            "name the face on the other side of the part");
      }
    }
  }

  std::vector<std::string> carriers() const {
    std::vector<std::string> names;
    for (const Plate& plate : job_.plates) names.push_back(plate.name);
    for (const Part& part : job_.parts) {
      for (const Face& face : part.faces) names.push_back(fmt::format("{}/{}", part.id, face.name));
    }
    return names;
  }

  bool carrier(const std::string& on, const std::string& place) {
    if (job_.plate(on) != nullptr || job_.carrying_face(on) != nullptr) return true;
    unknown(place + ".on", "plate or part/face", on, carriers());
    return false;
  }

  void group(const HoleGroup& group, const std::string& place) {
    carrier(group.on, place);
    if (!job_.fasteners.contains(group.fastener)) {
      std::vector<std::string> names;
      for (const auto& [name, fastener] : job_.fasteners) names.push_back(name);
      unknown(place + ".fastener", "fastener", group.fastener, names);
    }
    const Plate* plate = job_.plate(group.on);
    if (plate == nullptr) return;
    for (const NominalHole& hole : group.holes) {
      if (inside(plate->outline_mm, hole.centre_mm)) continue;
      add(codes::kJobHoleOffPlate, place,
          fmt::format("hole {} at {}, {} mm lies off plate \"{}\"", hole.id, format_mm(hole.centre_mm.x()),
                      format_mm(hole.centre_mm.y()), plate->name),
          "look at the group's \"at\", its \"hand\" and the pattern");
    }
  }

  void joint(const Joint& joint, const std::string& place) {
    const Part* part = job_.part(joint.part);
    if (part == nullptr) {
      std::vector<std::string> ids;
      for (const Part& p : job_.parts) ids.push_back(p.id);
      unknown(place + ".part", "part", joint.part, ids);
    } else if (job_.face(joint.part, joint.face) == nullptr) {
      std::vector<std::string> names;
      for (const Face& f : part->faces) names.push_back(f.name);
      unknown(place + ".face", "face", joint.face, names);
    }
    const bool carried = carrier(joint.on, place);
    std::set<HoleId> holes;
    for (std::size_t i = 0; i < joint.groups.size(); ++i) {
      const HoleGroup* group = job_.group(joint.groups[i]);
      const std::string at = fmt::format("{}.groups[{}]", place, i);
      if (group == nullptr) {
        std::vector<std::string> names;
        for (const HoleGroup& g : job_.groups) names.push_back(g.name);
        unknown(at, "hole group", joint.groups[i], names);
      } else if (carried && group->on != joint.on) {
        add(codes::kJobGroupNotHere, at,
            fmt::format("hole group \"{}\" lies on \"{}\", the joint on \"{}\"", group->name, group->on,
                        joint.on),
            "name groups of the same plate or carrying face");
      } else {
        for (const NominalHole& hole : group->holes) holes.insert(hole.id);
      }
    }
    for (const HoleId& id : joint.blank) {
      if (!holes.contains(id)) {
        add(codes::kJobNameUnknown, place + ".blank",
            fmt::format("the joint's groups have no hole \"{}\"", id), "name holes of the joint's groups");
      }
    }
    pins(joint.pins, holes, joint.blank, place);
    pull(joint, place);
  }

  void pins(const std::vector<PinnedPair>& pins, const std::set<HoleId>& drawn,
            const std::vector<HoleId>& blank, const std::string& place) {
    std::map<HoleId, HoleId> drawn_of;
    for (const PinnedPair& pin : pins) {
      const std::string at = fmt::format("{}.pins[\"{}\"]", place, pin.nominal);
      if (!drawn.contains(pin.nominal)) {
        const std::optional<std::string> near = nearest(pin.nominal, {drawn.begin(), drawn.end()});
        add(codes::kJobNameUnknown, at, fmt::format("no hole group here has a hole \"{}\"", pin.nominal),
            near ? fmt::format("did you mean \"{}\"?", *near)
                 : "pin drawn holes to measured ones, each where its hole group is named");
      } else if (std::find(blank.begin(), blank.end(), pin.nominal) != blank.end()) {
        add(codes::kRegistrationPin, at, fmt::format("hole {} is said to be blank, too", pin.nominal),
            "take it out of \"blank\" or out of \"pins\"");
      }
      const auto [earlier, fresh] = drawn_of.emplace(pin.measured, pin.nominal);
      if (!fresh) {
        add(codes::kRegistrationPin, at,
            fmt::format("the measured hole {} is pinned to {} already", pin.measured, earlier->second),
            "pin each hole once");
      }
    }
  }

  /// Holes of the drawing that lie on an old face.
  void carried_pins(const Part& part, const std::string& place) {
    for (std::size_t k = 0; k < part.faces.size(); ++k) {
      std::set<HoleId> holes;
      for (const HoleGroup& group : job_.groups) {
        if (group.on != fmt::format("{}/{}", part.id, part.faces[k].name)) continue;
        for (const NominalHole& hole : group.holes) holes.insert(hole.id);
      }
      pins(part.faces[k].pins, holes, {}, fmt::format("{}.faces[{}]", place, k));
    }
  }

  void pull(const Joint& joint, const std::string& place) {
    const Plate* plate = job_.plate(joint.on);
    if (plate == nullptr || !joint.tied_to_old_plate || !plate->joined_after_drilling || plate->pull) return;
    add(codes::kJobNoPull, place,
        fmt::format("\"{}\" ties plate \"{}\" to the old plate, which is joined after drilling", joint.part,
                    plate->name),
        "drill these holes after joining (\"joined\": \"before drilling\"), or state the plate's \"pull\" "
        "with its sigma");
  }

  /// Seen from one side, and with y away from the heel, the x axes of an angle's two legs run opposite ways:
  /// the datum corners lie at opposite ends. Seen from different sides, at the same end.
  void legs(const Part& part, const std::string& place) {
    if (part.kind != "angle" || part.faces.size() != 2) return;
    const Face& a = part.faces[0];
    const Face& b = part.faces[1];
    if (a.datum_end.empty() || b.datum_end.empty()) return;
    const bool same_side = a.measured_from == b.measured_from;
    if (same_side != (a.datum_end == b.datum_end)) return;
    add(codes::kJobWord, place,
        fmt::format("both legs of \"{}\" were measured from {}, with the datum corners at {} of the angle",
                    part.id, same_side ? "the same side" : "different sides",
                    same_side ? "one end" : "opposite ends"),
        same_side
            ? "with x along the heel and y away from it, the legs start at opposite ends; correct "
              "\"datum_end\" or "
              "\"measured_from\""
            : "with x along the heel and y away from it, the legs start at one end; correct \"datum_end\" or "
              "\"measured_from\"");
  }

  void hole_ids() {
    std::map<std::string, std::map<HoleId, std::string>> owner;  // carrier -> id -> group
    for (std::size_t i = 0; i < job_.groups.size(); ++i) {
      for (const NominalHole& hole : job_.groups[i].holes) {
        const auto [found, fresh] = owner[job_.groups[i].on].emplace(hole.id, job_.groups[i].name);
        if (fresh) continue;
        add(codes::kJobNameTwice, fmt::format("hole_groups[{}]", i),
            fmt::format("hole {} stands on \"{}\" already, in group \"{}\"", hole.id, job_.groups[i].on,
                        found->second),
            "give the group a \"prefix\", or the pattern other ids");
      }
    }
    std::map<std::pair<std::string, std::string>, std::size_t> places;  // (face, carrier) -> joint
    for (std::size_t i = 0; i < job_.joints.size(); ++i) {
      const Joint& joint = job_.joints[i];
      const auto [found, fresh] = places.emplace(std::pair{joint.part + "/" + joint.face, joint.on}, i);
      if (fresh) continue;
      add(codes::kJobFaceTwice, fmt::format("joints[{}]", i),
          fmt::format("face \"{}\" lies on \"{}\" already, in joint \"{}\"", found->first.first, joint.on,
                      job_.joints[found->second].name),
          "list all groups in one joint");
    }
  }

  void rings() {
    std::map<std::string, std::vector<std::string>> carries;  // face -> what it lies on, if old faces
    for (const Joint& joint : job_.joints) {
      if (job_.carrying_face(joint.on) != nullptr) carries[joint.part + "/" + joint.face].push_back(joint.on);
    }
    std::set<std::string> done;
    const std::function<bool(const std::string&, std::vector<std::string>&)> walk =
        [&](const std::string& face, std::vector<std::string>& trail) {
          if (std::find(trail.begin(), trail.end(), face) != trail.end()) return true;
          if (!done.insert(face).second) return false;
          trail.push_back(face);
          const auto next = carries.find(face);
          const bool ring =
              next != carries.end() && std::any_of(next->second.begin(), next->second.end(),
                                                   [&](const std::string& on) { return walk(on, trail); });
          if (!ring) trail.pop_back();
          return ring;
        };
    for (const auto& [face, on] : carries) {
      std::vector<std::string> trail;
      if (!walk(face, trail)) continue;
      add(codes::kJobCarrierCycle, "joints",
          fmt::format("\"{}\" carries itself, through \"{}\"", face, trail.back()),
          "one of them must be the carrier, the others lie on it");
    }
  }

  void ways_of_drilling() {
    for (std::size_t i = 1; i < job_.plates.size(); ++i) {
      if (job_.plates[i].drilled == job_.plates[0].drilled) continue;
      add(codes::kJobWord, fmt::format("plates[{}].drilled", i),
          fmt::format("plate \"{}\" is drilled another way than \"{}\"", job_.plates[i].name,
                      job_.plates[0].name),
          "the plates of one job are drilled one way; make two jobs of it");
    }
  }

  const Job& job_;
  Problems problems_;
};

}  // namespace

Problems check_names(const Job& job) { return Checker(job).run(); }

}  // namespace fairhole::job
