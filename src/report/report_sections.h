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
Result<Html> readings_section(const ReportInput& input);
/// Which part lies on what, its letter, what was found of the drawing's holes.
Html parts_section(const ReportInput& input, const Letters& letters);
/// How to set each part, and how its old holes stray.
Result<Html> seats_section(const ReportInput& input);
/// Each plate to scale.
Result<Html> plates_section(const ReportInput& input);
/// Every hole: what asks for a decision or for your eye first, each enlarged; what is settled by rows, a line
/// each, the table folded.
Result<Html> holes_section(const ReportInput& input, const Letters& letters);
/// The same job under other wishes, a row each; nothing when nobody asked.
Html alternatives_section(const ReportInput& input);
/// "Seating all parts together saves 1 plug against seating each by itself."; empty where it saves nothing.
std::string gain_words(const Plan& plan);
/// As it is, oversize, re-drill: a small table; nothing for a stack without ways.
Html ways_table(const StackPlan& stack);
/// "The size just holds, by 0.03 mm."; empty where there is room, or no size of its own.
std::string margin_words(const StackPlan& stack);
/// Pieces, what is left open, the check of sense; nothing without a schedule.
Html fasteners_section(const ReportInput& input);
/// Warnings, files, cautions.
Html warnings_section(const ReportInput& input);
Html files_section(const ReportInput& input);
Html cautions_section();

/// "20.7 to 22.6 mm": finish diameters of holes that take their old holes' sizes. Requires one stack at
/// least.
std::string found_range(const std::vector<const StackPlan*>& stacks);

/// "97 in 100" kept on one line.
Html odds_html(double odds);
/// State word, with a mark of its own shape before it.
Html state_html(State state);

}  // namespace fairhole::report
