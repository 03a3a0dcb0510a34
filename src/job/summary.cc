// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/summary.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <functional>
#include <map>
#include <set>

#include "fairhole/base/odds_words.h"

namespace fairhole::job {
namespace {

using Wanted = std::function<bool(const StackPlan&)>;

/// "left-toe T1, T2; beam/back LN1", or empty.
std::string stack_list(const Plan& plan, const Wanted& wanted) {
  std::vector<std::string> carriers;
  std::map<std::string, std::vector<std::string>> ids;
  for (const StackPlan& stack : plan.stacks) {
    if (!wanted(stack)) continue;
    if (!ids.contains(stack.plate)) carriers.push_back(stack.plate);
    ids[stack.plate].push_back(stack.id);
  }
  std::vector<std::string> texts;
  texts.reserve(carriers.size());
  for (const std::string& carrier : carriers) {
    texts.push_back(fmt::format("{}: {}", carrier, fmt::join(ids[carrier], ", ")));
  }
  return fmt::format("{}", fmt::join(texts, "; "));
}

std::size_t count(const Plan& plan, const Wanted& wanted) {
  return static_cast<std::size_t>(std::count_if(plan.stacks.begin(), plan.stacks.end(), wanted));
}

void line(std::string& text, const Plan& plan, const char* words, const Wanted& wanted) {
  if (const std::size_t n = count(plan, wanted); n > 0) {
    text += fmt::format("  {:<15}{:>3}  {}\n", words, n, stack_list(plan, wanted));
  }
}

Wanted by_method(Method method) {
  return [method](const StackPlan& s) { return s.method == method && s.state != State::kUndecided; };
}

std::size_t doubtful_readings(const ReportInput& report) {
  std::size_t n = 0;
  for (const FaceFindings& face : report.faces) {
    n += static_cast<std::size_t>(std::count_if(face.readings.begin(), face.readings.end(),
                                                [](const ReadingFinding& r) { return r.rejected; }));
  }
  return n;
}

std::string doubtful_lines(const ReportInput& report) {
  std::string text;
  for (const FaceFindings& face : report.faces) {
    for (const ReadingFinding& reading : face.readings) {
      if (!reading.rejected) continue;
      text += fmt::format("    {}, {}: row {}, {}{}\n", face.part, face.face, reading.row, reading.text,
                          reading.slip.empty() ? "" : fmt::format(" ({}?)", reading.slip));
    }
  }
  return text;
}

}  // namespace

std::string run_summary(const RunResult& result, const std::string& folder) {
  const ReportInput& report = result.report;
  const Plan& plan = report.plan;
  std::string text = report.title.job + "\n";
  if (report.not_to_be_drilled)
    text += "NOT TO BE DRILLED: the data cannot give the whole answer; see the messages.\n";
  line(text, plan, "transfer", by_method(Method::kTransfer));
  line(text, plan, "open out", by_method(Method::kOpenOut));
  line(text, plan, "clear", by_method(Method::kClear));
  line(text, plan, "bush", by_method(Method::kBush));
  line(text, plan, "plug, re-drill", by_method(Method::kPlug));
  line(text, plan, "to the drawing", by_method(Method::kDrillToDrawing));
  line(text, plan, "left out", by_method(Method::kLeaveOut));
  line(text, plan, "look again", [](const StackPlan& s) { return s.state == State::kLookAgain; });
  line(text, plan, "undecided", [](const StackPlan& s) { return s.state == State::kUndecided; });
  if (const std::size_t n = doubtful_readings(report); n > 0) {
    text += fmt::format("  {} reading{} set aside; read again:\n{}", n, n == 1 ? "" : "s",
                        doubtful_lines(report));
  }
  if (!plan.stacks.empty()) {
    text += fmt::format("  Odds that every decided hole comes out as planned, {}: {}.\n",
                        report.way_of_drilling, odds_words(plan.odds));
  }
  const std::size_t warnings = plan.warnings.size() + report.warnings.size() + report.open_loops.size();
  if (warnings > 0)
    text += fmt::format("  {} warning{} in the report.\n", warnings, warnings == 1 ? "" : "s");
  text += fmt::format("Files in {}:\n", folder);
  for (const ResultFile& file : result.files) text += fmt::format("  {:<28} {}\n", file.name, file.purpose);
  return text;
}

}  // namespace fairhole::job
