// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>

#include "rim_fit.h"

/// Mouths that claim one place, compared on the same light.
namespace fairhole::photo {

/// By how many sigmas the depth of a chamfer differs from what its width lets expect.
double strangeness(const Mouth& mouth);

/// How well a mouth explains the light between two radii on the face: ln(scatter about the mean / scatter
/// about the steps), a mean over the lines of each of `kAccountSectors` equal sectors; not a number where
/// none is seen. Comparable between mouths at one place.
inline constexpr int kAccountSectors = 24;
using Account = std::array<double, kAccountSectors>;
Account account_of(const Picture& picture, const View& view, const Mouth& mouth, bool chamfer, double blur_px,
                   double inner_mm, double outer_mm);

/// Mean over the sectors; 0 where half of them are not seen.
double explained(const Account& account);

/// ln of the odds that `a` is right rather than `b`: the sectors' differences against their own scatter
/// (Vuong 1989, Econometrica 57(2): models none of which need be quite true), and how usual their chamfers
/// are.
double ln_odds(const Account& a, const Mouth& mouth_a, const Account& b, const Mouth& mouth_b);

}  // namespace fairhole::photo
