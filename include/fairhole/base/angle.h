// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <compare>
#include <numbers>

namespace fairhole {

/// An angle, counter-clockwise positive. Made and read by name, so that degrees never pass for radians.
class Angle {
 public:
  constexpr Angle() = default;
  static constexpr Angle radians(double value) { return Angle(value); }
  static constexpr Angle degrees(double value) { return Angle(value * std::numbers::pi / 180.0); }
  constexpr double radians() const { return radians_; }
  constexpr double degrees() const { return radians_ * 180.0 / std::numbers::pi; }
  constexpr Angle operator-() const { return Angle(-radians_); }
  friend constexpr Angle operator+(Angle a, Angle b) { return Angle(a.radians_ + b.radians_); }
  friend constexpr Angle operator-(Angle a, Angle b) { return Angle(a.radians_ - b.radians_); }
  friend constexpr auto operator<=>(Angle a, Angle b) = default;

 private:
  constexpr explicit Angle(double value) : radians_(value) {}
  double radians_ = 0.0;
};

/// For numbers that are radians already.
constexpr double degrees_of(double radians) { return Angle::radians(radians).degrees(); }

}  // namespace fairhole
