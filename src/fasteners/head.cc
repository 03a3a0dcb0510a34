// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/head.h"

#include <cassert>
#include <cmath>
#include <numbers>

#include "fairhole/base/length.h"

namespace fairhole::fasteners {

HeadSize head_of_rivet(const RivetHead& head, double rivet_mm) {
  assert(rivet_mm > 0.0);
  return {head.form, head.diameter_ratio * rivet_mm, head.height_ratio * rivet_mm};
}

double form_radius_mm(const HeadSize& head) {
  const double half_mm = head.diameter_mm / 2.0;
  return (head.height_mm * head.height_mm + half_mm * half_mm) / (2.0 * head.height_mm);
}

double head_volume_mm3(const HeadSize& head, double rivet_mm) {
  const double h = head.height_mm, big = head.diameter_mm, small = rivet_mm;
  if (head.form == HeadForm::kSnap) return std::numbers::pi * h / 6.0 * (0.75 * big * big + h * h);
  return std::numbers::pi * h / 12.0 * (big * big + big * small + small * small);
}

double head_shank_mm(const HeadSize& head, double rivet_mm) {
  const double length_mm = head_volume_mm3(head, rivet_mm) / (std::numbers::pi / 4.0 * rivet_mm * rivet_mm);
  return head.form == HeadForm::kCountersunk ? length_mm - head.height_mm : length_mm;
}

Cup cup_of(const HeadSize& head) {
  constexpr double kShallowerMm = kMmPerInch / 32.0;
  assert(head.form == HeadForm::kSnap && head.height_mm > kShallowerMm);
  const double radius_mm = form_radius_mm(head), depth_mm = head.height_mm - kShallowerMm;
  const double below_centre_mm = radius_mm - depth_mm;
  return {radius_mm, depth_mm, 2.0 * std::sqrt(radius_mm * radius_mm - below_centre_mm * below_centre_mm)};
}

}  // namespace fairhole::fasteners
