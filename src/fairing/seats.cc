// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "fairhole/base/length.h"
#include "fairhole/fairing/assemble.h"

namespace fairhole {
namespace {

Angle wrapped(Angle angle) { return Angle::radians(std::remainder(angle.radians(), 2.0 * std::numbers::pi)); }

Eigen::Vector2d middle_of_matches(const Registration& registration, const MeasuredFace& measured) {
  Eigen::Vector2d sum = Eigen::Vector2d::Zero();
  double count = 0.0;
  for (const Match& match : registration.matches) {
    if (const MeasuredHole* hole = measured.find(match.measured)) {
      sum += hole->centre_mm;
      count += 1.0;
    }
  }
  return count > 0.0 ? Eigen::Vector2d(sum / count) : Eigen::Vector2d::Zero();
}

}  // namespace

SeatShift seat_shift(const PlateFromFace& nominal, const PlateFromFace& seat) {
  const Eigen::Vector2d shift = seat.motion.shift_mm - nominal.motion.shift_mm;
  return {shift.x(), shift.y(), wrapped(seat.motion.turn - nominal.motion.turn)};
}

LimitedSeat seat_within_play(const PlateFromFace& nominal, const PlateFromFace& asked, const Play& play,
                             const Eigen::Vector2d& pivot_mm) {
  const Angle turn = Angle::radians(std::clamp(seat_shift(nominal, asked).turn.radians(),
                                               play.turn_min.radians(), play.turn_max.radians()));
  LimitedSeat limited{asked, false};
  limited.seat.motion.turn = nominal.motion.turn + turn;
  limited.seat.motion.shift_mm = asked * pivot_mm - limited.seat.motion.linear() * pivot_mm;
  const SeatShift wanted = seat_shift(nominal, limited.seat);
  const Eigen::Vector2d shift(std::clamp(wanted.along_mm, play.along_min_mm, play.along_max_mm),
                              std::clamp(wanted.across_mm, play.across_min_mm, play.across_max_mm));
  limited.seat.motion.shift_mm = nominal.motion.shift_mm + shift;
  constexpr double kReachedMm =
      1e-9;  // rounding; a seat asked for at the very limit is not short of anything
  limited.at_limit = std::abs(wrapped(asked.motion.turn - limited.seat.motion.turn).radians()) > 1e-12 ||
                     std::abs(shift.x() - wanted.along_mm) > kReachedMm ||
                     std::abs(shift.y() - wanted.across_mm) > kReachedMm;
  return limited;
}

Result<SeatedFace> seat_face(const FacePlace& place, const PlateFromFace& nominal,
                             const Motion& plate_from_pattern, const Registration& registration,
                             const MeasuredFace& measured, const Play& play) {
  const PlateFromFace asked{plate_from_pattern * registration.face_from_pattern.motion.inverse()};
  if (asked.motion.mirrored != nominal.motion.mirrored) {
    return Problem{
        codes::kSeatWrongHand, fmt::format("{}, {}", place.part, place.joint),
        "the measured holes are of the other hand than the seat",
        "check from which side the face was measured and on which side of the plate the part lies"};
  }
  const LimitedSeat limited =
      seat_within_play(nominal, asked, play, middle_of_matches(registration, measured));
  return SeatedFace{place.part, place.face,   place.joint,      place.plate,
                    nominal,    limited.seat, limited.at_limit, play};
}

}  // namespace fairhole
