// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <span>
#include <vector>

namespace fairhole::inference {

/// A hole and its place in a row: u = start + k * pitch.
struct Member {
  int hole = 0;
  int k = 0;
  bool strayed = false;  ///< stands at this place, but too far off to say anything about the row
  int face = 0;          ///< which of the faces looked at together
};

/// Numbers equally spaced but for gaps.
struct Spacing {
  double start_mm = 0.0;
  double pitch_mm = 0.0;
  std::vector<Member> members;  ///< `hole` indexes the numbers; k rises from 0
  double gain = 0.0;            ///< log evidence of the members' places, gaps paid for; no other prior in it

  int places() const { return members.empty() ? 0 : members.back().k + 1; }
  int gaps() const { return places() - static_cast<int>(members.size()); }
};

/// What a place is worth.
struct SpacingRules {
  double scatter_mm = 0.5;   ///< of each number about its place
  double member_gain = 0.0;  ///< log of a member's density over that of a stray hole, residual apart
  double least_pitch_mm = 15.0;
};

/// A place without a hole against one with: one hole in ten of an old part is missing, as in registration.
inline constexpr double kGapCost = 2.1972245773362196;  // log(0.9 / 0.1)
/// Beyond this many sigmas a hole is no member: 99.9 % of plane normal errors lie within 3.72.
inline constexpr double kGateSigmas = 3.72;

/// Covariance of (start, pitch) for unit scatter, of members not strayed.
Eigen::Matrix2d spacing_covariance(std::span<const Member> members, double half = 0.0);

/// The spacing of greatest gain among `u_mm` (rising); at least three members. Every pair of near neighbours,
/// with up to two places between them, is tried as a start and followed to both sides.
std::optional<Spacing> best_spacing(std::span<const double> u_mm, const SpacingRules& rules);

}  // namespace fairhole::inference
