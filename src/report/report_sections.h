// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/report/report_html.h"
#include "html.h"
#include "moon.h"

/// The stations of the report, each in a file of its own.
namespace fairhole::report {

/// What to drill, open out and look at again, in short sentences; the odds of the whole job.
Html summary_section(const ReportInput& input);
/// What was measured: suspect readings in plain words, unchecked ones, the next one to take, every figure.
Html readings_section(const ReportInput& input);
/// How each part sits, with its residual arrows.
Result<Html> parts_section(const ReportInput& input);
/// Each plate to scale.
Result<Html> plates_section(const ReportInput& input);
/// The decisions in a table with small likenesses, with reasons and what rules out the cheaper method.
Result<Html> decisions_section(const ReportInput& input, const Letters& letters);
/// Every stack enlarged.
Result<Html> stacks_section(const ReportInput& input, const Letters& letters);
/// Warnings, files, cautions.
Html warnings_section(const ReportInput& input);
Html files_section(const ReportInput& input);
Html cautions_section();

/// "97 in 100" kept on one line.
Html odds_html(double odds);
/// State word, with a mark of its own shape before it.
Html state_html(State state);

}  // namespace fairhole::report
