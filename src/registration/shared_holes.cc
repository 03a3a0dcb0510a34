// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "fairhole/registration/fuse.h"

namespace fairhole {
namespace {

constexpr double kPlaceSigmaMm = 1.5;  // two measurements of one hole, blunders of a centimetre aside
constexpr double kMostSigmas = 3.0;    // farther off is another hole
constexpr double kPriorSigmas = 4.0;
constexpr double kLeastBaseMm = 20.0;  // between two holes that give a direction
constexpr double kRivalGain = 8.0;     // of twice the log likelihood: less settles nothing

using Pairs = std::vector<std::pair<std::size_t, std::size_t>>;

double turn_between(Angle a, Angle b) { return std::remainder(a.radians() - b.radians(), 2.0 * M_PI); }

class Matcher {
 public:
  Matcher(const MeasuredFace& fixed, const LooseFace& loose) : fixed_(fixed), loose_(loose) {}

  void try_one_hole() {
    for (const MeasuredHole& f : fixed_.holes)
      for (const MeasuredHole& l : loose_.measured.holes)
        judge(through(loose_.face_from_loose.turn, f.centre_mm, l.centre_mm));
  }

  void try_two_holes() {
    for (std::size_t i = 0; i < fixed_.holes.size(); ++i)
      for (std::size_t j = i + 1; j < fixed_.holes.size(); ++j) try_base(fixed_.holes[i], fixed_.holes[j]);
  }

  struct Candidate {
    double score = 0.0;
    Pairs pairs;
    Motion place;
  };
  std::optional<Candidate> best() const {
    if (tried_.empty()) return std::nullopt;
    return *std::ranges::max_element(tried_, {}, &Candidate::score);
  }
  /// Whether every place that fits about as well says the same of each hole.
  bool settled(const Candidate& best) const {
    return std::ranges::all_of(tried_, [&](const Candidate& other) {
      return other.score < best.score - kRivalGain || agree(other.pairs, best.pairs);
    });
  }

 private:
  void try_base(const MeasuredHole& a, const MeasuredHole& b) {
    const Eigen::Vector2d base = b.centre_mm - a.centre_mm;
    if (base.norm() < kLeastBaseMm) return;
    for (const MeasuredHole& k : loose_.measured.holes)
      for (const MeasuredHole& l : loose_.measured.holes) {
        Eigen::Vector2d seen = l.centre_mm - k.centre_mm;
        if (std::abs(seen.norm() - base.norm()) > 2.0 * kPlaceSigmaMm) continue;
        if (loose_.face_from_loose.mirrored) seen.y() = -seen.y();
        const Angle turn = Angle::radians(std::atan2(base.y(), base.x()) - std::atan2(seen.y(), seen.x()));
        judge(through(turn, 0.5 * (a.centre_mm + b.centre_mm), 0.5 * (k.centre_mm + l.centre_mm)));
      }
  }

  Motion through(Angle turn, const Eigen::Vector2d& to, const Eigen::Vector2d& from) const {
    Motion motion{Eigen::Vector2d::Zero(), turn, loose_.face_from_loose.mirrored};
    motion.shift_mm = to - motion * from;
    return motion;
  }

  void judge(const Motion& motion) {
    const double turn = turn_between(motion.turn, loose_.face_from_loose.turn) / loose_.turn_sigma_rad;
    const Eigen::Vector2d shift = (motion.shift_mm - loose_.face_from_loose.shift_mm) / loose_.shift_sigma_mm;
    if (std::abs(turn) > kPriorSigmas || shift.norm() > kPriorSigmas) return;
    double score = -turn * turn - shift.squaredNorm();
    Pairs pairs;
    for (std::size_t l = 0; l < loose_.measured.holes.size(); ++l) {
      const Eigen::Vector2d at = motion * loose_.measured.holes[l].centre_mm;
      const auto away = [&](const MeasuredHole& f) { return (f.centre_mm - at).norm() / kPlaceSigmaMm; };
      const auto nearest = std::ranges::min_element(fixed_.holes, {}, away);
      const auto index = static_cast<std::size_t>(nearest - fixed_.holes.begin());
      if (nearest == fixed_.holes.end() || away(*nearest) > kMostSigmas) continue;
      if (std::ranges::any_of(pairs, [&](const auto& pair) { return pair.first == index; })) continue;
      score += kMostSigmas * kMostSigmas - std::pow(away(*nearest), 2);
      pairs.emplace_back(index, l);
    }
    if (pairs.empty() || score < score_ - kRivalGain) return;
    score_ = std::max(score_, score);
    std::ranges::sort(pairs);
    tried_.push_back({score, std::move(pairs), motion});
  }

  /// Whether no hole is one in the first and another in the second.
  static bool agree(const Pairs& a, const Pairs& b) {
    bool meet = false;
    for (const auto& p : a)
      for (const auto& q : b) {
        if ((p.first == q.first) != (p.second == q.second)) return false;
        meet = meet || p == q;
      }
    return meet;
  }

  const MeasuredFace& fixed_;
  const LooseFace& loose_;
  std::vector<Candidate> tried_;  ///< those near the best of their time
  double score_ = -1e9;
};

}  // namespace

Result<SharedHoles> find_shared_holes(const MeasuredFace& fixed, const LooseFace& loose) {
  Matcher matcher(fixed, loose);
  matcher.try_one_hole();
  matcher.try_two_holes();
  const auto best = matcher.best();
  if (!best)
    return Problem{
        codes::kFuseNothingShared, "",
        fmt::format("no hole of the readings is among the {} seen, with the board where \"at\" says",
                    loose.measured.holes.size()),
        "look whether \"at\" is right: where the sheet's lower left corner lies on the face, and "
        "which way its x points"};
  if (!matcher.settled(*best))
    return Problem{codes::kFuseTwoWays, "",
                   "the holes seen fit the holes read in more than one way, with the board where \"at\" says",
                   "state \"at\" more closely, with its \"sigma\" and \"turn_sigma_deg\""};
  return SharedHoles{best->pairs, best->place};
}

}  // namespace fairhole
