// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/fits/catalogue.h"

/// Heads of rivets, and of bolts that look like them.
namespace fairhole::fasteners {

/// A head as it stands on the work (a countersunk one: in it). mm.
struct HeadSize {
  HeadForm form = HeadForm::kSnap;
  double diameter_mm = 0.0;
  double height_mm = 0.0;  ///< depth of a countersunk head
};

/// Head of a rivet by its proportions. Requires a diameter above 0 (asserted), as all here.
HeadSize head_of_rivet(const RivetHead& head, double rivet_mm);

/// Radius of the sphere through a snap head's rim and crown: (h^2 + (D/2)^2) / (2 h).
double form_radius_mm(const HeadSize& head);

/// Metal in the head: snap, a spherical cap; pan and countersunk, a cone frustum down to the rivet's
/// diameter.
double head_volume_mm3(const HeadSize& head, double rivet_mm);

/// Length of shank that goes into the head, beyond the plate's face. A countersunk head lies below it, so
/// only what its cone holds beyond the cylinder counts.
double head_shank_mm(const HeadSize& head, double rivet_mm);

/// The cup of the set or dolly that forms a snap head: the head's own sphere, but shallower, so that the tool
/// strikes the head and not the plate.
struct Cup {
  double radius_mm = 0.0;
  double depth_mm = 0.0;
  double mouth_mm = 0.0;  ///< diameter of the cup at its rim
};
/// Depth: the head's height less 1/32 in. Common practice, no source. Requires a snap head higher than that
/// (asserted).
Cup cup_of(const HeadSize& head);

}  // namespace fairhole::fasteners
