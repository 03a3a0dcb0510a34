// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/resistance.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

namespace fairhole::fasteners {

double shear_factor(double grade, bool thread_in_plane) {
  constexpr double kSameGrade = 0.01;
  constexpr double kWeaker[] = {4.8, 5.8, 6.8, 10.9};
  const bool weaker = std::any_of(std::begin(kWeaker), std::end(kWeaker),
                                  [grade](double other) { return std::abs(other - grade) < kSameGrade; });
  return thread_in_plane && weaker ? 0.5 : 0.6;
}

double shear_resistance_n(double factor, double ultimate_mpa, double area_mm2, double gamma) {
  assert(factor > 0.0 && ultimate_mpa > 0.0 && area_mm2 > 0.0 && gamma > 0.0);
  return factor * ultimate_mpa * area_mm2 / gamma;
}

double rivet_shear_n(double ultimate_mpa, double hole_mm, double gamma) {
  return shear_resistance_n(0.6, ultimate_mpa, std::numbers::pi / 4.0 * hole_mm * hole_mm, gamma);
}

double packing_factor(double diameter_mm, double packing_mm) {
  assert(diameter_mm > 0.0 && packing_mm >= 0.0);
  if (packing_mm <= diameter_mm / 3.0) return 1.0;
  return std::min(1.0, 9.0 * diameter_mm / (8.0 * diameter_mm + 3.0 * packing_mm));
}

Bearing bearing_of(const BearingPlace& place, double diameter_mm, double hole_mm, double thickness_mm,
                   double plate_ultimate_mpa, double fastener_ultimate_mpa, double gamma) {
  assert(diameter_mm > 0.0 && hole_mm > 0.0 && thickness_mm > 0.0 && gamma > 0.0);
  Bearing bearing;
  bearing.alpha_b = std::min(1.0, fastener_ultimate_mpa / plate_ultimate_mpa);
  if (place.end_mm) bearing.alpha_b = std::min(bearing.alpha_b, *place.end_mm / (3.0 * hole_mm));
  if (place.pitch_mm) bearing.alpha_b = std::min(bearing.alpha_b, *place.pitch_mm / (3.0 * hole_mm) - 0.25);
  bearing.k1 = 2.5;
  if (place.edge_mm) bearing.k1 = std::min(bearing.k1, 2.8 * *place.edge_mm / hole_mm - 1.7);
  if (place.gauge_mm) bearing.k1 = std::min(bearing.k1, 1.4 * *place.gauge_mm / hole_mm - 1.7);
  bearing.alpha_b = std::max(0.0, bearing.alpha_b);
  bearing.k1 = std::max(0.0, bearing.k1);
  bearing.resistance_n =
      bearing.k1 * bearing.alpha_b * plate_ultimate_mpa * diameter_mm * thickness_mm / gamma;
  return bearing;
}

double group_resistance_n(const std::vector<double>& bearing_n, const std::vector<double>& shear_n) {
  assert(!bearing_n.empty() && bearing_n.size() == shear_n.size());
  const double least_shear_n = *std::min_element(shear_n.begin(), shear_n.end());
  const auto [least, most] = std::minmax_element(bearing_n.begin(), bearing_n.end());
  if (least_shear_n < *most) return static_cast<double>(bearing_n.size()) * std::min(*least, least_shear_n);
  double sum_n = 0.0;
  for (const double one_n : bearing_n) sum_n += one_n;
  return sum_n;
}

double block_tearing_n(double ultimate_mpa, double yield_mpa, double net_tension_mm2, double net_shear_mm2,
                       double gamma2, double gamma0) {
  assert(gamma2 > 0.0 && gamma0 > 0.0);
  return ultimate_mpa * net_tension_mm2 / gamma2 + yield_mpa / std::numbers::sqrt3 * net_shear_mm2 / gamma0;
}

}  // namespace fairhole::fasteners
