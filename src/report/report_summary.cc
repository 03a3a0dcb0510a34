// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "fairhole/base/length.h"
#include "fairhole/report/reading_words.h"
#include "report_sections.h"
#include "words.h"

namespace fairhole::report {
namespace {

using Stacks = std::vector<const StackPlan*>;

Stacks stacks_where(const Plan& plan, auto&& keep) {
  Stacks found;
  for (const StackPlan& stack : plan.stacks) {
    if (keep(stack)) found.push_back(&stack);
  }
  return found;
}

std::string ids_words(const Stacks& stacks) {
  std::vector<std::string> ids;
  for (const StackPlan* stack : stacks) ids.push_back(stack->id);
  return list_words(ids);
}

std::string counted(const Stacks& stacks) {
  return stacks.size() > 3 ? fmt::format(", {} holes", stacks.size()) : "";
}

/// "Open out to 7/8 in (22.23 mm): A1, A2 and A3." for every finish size of one method.
void say_by_size(std::vector<std::string>& says, const Plan& plan, const std::string& plate, Method method,
                 const std::string& verb) {
  std::map<double, Stacks> by_size;
  for (const StackPlan& stack : plan.stacks) {
    if (stack.plate == plate && stack.method == method) by_size[stack.finish_diameter_mm].push_back(&stack);
  }
  for (const auto& [size_key_mm, stacks] : by_size) {
    says.push_back(
        fmt::format("{} {}{}: {}.", verb, tool_size(size_key_mm), counted(stacks), ids_words(stacks)));
  }
}

/// Holes that take the old ones' sizes differ by tenths: one sentence for all.
void say_through_old(std::vector<std::string>& says, const Plan& plan, const std::string& plate) {
  const Stacks stacks = stacks_where(
      plan, [&](const StackPlan& s) { return s.plate == plate && s.method == Method::kTransfer; });
  if (stacks.empty()) return;
  says.push_back(fmt::format("Drill where the old hole is and finish to it, {}{}: {}.", found_range(stacks),
                             counted(stacks), ids_words(stacks)));
}

void say_state(std::vector<std::string>& says, const Plan& plan, const std::string& plate, State state,
               const char* words) {
  const Stacks stacks =
      stacks_where(plan, [&](const StackPlan& s) { return s.plate == plate && s.state == state; });
  if (!stacks.empty()) says.push_back(fmt::format("{}: {}.", words, ids_words(stacks)));
}

bool has_new_plate(const Plan& plan, const std::string& plate) {
  return std::any_of(plan.stacks.begin(), plan.stacks.end(), [&plate](const StackPlan& stack) {
    return stack.plate == plate && !stack.layers.empty() && stack.layers.front().new_plate;
  });
}

std::vector<std::string> work_of(const Plan& plan, const std::string& plate) {
  std::vector<std::string> says;
  say_through_old(says, plan, plate);
  say_by_size(says, plan, plate, Method::kDrillToDrawing, "Drill to the drawing,");
  say_by_size(says, plan, plate, Method::kOpenOut, "Open out to");
  if (has_new_plate(plan, plate)) {
    say_by_size(says, plan, plate, Method::kClear,
                "The old holes stay and the fastener passes; drill the new plate");
  } else {
    const Stacks clear = stacks_where(
        plan, [&](const StackPlan& s) { return s.plate == plate && s.method == Method::kClear; });
    if (!clear.empty())
      says.push_back(
          fmt::format("The old holes stay and the fastener passes{}: {}.", counted(clear), ids_words(clear)));
  }
  say_by_size(says, plan, plate, Method::kBush, "Bush, then finish to");
  say_by_size(says, plan, plate, Method::kPlug, "Plug the old holes and drill afresh,");
  const Stacks left_out = stacks_where(
      plan, [&](const StackPlan& s) { return s.plate == plate && s.method == Method::kLeaveOut; });
  if (!left_out.empty()) says.push_back(fmt::format("No hole here: {}.", ids_words(left_out)));
  say_state(says, plan, plate, State::kLookAgain, "Look again before drilling");
  say_state(says, plan, plate, State::kUndecided, "Undecided");
  say_state(says, plan, plate, State::kPinned, "Pinned by you");
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

/// What the search can answer for. The doubt of every hole follows from the holes that are bolted first.
std::string proof_words(const Plan& plan) {
  if (plan.proven)
    return "No cheaper plan exists under the costs of the job, with these first holes to bolt: proven.";
  if (!(plan.cost > 0.0) || !(plan.bound < plan.cost)) return {};
  const int in_hundred = static_cast<int>(std::floor(100.0 * plan.bound / plan.cost));
  std::string says =
      in_hundred > 0 ? fmt::format("Best plan found; no plan can cost less than {} in 100 of it.", in_hundred)
                     : "Best plan found; not proven to be the cheapest.";
  const bool none_fits = std::any_of(plan.stacks.begin(), plan.stacks.end(),
                                     [](const StackPlan& s) { return s.state == State::kUndecided; });
  return none_fits ? says + " A hole that nothing fits counts as ten plugs." : says;
}

std::vector<std::string> job_words(const ReportInput& input) {
  const Plan& plan = input.plan;
  if (plan.stacks.empty()) return {};
  const std::string way = input.way_of_drilling.empty() ? "" : ", " + input.way_of_drilling;
  std::vector<std::string> says{
      fmt::format("Odds that every decided hole comes out as planned{}: {}.", way, odds_words(plan.odds))};
  if (const std::string gain = gain_words(plan); !gain.empty()) says.push_back(gain);
  if (const std::string proof = proof_words(plan); !proof.empty()) says.push_back(proof);
  return says;
}

/// "1 reading does not agree; 41 holes to drill; 24 to open out; 1 to plug; 1 to look at again."
std::string standing_words(const ReportInput& input) {
  std::vector<std::string> says;
  std::size_t left_out = 0;
  std::size_t kept = 0;
  for (const FaceFindings& face : input.faces) {
    for (const ReadingFinding& reading : face.readings) {
      if (is_suspect(reading)) ++(reading.rejected ? left_out : kept);
    }
  }
  if (left_out > 0) {
    says.push_back(fmt::format("{} not agree and {} left out",
                               count_words(left_out, "reading does", "readings do"),
                               left_out == 1 ? "is" : "are"));
  }
  if (kept > 0) {
    says.push_back(
        fmt::format("{} against the others", count_words(kept, "reading stands", "readings stand")));
  }
  const auto say = [&](const char* words, auto&& keep) {
    const std::size_t count = stacks_where(input.plan, keep).size();
    if (count > 0) says.push_back(fmt::format("{} {}", count_words(count, "hole", "holes"), words));
  };
  const auto by = [](Method method) { return [method](const StackPlan& s) { return s.method == method; }; };
  say("to drill where the old one is", by(Method::kTransfer));
  say("to drill to the drawing", by(Method::kDrillToDrawing));
  say("to open out", by(Method::kOpenOut));
  say("that the fastener passes as they are", by(Method::kClear));
  say("to bush", by(Method::kBush));
  say("to plug and drill afresh", by(Method::kPlug));
  say("to look at again", [](const StackPlan& s) { return s.state == State::kLookAgain; });
  say("undecided", [](const StackPlan& s) { return s.state == State::kUndecided; });
  std::string text;
  for (const std::string& part : says) text += (text.empty() ? "" : "; ") + part;
  return text.empty() ? text : text + ".";
}

}  // namespace

std::string found_range(const std::vector<const StackPlan*>& stacks) {
  const auto [least, most] = std::minmax_element(
      stacks.begin(), stacks.end(),
      [](const StackPlan* a, const StackPlan* b) { return a->finish_diameter_mm < b->finish_diameter_mm; });
  return range_words(found_mm((*least)->finish_diameter_mm), found_mm((*most)->finish_diameter_mm), " mm");
}

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
  if (const std::string standing = standing_words(input); !standing.empty())
    out += paragraph(standing, "standing");
  for (const std::string& plate : plates_of(input.plan)) {
    out += element("h3", plate);
    out += bullets(work_of(input.plan, plate));
  }
  for (const std::string& says : job_words(input)) out += paragraph(says);
  return out;
}

}  // namespace fairhole::report
