// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "evidence.h"
#include "fairhole/registration/registration.h"
#include "hypotheses.h"

namespace fairhole {
namespace {

constexpr int kHypothesesKept = 24;
constexpr double kLeastOdds = 0.001;

std::size_t at(int index) { return static_cast<std::size_t>(index); }

PointSets point_sets(const Pattern& pattern, const MeasuredFace& face) {
  PointSets points;
  for (const NominalHole& hole : pattern) points.nominal_mm.push_back(hole.centre_mm);
  for (std::size_t i = 0; i < face.holes.size(); ++i) {
    points.measured_mm.push_back(face.holes[i].centre_mm);
    const auto row = static_cast<Eigen::Index>(2 * i);
    points.blocks_mm2.emplace_back(face.covariance_mm2.size() == 0
                                       ? face.holes[i].centre_cov_mm2
                                       : Eigen::Matrix2d(face.covariance_mm2.block<2, 2>(row, row)));
  }
  points.full_mm2 = face.covariance_mm2;
  return points;
}

double spread_mm(const std::vector<Eigen::Vector2d>& points_mm) {
  double spread = 0.0;
  for (const Eigen::Vector2d& p : points_mm) spread = std::max(spread, (p - points_mm.front()).norm());
  return spread;
}

std::optional<Problem> refuse(const PointSets& points, const PosePrior& prior) {
  const auto finite = [](const auto& values) {
    return std::all_of(values.begin(), values.end(), [](const auto& v) { return v.allFinite(); });
  };
  if (!finite(points.nominal_mm) || !finite(points.measured_mm) || !finite(points.blocks_mm2) ||
      !points.full_mm2.allFinite() || !prior.pose.motion.shift_mm.allFinite() || !prior.sigma.allFinite()) {
    return Problem{codes::kRegistrationNotFinite, "", "a coordinate or its covariance is not a finite number",
                   "correct the hole's position"};
  }
  if (points.nominal_mm.size() < 2 || points.measured_mm.size() < 2) {
    return Problem{codes::kRegistrationTooFew, "",
                   fmt::format("{} drawn and {} measured holes; a pose needs 2 of each",
                               points.nominal_mm.size(), points.measured_mm.size()),
                   "measure one more hole on this part"};
  }
  constexpr double kOneSpotMm = 1.0;
  if (spread_mm(points.nominal_mm) < kOneSpotMm || spread_mm(points.measured_mm) < kOneSpotMm) {
    return Problem{codes::kRegistrationCoincident, "", "all holes lie on one spot, which fixes no turn",
                   "check the readings; a pose needs 2 holes apart from each other"};
  }
  return std::nullopt;
}

std::vector<Candidate> candidates_within(const PointSets& points, const PosePrior& prior,
                                         const Registrar& registrar) {
  const HoleOdds odds = hole_odds(points);
  std::vector<Candidate> candidates;
  for (const Motion& start : pose_hypotheses(points, prior, registrar, odds, kHypothesesKept)) {
    auto refined = refine(points, start, prior, registrar, odds);
    if (!refined) continue;
    const bool known = std::any_of(candidates.begin(), candidates.end(),
                                   [&](const Candidate& c) { return c.pairs == refined->pairs; });
    if (!known) candidates.push_back(std::move(*refined));
  }
  std::stable_sort(candidates.begin(), candidates.end(),
                   [](const Candidate& a, const Candidate& b) { return a.log_evidence > b.log_evidence; });
  return candidates;
}

/// Priors of the part seen from its other side: reflected in the middle of its measured holes, along either
/// edge. Where the holes lie off the middle of the part the shift is unknown by that much, so it is let go.
std::vector<PosePrior> mirrored_priors(const PointSets& points, const PosePrior& prior) {
  Eigen::Vector2d low = points.measured_mm.front(), high = low;
  for (const Eigen::Vector2d& p : points.measured_mm) {
    low = low.cwiseMin(p);
    high = high.cwiseMax(p);
  }
  const Eigen::Vector2d twice_mm = low + high;
  std::vector<PosePrior> priors;
  for (const bool along_x : {true, false}) {
    // x -> 2 cx - x is a mirroring in x's axis turned half round.
    const Motion flip = along_x ? Motion{{twice_mm.x(), 0.0}, Angle::degrees(180.0), true}
                                : Motion{{0.0, twice_mm.y()}, Angle(), true};
    PosePrior mirrored = prior;
    mirrored.pose = {flip * prior.pose.motion};
    mirrored.sigma.head<2>().array() += 20.0;
    priors.push_back(mirrored);
  }
  return priors;
}

/// The stated hand must explain fewer holes by a clear step, and far less well, before it is doubted: most
/// patterns nearly fit their own mirror image.
bool other_hand_fits(const PointSets& points, const std::vector<Candidate>& stated, const PosePrior& prior,
                     const Registrar& registrar) {
  constexpr double kLogThousand = 6.9;
  const std::size_t holes = std::min(points.nominal_mm.size(), points.measured_mm.size());
  const std::size_t stated_pairs = stated.empty() ? 0 : stated.front().pairs.size();
  if (holes < 4 || stated_pairs == holes) return false;
  for (const PosePrior& mirrored : mirrored_priors(points, prior)) {
    const auto others = candidates_within(points, mirrored, registrar);
    if (others.empty() || others.front().pairs.size() < 4) continue;
    if (others.front().pairs.size() < stated_pairs + 2 || 10 * others.front().pairs.size() < 8 * holes)
      continue;
    if (stated.empty() || others.front().log_evidence > stated.front().log_evidence + kLogThousand)
      return true;
  }
  return false;
}

std::vector<Match> matches_of(const Candidate& candidate, const PointSets& points, const Pattern& pattern,
                              const MeasuredFace& face) {
  const HoleOdds odds = hole_odds(points);
  const Eigen::Matrix2d own =
      candidate.pose.scatter_mm * candidate.pose.scatter_mm * Eigen::Matrix2d::Identity();
  std::vector<Match> matches;
  for (std::size_t k = 0; k < candidate.pairs.size(); ++k) {
    const Pairing& pair = candidate.pairs[k];
    const Eigen::Matrix2d cov = image_covariance(candidate.pose.face_from_pattern, candidate.pose.cov,
                                                 points.nominal_mm[at(pair.nominal)]) +
                                own + points.blocks_mm2[at(pair.measured)];
    const double gain = log_normal_density(candidate.pose.residual_mm[k], cov) + odds.log_gain_constant();
    matches.push_back({pattern[at(pair.nominal)].id, face.holes[at(pair.measured)].id,
                       candidate.pose.residual_mm[k], 1.0 / (1.0 + std::exp(-gain)), false});
  }
  return matches;
}

/// Holes left over that lie near one another and near nothing else.
void add_strayed(Candidate& candidate, std::vector<Match>& matches, const PointSets& points,
                 const Pattern& pattern, const MeasuredFace& face, double stray_mm) {
  std::vector<bool> nominal_taken(pattern.size(), false), measured_taken(face.holes.size(), false);
  for (const Pairing& pair : candidate.pairs)
    nominal_taken[at(pair.nominal)] = measured_taken[at(pair.measured)] = true;
  for (std::size_t a = 0; a < pattern.size(); ++a) {
    if (nominal_taken[a]) continue;
    const Eigen::Vector2d posed_mm = candidate.pose.face_from_pattern * points.nominal_mm[a];
    std::vector<std::size_t> near;
    for (std::size_t i = 0; i < face.holes.size(); ++i) {
      if (!measured_taken[i] && (points.measured_mm[i] - posed_mm).norm() <= stray_mm) near.push_back(i);
    }
    if (near.size() != 1) continue;
    measured_taken[near.front()] = true;
    // Even odds: nothing but nearness speaks for it.
    matches.push_back(
        {pattern[a].id, face.holes[near.front()].id, points.measured_mm[near.front()] - posed_mm, 0.5, true});
  }
}

template <class Holes>
std::vector<HoleId> left_over(const Holes& holes, const std::vector<Match>& matches, HoleId Match::*side) {
  std::vector<HoleId> ids;
  for (const auto& hole : holes) {
    const bool taken = std::any_of(matches.begin(), matches.end(),
                                   [&](const Match& match) { return match.*side == hole.id; });
    if (!taken) ids.push_back(hole.id);
  }
  return ids;
}

}  // namespace

Result<Registration> Registrar::operator()(const Pattern& pattern, const MeasuredFace& face,
                                           const PosePrior& prior) const {
  const PointSets points = point_sets(pattern, face);
  if (const auto problem = refuse(points, prior)) return *problem;
  std::vector<Candidate> candidates = candidates_within(points, prior, *this);
  if (other_hand_fits(points, candidates, prior, *this)) {
    return Problem{
        codes::kRegistrationWrongHand, "",
        "the holes fit the pattern's other hand, and not the hand that was stated",
        "check from which side the face was measured, on which side of the plate the part lies, and whether "
        "the part belongs to the other hand"};
  }
  if (candidates.empty()) {
    return Problem{codes::kRegistrationTooFew, "",
                   "fewer than 2 holes lie where the seat and its play let them",
                   "check the seat in the job file, or the datum the readings were taken from"};
  }
  double sum = 0.0;
  for (const Candidate& c : candidates) sum += std::exp(c.log_evidence - candidates.front().log_evidence);

  Registration out;
  Candidate& best = candidates.front();
  out.face_from_pattern = {best.pose.face_from_pattern};
  out.pose_cov = best.pose.cov;
  out.matches = matches_of(best, points, pattern, face);
  if (stray_mm > 0.0) add_strayed(best, out.matches, points, pattern, face, stray_mm);
  out.missing = left_over(pattern, out.matches, &Match::nominal);
  out.extra = left_over(face.holes, out.matches, &Match::measured);
  out.odds = 1.0 / sum;
  for (std::size_t k = 1; k < candidates.size(); ++k) {
    const double odds = std::exp(candidates[k].log_evidence - best.log_evidence) / sum;
    if (odds < kLeastOdds) break;
    out.rivals.push_back(
        {{candidates[k].pose.face_from_pattern}, matches_of(candidates[k], points, pattern, face), odds});
  }
  out.chi2 = best.pose.chi2;
  out.dof = 2 * static_cast<int>(best.pairs.size()) - 3;
  out.scatter_mm = best.pose.scatter_mm;
  out.independent_holes = face.covariance_mm2.size() == 0;
  return out;
}

Eigen::Matrix2d posed_covariance(const Registration& registration, const Eigen::Vector2d& q_mm) {
  return image_covariance(registration.face_from_pattern.motion, registration.pose_cov, q_mm);
}

}  // namespace fairhole
