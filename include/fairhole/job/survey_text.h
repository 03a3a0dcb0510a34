// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fairhole/survey/survey.h"

namespace fairhole {

/// The result in plain words: where the holes lie and how well, what to look at again and why, what nothing
/// checks, what to measure next. `readings` gives the words for a row.
std::string survey_text(const SurveyResult& result, const Readings& readings);

}  // namespace fairhole
