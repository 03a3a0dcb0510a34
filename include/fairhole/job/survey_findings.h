// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/report/report_html.h"
#include "fairhole/survey/survey.h"

namespace fairhole::job {

/// What the survey found on one face, with every reading in words; whose face it is and where the readings
/// come from is left open.
FaceFindings survey_findings(const Readings& readings, const SurveyResult& survey);

}  // namespace fairhole::job
