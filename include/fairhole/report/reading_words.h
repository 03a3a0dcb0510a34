// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fairhole/report/report_html.h"

/// How one reading is spoken of, in the report and wherever else readings are looked at.
namespace fairhole::report {

/// "row 7: along to A7, 110 mm".
std::string row_words(const ReadingFinding& reading);

/// The residual's own sigma, from its standardised value; a tape's where that says nothing.
double residual_sigma_mm(const ReadingFinding& reading);

/// Left out of the adjustment, or against the others beyond chance.
bool is_suspect(const ReadingFinding& reading);

/// What is wrong with a suspect reading, and the slip that explains it best: "row 7: along to A7, 110
/// mm, 10.1 mm more than the others make it. Most likely: misread by 10 mm (97 in 100). Left out."
std::string suspect_words(const ReadingFinding& reading);

}  // namespace fairhole::report
