// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/fits/iso286.h"

namespace fairhole {

/// A nominal size with a hole class, a shaft class, or both.
struct FitRequest {
  double nominal_mm = 0.0;
  std::string nominal_text;  ///< as written: "22", "7/8 in"
  std::optional<ToleranceClass> hole;
  std::optional<ToleranceClass> shaft;
};

/// Reads `22 H7/k6`, `22H7/k6`, `7/8 in H7/k6`, `22.5 mm k6`, `1 1/16 in H7`. A bare number is mm; lengths as
/// parse_length_mm reads them. An inch size takes the standard's metric step that holds it.
/// Problems: kFitText for what is no fit (hole class after the shaft class too), kBadLength for the size.
Result<FitRequest> parse_fit(std::string_view text);

/// Limits of size of what was asked for.
struct FitLimits {
  FitRequest request;
  std::optional<SizeLimits> hole;
  std::optional<SizeLimits> shaft;
};

/// Problems: as limits_of(); all of them at once.
Result<FitLimits> fit_limits(const FitRequest& request);

/// Least and most clearance, negative where the shaft is larger. Requires both parts (asserted).
SizeLimits clearance_of(const FitLimits& fit);

enum class FitCharacter { kClearance, kTransition, kInterference };
const char* fit_character_name(FitCharacter character);  ///< "clearance fit", ...
/// Clearance: the least is 0 or more; interference: the most is 0 or less.
FitCharacter character_of(const SizeLimits& clearance);

/// Limits of one shank for one bore as measured: the bore plus the shaft class's deviations at the nominal
/// size, narrowed at both ends by twice the bore's sigma. Problems: kFitNoShaft without a shaft class;
/// kFitBadBore for a bore or sigma that cannot be, or a bore further than 10 % from the nominal size;
/// kFitNoShankLeft when the bore is not known well enough to leave anything; and those of deviations().
Result<SizeLimits> shank_for_bore(const FitRequest& request, double bore_mm, double bore_sigma_mm);

/// Old inch practice beside ISO: allowance in proportion to the diameter, from
/// src/fits/data/inch_practice.csv (from memory). Positive: the shaft is larger.
struct InchAllowance {
  std::string name;  ///< "driving"
  double least_mm = 0.0;
  double most_mm = 0.0;
};
std::vector<InchAllowance> inch_allowances(double nominal_mm);

namespace codes {
inline constexpr Code kFitText{440};         ///< text that is no fit
inline constexpr Code kFitNoShaft{443};      ///< a shank is asked for and no shaft class is given
inline constexpr Code kFitBadBore{444};      ///< a bore or its sigma that cannot be
inline constexpr Code kFitNoShankLeft{780};  ///< the bore's uncertainty leaves no shank within the class
}  // namespace codes

}  // namespace fairhole
