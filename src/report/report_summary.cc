// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "fairhole/base/length.h"
#include "report_sections.h"
#include "words.h"

namespace fairhole::report {
namespace {

std::vector<std::string> ids_where(const Plan& plan, const std::string& plate, auto&& keep) {
  std::vector<std::string> ids;
  for (const StackPlan& stack : plan.stacks) {
    if (stack.plate == plate && keep(stack)) ids.push_back(stack.id);
  }
  return ids;
}

/// "Open out to 22.23 mm: A1, A2 and A3." for every finish size of one method.
void say_by_size(std::vector<std::string>& says, const Plan& plan, const std::string& plate, Method method,
                 const std::string& verb) {
  std::map<double, std::vector<std::string>> by_size;
  for (const StackPlan& stack : plan.stacks) {
    if (stack.plate == plate && stack.method == method) by_size[stack.finish_diameter_mm].push_back(stack.id);
  }
  for (const auto& [size_key_mm, ids] : by_size) {
    says.push_back(fmt::format("{} {} mm{}: {}.", verb, size_mm(size_key_mm),
                               ids.size() > 3 ? fmt::format(" ({} holes)", ids.size()) : "",
                               list_words(ids)));
  }
}

std::vector<std::string> work_of(const Plan& plan, const std::string& plate) {
  std::vector<std::string> says;
  say_by_size(says, plan, plate, Method::kTransfer, "Drill where the old hole is,");
  say_by_size(says, plan, plate, Method::kDrillToDrawing, "Drill to the drawing,");
  say_by_size(says, plan, plate, Method::kOpenOut, "Open out to");
  say_by_size(says, plan, plate, Method::kClear,
              "The old holes stay and the bolt passes; drill the new plate");
  say_by_size(says, plan, plate, Method::kBush, "Bush, then finish to");
  say_by_size(says, plan, plate, Method::kPlug, "Plug the old holes and drill afresh,");
  const auto left_out =
      ids_where(plan, plate, [](const StackPlan& s) { return s.method == Method::kLeaveOut; });
  if (!left_out.empty()) says.push_back(fmt::format("No hole here: {}.", list_words(left_out)));
  const auto open = ids_where(plan, plate, [](const StackPlan& s) { return s.state == State::kLookAgain; });
  if (!open.empty()) says.push_back(fmt::format("Look again before drilling: {}.", list_words(open)));
  const auto undecided =
      ids_where(plan, plate, [](const StackPlan& s) { return s.state == State::kUndecided; });
  if (!undecided.empty()) says.push_back(fmt::format("Undecided: {}.", list_words(undecided)));
  const auto pinned = ids_where(plan, plate, [](const StackPlan& s) { return s.state == State::kPinned; });
  if (!pinned.empty()) says.push_back(fmt::format("Pinned by you: {}.", list_words(pinned)));
  return says;
}

std::vector<std::string> plates_of(const Plan& plan) {
  std::vector<std::string> plates;
  for (const StackPlan& stack : plan.stacks) {
    if (std::find(plates.begin(), plates.end(), stack.plate) == plates.end()) plates.push_back(stack.plate);
  }
  return plates;
}

Html problems_of(const ReportInput& input) {
  Html list;
  for (const Problem& problem : input.problems) {
    std::string text = problem.where.empty() ? problem.what : problem.where + ": " + problem.what;
    if (!problem.remedy.empty()) text += "; " + problem.remedy;
    Html line = escaped(text + ". ");
    line += element("span", code_name(problem.code), "class=\"code\"");
    list += element("li", line);
  }
  return list.empty() ? Html{} : element("ul", list, "class=\"trouble plain\"");
}

std::vector<std::string> job_words(const ReportInput& input) {
  const Plan& plan = input.plan;
  if (plan.stacks.empty()) return {};
  const std::string way = input.way_of_drilling.empty() ? "" : ", " + input.way_of_drilling;
  std::vector<std::string> says{
      fmt::format("Odds that every hole of the job comes out{}: {}.", way, odds_words(plan.odds))};
  if (plan.proven) {
    says.emplace_back("No cheaper plan exists under the costs of the job: proven.");
  } else if (plan.cost > 0.0 && plan.bound < plan.cost) {
    says.push_back(plan.bound > 0.0
                       ? fmt::format("Best plan found; no plan can cost less than {:.0f} in 100 of it.",
                                     100.0 * plan.bound / plan.cost)
                       : "Best plan found; not proven to be the cheapest.");
  }
  return says;
}

}  // namespace

Html odds_html(double odds) { return element("span", odds_words(odds), "class=\"keep\""); }

Html state_html(State state) {
  // A shape for each, so that black and white and colour-blind eyes lose nothing.
  const char* shape = state == State::kSettled     ? "\u2713 "
                      : state == State::kUndecided ? "? "
                      : state == State::kLookAgain ? "\u25B2 "
                                                   : "\u25CF ";
  return element("span", std::string(shape) + state_name(state), "class=\"state\"");
}

Html summary_section(const ReportInput& input) {
  Html out = element("h2", "What to do", "id=\"todo\"");
  out += problems_of(input);
  std::size_t slips = 0;
  for (const FaceFindings& face : input.faces) {
    slips += static_cast<std::size_t>(std::count_if(face.readings.begin(), face.readings.end(),
                                                    [](const ReadingFinding& r) { return r.rejected; }));
  }
  if (slips > 0) {
    out += paragraph(fmt::format("{} left out because {} not agree with the rest: see the readings.",
                                 count_words(slips, "reading was", "readings were"),
                                 slips == 1 ? "it does" : "they do"));
  }
  for (const std::string& plate : plates_of(input.plan)) {
    out += element("h3", plate);
    out += bullets(work_of(input.plan, plate));
  }
  for (const std::string& says : job_words(input)) out += paragraph(says);
  return out;
}

}  // namespace fairhole::report
