// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

/// Resistances of EN 1993-1-8:2005 as design guides print them (Steel Buildings in Europe). A check of sense
/// beside the original fastener, never a design. Newton, mm, MPa; sizes and strengths above 0 (asserted).
namespace fairhole::fasteners {

/// Table 3.4, alpha_v: 0.6 where the shank lies in the shear plane, and for 4.6, 5.6, 8.8; 0.5
/// for 4.8, 5.8, 6.8, 10.9 with the thread in it.
double shear_factor(double grade, bool thread_in_plane);

/// Fv,Rd = alpha_v fub A / gamma, for one plane.
double shear_resistance_n(double factor, double ultimate_mpa, double area_mm2, double gamma);

/// Fv,Rd = 0.6 fur A0 / gamma of a driven rivet, A0 of the hole (table 3.4; from memory).
double rivet_shear_n(double ultimate_mpa, double hole_mm, double gamma);

/// beta_p = 9 d / (8 d + 3 tp), 1 where the packing is up to d/3: clause 3.6.1(12).
double packing_factor(double diameter_mm, double packing_mm);

/// Distances of one fastener in one layer. None: there is no such neighbour (an end bolt has no inner pitch).
struct BearingPlace {
  std::optional<double> end_mm;    ///< e1, an end bolt's
  std::optional<double> pitch_mm;  ///< p1, an inner bolt's
  std::optional<double> edge_mm;   ///< e2
  std::optional<double> gauge_mm;  ///< p2
};

struct Bearing {
  double alpha_b = 0.0;
  double k1 = 0.0;
  double resistance_n = 0.0;
};
/// Fb,Rd = k1 alpha_b fu d t / gamma: alpha_b the least of e1/(3 d0), p1/(3 d0) - 1/4, fub/fu, 1; k1 the
/// least of 2.8 e2/d0 - 1.7, 1.4 p2/d0 - 1.7, 2.5, and not below 0. `d` = d0 for a rivet (from memory).
Bearing bearing_of(const BearingPlace& place, double diameter_mm, double hole_mm, double thickness_mm,
                   double plate_ultimate_mpa, double fastener_ultimate_mpa, double gamma);

/// Clause 3.7(1): the bearings' sum where every fastener's shear is at least the largest bearing; else the
/// number of fasteners times the smallest of all resistances. Requires as many of each, at least one
/// (asserted).
double group_resistance_n(const std::vector<double>& bearing_n, const std::vector<double>& shear_n);

/// Veff,1,Rd = fu Ant / gamma2 + fy / sqrt 3 Anv / gamma0: clause 3.10.2(2), a group loaded centrally.
double block_tearing_n(double ultimate_mpa, double yield_mpa, double net_tension_mm2, double net_shear_mm2,
                       double gamma2, double gamma0);

}  // namespace fairhole::fasteners
