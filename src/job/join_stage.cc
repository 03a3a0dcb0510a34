// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "join_stage.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include "fairhole/base/odds_words.h"
#include "fairhole/registration/hidden_slips.h"
#include "outline.h"

namespace fairhole::job {
namespace {

// What the drawing, a bent part and a worn datum edge leave open about a seat besides its play, 1 sigma.
constexpr double kSeatDoubtMm = 2.5;
constexpr double kSeatDoubtRad = 0.01;
constexpr double kSlipToTell = 0.1, kLikelySlip = 0.5;
constexpr double kStepMm = 0.5;  // less than this the bolts pull together

/// The seat with its play, the hand, which the job states, and the holes somebody recognised.
RegistrationKnown known_of(const PlateFromFace& nominal, const Play& play,
                           const std::vector<PinnedPair>& pins) {
  const double half_mm =
      std::max({-play.along_min_mm, play.along_max_mm, -play.across_min_mm, play.across_max_mm, 0.0});
  const double half_rad = std::max({-play.turn_min.radians(), play.turn_max.radians(), 0.0});
  // Anywhere within the play is as likely: an even spread of +- h has a sigma of h / sqrt 3.
  const double shift_sigma_mm = std::hypot(half_mm / std::sqrt(3.0), kSeatDoubtMm);
  PosePrior prior;
  prior.pose = FaceFromPattern{nominal.motion.inverse()};  // the pattern stands in the carrier's frame
  prior.sigma = {shift_sigma_mm, shift_sigma_mm, std::hypot(half_rad / std::sqrt(3.0), kSeatDoubtRad)};
  prior.turn_about_mm = nominal.motion.shift_mm;
  return {prior, prior.pose.motion.mirrored, pins};
}

/// What joining one face to one carrier needs, from a joint or from a carrying face itself.
struct Wanted {
  FacePlace place;
  const Face* face = nullptr;
  std::vector<std::string> groups;
  std::vector<HoleId> blank;
  std::vector<PinnedPair> pins;
  PlateFromFace nominal;
  Play play;
  bool on_marked_face = true;
  bool tied_to_old_plate = false;
};

class Joiner {
 public:
  Joiner(const Job& job, const Surveyed& surveyed) : job_(job), surveyed_(surveyed) {}

  Joined run() {
    for (const Wanted& wanted : carriers()) join(wanted);
    for (const bool on_old_face : {true, false}) {
      for (const Joint& joint : job_.joints) {
        if ((job_.carrying_face(joint.on) != nullptr) == on_old_face) join(wanted_by(joint));
      }
    }
    remark_extra();
    for (const Joint& joint : job_.joints) warn_step(joint);
    return std::move(joined_);
  }

 private:
  /// Old faces that carry hole groups: a layer of their own, standing where they are.
  std::vector<Wanted> carriers() const {
    std::vector<Wanted> all;
    for (const Part& part : job_.parts) {
      for (const Face& face : part.faces) {
        Wanted wanted{{part.id, face.name, "", part.id + "/" + face.name},
                      &face,
                      {},
                      {},
                      face.pins,
                      {},
                      {},
                      true,
                      false};
        for (const HoleGroup& group : job_.groups) {
          if (group.on == wanted.place.plate) wanted.groups.push_back(group.name);
        }
        if (!wanted.groups.empty()) all.push_back(std::move(wanted));
      }
    }
    return all;
  }

  Wanted wanted_by(const Joint& joint) const {
    return {{joint.part, joint.face, joint.name, joint.on},
            job_.face(joint.part, joint.face),
            joint.groups,
            joint.blank,
            joint.pins,
            joint.seat,
            joint.play,
            joint.on_marked_face,
            joint.tied_to_old_plate};
  }

  void join(const Wanted& wanted) {
    if (wanted.groups.empty()) return;
    const auto measured = surveyed_.faces.find({wanted.place.part, wanted.place.face});
    if (measured == surveyed_.faces.end()) {  // its own problem says why
      joined_.spoiled.insert(wanted.place.plate);
      return;
    }
    const Pattern pattern = joint_pattern(job_, wanted.groups);
    RegistrationKnown known = known_of(wanted.nominal, wanted.play, wanted.pins);
    known.metal_mm2 = signed_area_mm2(wanted.face->outline_mm);
    MeasuredFace face = measured->second;
    Result<Registration> registration = Registrar{}(pattern, face, known);
    if (!registration) return fail(wanted, registration.problems());
    std::vector<HiddenSlip> hidden = hidden_slips(face, *registration);
    // What is left out may have bent the rest, and hidden another slip.
    for (auto wrong = misread(wanted, face, hidden); !wrong.empty(); wrong = misread(wanted, face, hidden)) {
      face = without_holes(face, wrong);
      registration = Registrar{}(pattern, face, known);
      if (!registration) return fail(wanted, registration.problems());
      hidden = hidden_slips(face, *registration);
    }
    for (const HiddenSlip& slip : hidden) {
      if (slip.probability() >= kSlipToTell && face.find(slip.hole) != nullptr)
        warn_of_slip(wanted, slip, "Before anything is drilled, measure");
    }
    const Result<SeatedFace> seated = seat(wanted, *registration, face);
    if (!seated) return fail(wanted, seated.problems());
    add(wanted, pattern, face, *registration, *seated);
    joined_.faces.back().hidden = std::move(hidden);
  }

  /// Holes whose place rests on a reading that is likelier a slip than not: they go on as not measured. Less
  /// likely slips are told and are in the odds. So is the slip of a hole that was left out before, where the
  /// reading bears on other holes too.
  std::set<HoleId> misread(const Wanted& wanted, const MeasuredFace& face,
                           const std::vector<HiddenSlip>& hidden) {
    std::set<HoleId> wrong;
    for (const HiddenSlip& slip : hidden) {
      if (slip.probability() <= kLikelySlip || face.find(slip.hole) == nullptr) continue;
      warn_of_slip(wanted, slip, "The hole counts as not measured; measure");
      wrong.insert(slip.hole);
      misread_[{wanted.place.part, wanted.place.face}].insert(slip.hole);
    }
    return wrong;
  }

  void warn_of_slip(const Wanted& wanted, const HiddenSlip& slip, const std::string& what_to_do) {
    joined_.warnings.push_back(
        fmt::format("{}, {}: {}, lays the hole out of line with the others, and no other reading bears it "
                    "out: a slip, by {}. {} {} again, another way.",
                    wanted.place.part, wanted.place.face, slip.text, odds_words(slip.probability()),
                    what_to_do, slip.hole));
  }

  void fail(const Wanted& wanted, const Problems& problems) {
    for (Problem problem : problems) {
      const std::string detail = problem.where.empty() ? "" : ", " + problem.where;
      problem.where = fmt::format("{}: part \"{}\", face \"{}\" on \"{}\"{}", job_.file, wanted.place.part,
                                  wanted.place.face, wanted.place.plate, detail);
      joined_.problems.push_back(std::move(problem));
    }
    joined_.spoiled.insert(wanted.place.plate);
  }

  Result<SeatedFace> seat(const Wanted& wanted, const Registration& registration,
                          const MeasuredFace& measured) {
    if (wanted.tied_to_old_plate) {
      if (const std::optional<PlateFromFace> asked = seat_on_old_plate(wanted)) {
        const LimitedSeat limited =
            seat_within_play(wanted.nominal, *asked, wanted.play, Eigen::Vector2d::Zero());
        return SeatedFace{wanted.place.part, wanted.place.face, wanted.place.joint, wanted.place.plate,
                          wanted.nominal,    limited.seat,      limited.at_limit,   wanted.play};
      }
    }
    // On an old face the drawing lies where that face's own holes say.
    const auto carrier = drawing_on_.find(wanted.place.plate);
    const Motion plate_from_pattern = carrier == drawing_on_.end() ? Motion{} : carrier->second;
    return seat_face(wanted.place, wanted.nominal, plate_from_pattern, registration, measured, wanted.play);
  }

  /// A part across the joint line sits where its holes in the old plate hold it.
  std::optional<PlateFromFace> seat_on_old_plate(const Wanted& wanted) const {
    for (const JoinedFace& other : joined_.faces) {
      if (other.seated.part != wanted.place.part || other.seated.face != wanted.place.face) continue;
      for (const Joint& old_plate : job_.joints) {
        if (old_plate.part + "/" + old_plate.face != other.seated.plate || old_plate.on != wanted.place.plate)
          continue;
        const PlateFromFace asked{old_plate.seat.motion * other.seated.seat.motion};
        if (asked.motion.mirrored == wanted.nominal.motion.mirrored) return asked;
      }
    }
    return std::nullopt;
  }

  void add(const Wanted& wanted, const Pattern& pattern, const MeasuredFace& measured,
           const Registration& registration, const SeatedFace& seated) {
    const Face& face = *wanted.face;
    JoinedFace joined;
    joined.seated = seated;
    joined.measured = measured;
    joined.registration = registration;
    for (const NominalHole& hole : pattern) joined.stack_of[hole.id] = hole.id;
    joined.absent.insert(wanted.blank.begin(), wanted.blank.end());
    joined.surface = face.measured_from;
    joined.on_marked_face = wanted.on_marked_face;
    joined.thickness_mm = face.thickness_mm;
    joined.may_be_opened = face.may_be_opened;
    for (const auto& [id, note] : face.holes) {
      if (note.fixed) joined.fixed.insert(id);
    }
    joined.bounds = face_bounds(face);
    if (wanted.place.joint.empty()) drawing_on_[wanted.place.plate] = registration.face_from_pattern.motion;
    remark(wanted, registration);
    joined_.findings.push_back(
        {wanted.place.part,
         wanted.place.face,
         wanted.place.joint,
         wanted.place.plate,
         pattern,
         measured,
         registration,
         face.datum_end,
         is_angle(wanted.place.part),
         {},
         DistortionFinder{}(matched_points(registration, pattern, measured), registration.face_from_pattern),
         names_of(wanted),
         wanted.pins,
         is_pinned(wanted.place.joint)});
    warn_distortion(wanted, joined_.findings.back());
    joined_.faces.push_back(std::move(joined));
  }

  bool is_pinned(const std::string& joint) const {
    return std::any_of(job_.joints.begin(), job_.joints.end(),
                       [&](const Joint& j) { return j.name == joint && j.pinned.has_value(); });
  }

  DistortionNames names_of(const Wanted& wanted) const {
    DistortionNames names;
    if (is_angle(wanted.place.part)) {
      names.datum_edge = "the heel";
      names.inner_row = "the row next to the heel";
    }
    return names;
  }

  /// For judgement only: the plan takes the holes where they are.
  void warn_distortion(const Wanted& wanted, const JointFindings& findings) {
    if (findings.distortion->accepted.empty()) return;
    joined_.warnings.push_back(fmt::format(
        "{}, {}: {}", wanted.place.part, wanted.place.face,
        fmt::join(accepted_distortion_words(*findings.distortion, findings.distortion_names), " ")));
  }

  bool is_angle(const std::string& part) const {
    return std::any_of(job_.parts.begin(), job_.parts.end(),
                       [&](const Part& p) { return p.id == part && p.kind == "angle"; });
  }

  void remark(const Wanted& wanted, const Registration& registration) {
    const std::string who = fmt::format("{} on {}", wanted.place.part, wanted.place.plate);
    for (const HoleId& id : registration.missing) {
      if (std::find(wanted.blank.begin(), wanted.blank.end(), id) == wanted.blank.end()) {
        joined_.warnings.push_back(
            fmt::format("{}: the drawing's hole {} was not found among the measured ones.", who, id));
      }
    }
    if (registration.independent_holes) {
      joined_.warnings.push_back(
          fmt::format("{}: the holes' errors are taken as independent of each other.", who));
    }
  }

  /// A part that lies on the new plate and on a thinner or thicker old one wants packing under one end.
  void warn_step(const Joint& joint) {
    const Plate* plate = job_.plate(joint.on);
    if (plate == nullptr || !joint.tied_to_old_plate) return;
    for (const Joint& other : job_.joints) {
      const Face* old_plate = job_.carrying_face(other.on);
      if (other.part != joint.part || other.face != joint.face || old_plate == nullptr) continue;
      const double step_mm = plate->thickness_mm - old_plate->thickness_mm;
      if (std::abs(step_mm) < kStepMm || packed(step_mm > 0.0 ? other : joint)) continue;
      joined_.warnings.push_back(
          fmt::format("{} bridges a step of {} mm between plate {} and {}: pack it, and state the packing.",
                      joint.part, format_mm(std::abs(step_mm)), plate->name, other.on));
    }
  }

  bool packed(const Joint& joint) const {
    return std::all_of(joint.groups.begin(), joint.groups.end(),
                       [&](const std::string& name) { return job_.group(name)->packing_mm > 0.0; });
  }

  /// Old holes of a face that no joint of it knows: old repairs. A hole that another joint knows is none.
  void remark_extra() {
    std::map<FaceKey, std::set<HoleId>> known;
    for (const JoinedFace& face : joined_.faces) {
      for (const Match& match : face.registration.matches) {
        known[{face.seated.part, face.seated.face}].insert(match.measured);
      }
    }
    for (JointFindings& joint : joined_.findings) {
      const std::set<HoleId>& holes = known[{joint.part, joint.face}];
      std::erase_if(joint.registration.extra, [&](const HoleId& id) { return holes.contains(id); });
    }
    for (const auto& [key, holes] : known) {
      for (const MeasuredHole& hole : surveyed_.faces.at(key).holes) {
        if (holes.contains(hole.id) || misread_[key].contains(hole.id)) continue;
        joined_.warnings.push_back(
            fmt::format("{}, {}: old hole {} is none of the drawing's; it stays out of the new work.",
                        key.first, key.second, hole.id));
      }
    }
  }

  const Job& job_;
  const Surveyed& surveyed_;
  Joined joined_;
  std::map<FaceKey, std::set<HoleId>> misread_;
  std::map<std::string, Motion> drawing_on_;  ///< where the drawing lies on each carrying old face
};

}  // namespace

Joined join_faces(const Job& job, const Surveyed& surveyed) { return Joiner(job, surveyed).run(); }

}  // namespace fairhole::job
