// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "adjust.h"

namespace fairhole {

/// What taking a measured hole for a nominal one brings, against leaving both alone. Only gains above zero
/// need to be listed.
struct Gain {
  Pairing pair;
  double gain = 0.0;
};

/// The one-to-one pairing of largest total gain; holes may stay alone. Exact: the gains fall apart into small
/// connected groups, and each is solved by shortest augmenting paths (Jonker and Volgenant 1987, Computing
/// 38). Sorted by nominal hole.
std::vector<Pairing> best_assignment(const std::vector<Gain>& gains, int nominal_count, int measured_count);

}  // namespace fairhole
