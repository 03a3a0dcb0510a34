// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>

#include "candidates.h"
#include "fairhole/registration/registration.h"
#include "rivals.h"
#include "scene.h"

namespace fairhole {
namespace {

constexpr double kLeastOdds = 0.001;
constexpr double kPlaceSigmas = 6.0;  // a place without doubt rules out what lies farther off

/// log density of the stated place at a candidate's pose; nothing where it lies outside.
std::optional<double> log_place(const Candidate& c, const RegistrationKnown& known, const Scene& scene) {
  if (!known.place) return 0.0;
  const double value =
      log_place_density(c.pose.face_from_pattern, c.pose.cov, *known.place, scene.odds.even_density());
  if (known.place->doubt > 0.0) return value;
  PosePrior here = *known.place;
  here.pose = {c.pose.face_from_pattern};
  const double peak = log_place_density(c.pose.face_from_pattern, c.pose.cov, here, 0.0);
  if (peak - value > 0.5 * kPlaceSigmas * kPlaceSigmas) return std::nullopt;
  return value;
}

/// Places of the part seen from its other side: reflected in the middle of its measured holes, along either
/// edge. Where the holes lie off the middle of the part the shift is unknown by that much, so it is let go.
std::vector<PosePrior> mirrored_places(const PointSets& points, const PosePrior& place) {
  constexpr double kOffMiddleMm = 20.0;
  Eigen::Vector2d low = points.measured_mm.front(), high = low;
  for (const Eigen::Vector2d& p : points.measured_mm) {
    low = low.cwiseMin(p);
    high = high.cwiseMax(p);
  }
  const Eigen::Vector2d twice_mm = low + high;
  std::vector<PosePrior> places;
  for (const bool along_x : {true, false}) {
    // x -> 2 cx - x is a mirroring in x's axis turned half round.
    const Motion flip = along_x ? Motion{{twice_mm.x(), 0.0}, Angle::degrees(180.0), true}
                                : Motion{{0.0, twice_mm.y()}, Angle(), true};
    PosePrior mirrored = place;
    mirrored.pose = {flip * place.pose.motion};
    mirrored.sigma.head<2>().array() += kOffMiddleMm;
    places.push_back(mirrored);
  }
  return places;
}

struct Weighed {
  const Candidate* candidate = nullptr;
  double log_weight = 0.0;
};

/// The other hand must explain four holes at least, and everything a thousand times better, before a stated
/// hand is doubted.
bool other_hand_fits(const Scene& scene, const CandidateSet& found, const std::vector<Weighed>& stated,
                     const RegistrationKnown& known) {
  constexpr double kLogThousand = 6.9;
  constexpr std::size_t kFewest = 4;
  if (!known.mirrored) return false;
  std::vector<PosePrior> places;
  if (known.place) {
    PosePrior as_stated = *known.place;
    as_stated.pose.motion.mirrored = *known.mirrored;
    places = mirrored_places(scene.points, as_stated);
  }
  for (const Candidate& c : found.candidates) {
    if (c.pose.face_from_pattern.mirrored == *known.mirrored || c.pairs.size() < kFewest) continue;
    double log_other = c.log_evidence;
    if (known.place) {
      double density = 0.0;
      for (const PosePrior& place : places) {
        density += 0.5 * std::exp(log_place_density(c.pose.face_from_pattern, c.pose.cov, place,
                                                    scene.odds.even_density()));
      }
      log_other += std::log(density);
    }
    if (std::isfinite(log_other) && (stated.empty() || log_other > stated.front().log_weight + kLogThousand))
      return true;
  }
  return false;
}

class Writer {
 public:
  Writer(const Scene& scene, const Pattern& pattern, const MeasuredFace& face)
      : scene_(scene), pattern_(pattern), face_(face) {}

  std::vector<Match> matches(const Candidate& candidate) const {
    const Eigen::Matrix2d own =
        candidate.pose.scatter_mm * candidate.pose.scatter_mm * Eigen::Matrix2d::Identity();
    const double constant = scene_.odds.log_gain(candidate.pairs.size());
    std::vector<Match> matches;
    for (std::size_t k = 0; k < candidate.pairs.size(); ++k) {
      const Pairing& pair = candidate.pairs[k];
      const Eigen::Matrix2d cov = image_covariance(candidate.pose.face_from_pattern, candidate.pose.cov,
                                                   scene_.points.nominal_mm[at(pair.nominal)]) +
                                  own + scene_.points.blocks_mm2[at(pair.measured)];
      const double gain = log_normal_density(candidate.pose.residual_mm[k], cov) + constant +
                          scene_.diameters.log_ratio(pair.nominal, pair.measured);
      const bool pinned = scene_.pins.measured_of[at(pair.nominal)] == pair.measured;
      matches.push_back({pattern_[at(pair.nominal)].id, face_.holes[at(pair.measured)].id,
                         candidate.pose.residual_mm[k], pinned ? 1.0 : 1.0 / (1.0 + std::exp(-gain))});
    }
    return matches;
  }

  Rival rival(const Candidate& candidate, const Candidate& best, double odds) const {
    const Difference d = difference(best, candidate.pose.face_from_pattern, scene_.points.nominal_mm);
    return {{candidate.pose.face_from_pattern}, matches(candidate), odds, d.how, d.tell_apart};
  }

  Registration registration(const Candidate& best) const {
    Registration out;
    out.face_from_pattern = {best.pose.face_from_pattern};
    out.pose_cov = best.pose.cov;
    out.matches = matches(best);
    out.missing = left_over(pattern_, out.matches, &Match::nominal);
    out.extra = left_over(face_.holes, out.matches, &Match::measured);
    out.swaps = find_swaps(scene_, best, pattern_, face_, kLeastOdds);
    out.chi2 = best.pose.chi2;
    out.dof = 2 * static_cast<int>(best.pairs.size()) - 3;
    out.scatter_mm = best.pose.scatter_mm;
    out.independent_holes = face_.covariance_mm2.size() == 0;
    return out;
  }

 private:
  template <class Holes>
  static std::vector<HoleId> left_over(const Holes& holes, const std::vector<Match>& matches,
                                       HoleId Match::*side) {
    std::vector<HoleId> ids;
    for (const auto& hole : holes) {
      const bool taken = std::any_of(matches.begin(), matches.end(),
                                     [&](const Match& match) { return match.*side == hole.id; });
      if (!taken) ids.push_back(hole.id);
    }
    return ids;
  }
  const Scene& scene_;
  const Pattern& pattern_;
  const MeasuredFace& face_;
};

/// Shares of all that is weighed, and of the rest that was not worth adjusting.
std::vector<double> shares(const std::vector<Weighed>& weighed, double log_rest) {
  double sum = std::exp(log_rest - weighed.front().log_weight);
  for (const Weighed& w : weighed) sum += std::exp(w.log_weight - weighed.front().log_weight);
  std::vector<double> odds;
  for (const Weighed& w : weighed) odds.push_back(std::exp(w.log_weight - weighed.front().log_weight) / sum);
  return odds;
}

void sort_best_first(std::vector<Weighed>& weighed) {
  std::stable_sort(weighed.begin(), weighed.end(),
                   [](const Weighed& a, const Weighed& b) { return a.log_weight > b.log_weight; });
  // Where symmetry makes several equally good, the one that is not mirrored and turned least stands first.
  constexpr double kEqual = 1e-3;
  const auto worse = std::find_if(weighed.begin(), weighed.end(), [&](const Weighed& w) {
    return w.log_weight < weighed.front().log_weight - kEqual;
  });
  std::stable_sort(weighed.begin(), worse, [](const Weighed& a, const Weighed& b) {
    const Motion &m = a.candidate->pose.face_from_pattern, &n = b.candidate->pose.face_from_pattern;
    const auto turn = [](const Motion& pose) { return std::abs(std::remainder(pose.turn.degrees(), 360.0)); };
    return m.mirrored != n.mirrored ? n.mirrored : turn(m) < turn(n) - kEqual;
  });
}

Problem nothing_fits(const RegistrationKnown& known, bool found_elsewhere) {
  if (!known.pins.empty() && known.place && found_elsewhere) {
    return {codes::kRegistrationPinsDoNotFit, "",
            "the pinned holes lie where the seat and its play do not let them",
            "check which holes the pins name, and the seat in the job file"};
  }
  if (!known.pins.empty()) {
    return {codes::kRegistrationPinsDoNotFit, "", "no pose brings the pinned holes together",
            "check which holes the pins name"};
  }
  if (known.place) {
    return {codes::kRegistrationTooFew, "", "fewer than 2 holes lie where the seat and its play let them",
            "check the seat in the job file, or the datum the readings were taken from"};
  }
  return {codes::kRegistrationTooFew, "", "no pose brings 2 holes of the drawing onto measured ones",
          "check that the measured file belongs to this pattern, and its unit"};
}

}  // namespace

Result<Registration> Registrar::operator()(const Pattern& pattern, const MeasuredFace& face,
                                           const RegistrationKnown& known) const {
  const Result<Scene> made = make_scene(pattern, face, known, *this);
  if (!made) return made.problems();
  const Scene& scene = *made;
  const CandidateSet found = find_candidates(scene, known, *this);
  std::vector<Weighed> allowed, by_holes;  // with and without the place
  for (const Candidate& c : found.candidates) {
    if (known.mirrored && c.pose.face_from_pattern.mirrored != *known.mirrored) continue;
    by_holes.push_back({&c, c.log_evidence});
    if (const auto place = log_place(c, known, scene)) allowed.push_back({&c, c.log_evidence + *place});
  }
  sort_best_first(allowed);
  // Pins that bring holes together elsewhere say more than a hand that fits them by chance.
  if (allowed.empty() && !known.pins.empty() && !by_holes.empty()) return nothing_fits(known, true);
  if (other_hand_fits(scene, found, allowed, known)) {
    return Problem{
        codes::kRegistrationWrongHand, "",
        "the holes fit the pattern's other hand, and not the hand that was stated",
        "check from which side the face was measured, on which side of the plate the part lies, and whether "
        "the part belongs to the other hand"};
  }
  if (allowed.empty()) return nothing_fits(known, !by_holes.empty());

  const Writer writer(scene, pattern, face);
  const Candidate& best = *allowed.front().candidate;
  Registration out = writer.registration(best);
  out.complete = found.complete;
  constexpr double kNone = -std::numeric_limits<double>::infinity();
  const std::vector<double> odds = shares(allowed, known.place ? kNone : found.log_rest);
  out.odds = odds.front();
  std::vector<const Candidate*> open{&best};
  for (std::size_t k = 1; k < allowed.size(); ++k) {
    // Where very many poses fit, none has a share worth listing; a few are shown all the same.
    constexpr std::size_t kShown = 3;
    const bool as_good = out.rivals.size() < kShown && odds[k] > 0.1 * odds.front();
    if (odds[k] <= kLeastOdds && !as_good) break;
    out.rivals.push_back(writer.rival(*allowed[k].candidate, best, odds[k]));
    open.push_back(allowed[k].candidate);
  }
  if (known.place) {
    const std::vector<double> free_odds = shares(by_holes, found.log_rest);
    for (std::size_t k = 0; k < by_holes.size(); ++k) {
      const bool listed = std::find(open.begin(), open.end(), by_holes[k].candidate) != open.end();
      if (!listed && free_odds[k] > kLeastOdds)
        out.settled_by_place.push_back(writer.rival(*by_holes[k].candidate, best, free_odds[k]));
    }
  }
  return out;
}

Eigen::Matrix2d posed_covariance(const Registration& registration, const Eigen::Vector2d& q_mm) {
  return image_covariance(registration.face_from_pattern.motion, registration.pose_cov, q_mm);
}

}  // namespace fairhole
