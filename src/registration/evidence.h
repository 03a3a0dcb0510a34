// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <set>
#include <utility>
#include <vector>

#include "adjust.h"
#include "assign.h"
#include "diameters.h"
#include "fairhole/registration/registration.h"

namespace fairhole {

/// How holes come to be on a part: the stated prior of every correspondence decision. Judgement, not
/// measurement. The share of drawn holes that are missing has a Beta(1, 3) prior (a quarter on average, most
/// likely few), the extra holes are strewn evenly over the part, as many as an exponential prior of mean 0.2
/// of the drawn ones allows. Both are integrated out.
class HoleOdds {
 public:
  HoleOdds() = default;
  HoleOdds(const PointSets& points, std::optional<double> metal_mm2);

  double log_probability(std::size_t pairs) const;  ///< of so many being found, the others missing and extra
  double log_gain(std::size_t pairs) const;         ///< of the last of so many pairs, before its residual
  double even_density() const;                      ///< of a pose that may lie anywhere, per mm2 and radian

 private:
  double nominal_ = 0.0, measured_ = 0.0, log_area_mm2_ = 0.0;
};

/// Drawn hole of each measured one and the reverse that somebody pinned; -1 where none.
struct Pins {
  std::vector<int> nominal_of, measured_of;
  std::vector<Pairing> pairs;

  bool allow(int nominal, int measured) const {
    const int a = nominal_of[static_cast<std::size_t>(measured)];
    const int i = measured_of[static_cast<std::size_t>(nominal)];
    return (a < 0 || a == nominal) && (i < 0 || i == measured);
  }
};

/// All that the evidence of a pose rests on.
struct Scene {
  PointSets points;
  HoleOdds odds;
  DiameterEvidence diameters;
  Pins pins;
  double gate_chi2 = 0.0;
  double expected_scatter_mm = 0.5;
  /// Poses whose images differ by less than this everywhere on the pattern are one pose.
  double alike_mm = 4.0;
};

/// A pose on trial and the pairs it explains.
struct Candidate {
  AdjustedPose pose;
  std::vector<Pairing> pairs;
  double log_evidence = 0.0;  ///< pose integrated out under a flat prior; comparable between candidates
  double log_pairs = 0.0;     ///< the part of it that these very pairs bring
};

/// The best pairs at a pose that a hypothesis gave, known to `cov`.
std::vector<Pairing> first_pairs(const Scene& scene, const Motion& pose, const Eigen::Matrix3d& cov);

/// What a pose is but for its place.
using HandAndPairs = std::pair<bool, std::vector<Pairing>>;
HandAndPairs hand_and_pairs(const Candidate& candidate);

/// Refines a pose: adjustment and assignment in turn until the pairs repeat. Nothing when fewer than 2 pairs
/// stand or a pinned one does not. `forms` are of the scene's points.
std::optional<Candidate> refine(const Scene& scene, TridiagonalForms& forms, std::vector<Pairing> pairs,
                                Motion pose);

/// The same pose with fewer pairs, the one that fits worst left out each time: on a small part a chance hole
/// inside the gate widens the scatter until it fits. The best set of pairs stands, the evidence is that of
/// all of them together. Parts of more than 24 pairs come back as they are: one pair cannot move their
/// scatter.
/// Pairs in `counted` belong to another candidate already and are passed over; those looked at are added.
Candidate weigh_fewer_pairs(const Scene& scene, TridiagonalForms& forms, Candidate candidate,
                            std::set<HandAndPairs>& counted);

double log_sum(double log_a, double log_b);  ///< log of e^a + e^b

/// The pose that given pairs ask for, and its evidence. Nothing when they fix none.
std::optional<Candidate> with_pairs(const Scene& scene, TridiagonalForms& forms, std::vector<Pairing> pairs,
                                    const Motion& start);

/// Gains of all pairs inside the gate of a pose with covariance `pose_cov` (at the pattern's origin), scatter
/// included. `pairs`: about how many there will be.
std::vector<Gain> gated_gains(const Scene& scene, const Motion& pose, const Eigen::Matrix3d& pose_cov,
                              double scatter_mm, std::size_t pairs);

/// Covariance of the posed image of `q_mm` under a pose covariance at the pattern's origin.
Eigen::Matrix2d image_covariance(const Motion& pose, const Eigen::Matrix3d& pose_cov,
                                 const Eigen::Vector2d& q_mm);

/// log density of the stated place at a pose known to `cov`; the pose's own hand is taken for the right one.
/// Against an even density of 1 per mm2 and radian.
double log_place_density(const Motion& pose, const Eigen::Matrix3d& cov, const PosePrior& place,
                         double even_density);

/// log of a plane normal density at `r_mm`.
double log_normal_density(const Eigen::Vector2d& r_mm, const Eigen::Matrix2d& cov_mm2);

/// Do two poses of one hand carry the pattern to the same place?
bool alike(const Motion& a, const Motion& b, const Scene& scene);

}  // namespace fairhole
