// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/registration/distortion.h"
#include "fairhole/registration/registration.h"

namespace fairhole::job {

/// `{"holes":[{"id","x","y","diameter"?}]}`, mm: the pattern of `fairhole register`.
Result<Pattern> parse_pattern(std::string_view text, const std::string& file);

/// The holes of survey output: `{"holes":[{"id","x","y","sxx","sxy","syy","diameter"?}],"covariance"?}`.
/// Without "covariance" the face has none, and whoever uses it takes the holes as independent.
Result<MeasuredFace> parse_measured(std::string_view text, const std::string& file);

/// The result as JSON text: pose (null when a rival cannot be ruled out), covariance (mm, mm, rad), matches,
/// missing, extra, rivals (with "how" each differs), swaps, distortion (of the likeliest pose).
std::string register_json(const Registration& registration, const Distortion& distortion);

/// The same in a fitter's words.
std::string register_text(const Registration& registration, const Distortion& distortion);

/// What an unsettled registration leaves open: "the pattern fits as well one pitch, 76.2 mm, further along".
std::string rivals_words(const Registration& registration);

/// True when all other poses together have odds of less than 1 in 100.
bool is_settled(const Registration& registration);

}  // namespace fairhole::job

namespace fairhole::codes {
inline constexpr Code kHolesFile{180};       ///< a pattern or measured file that is not as documented
inline constexpr Code kRegisterRivals{570};  ///< another pose fits about as well
}  // namespace fairhole::codes
