// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fairhole/survey/survey.h"

namespace fairhole {

/// The result as JSON text with a line end: lengths in mm, angles in degrees, covariances in mm2; null where
/// there is no number. docs/survey.md lists the keys.
std::string survey_json(const SurveyResult& result);

}  // namespace fairhole
