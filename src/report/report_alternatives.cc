// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>

#include "fairhole/base/length.h"
#include "fairhole/fairing/alternatives.h"
#include "report_sections.h"
#include "words.h"

namespace fairhole::report {
namespace {

const Alternative* seated_alone(const Plan& plan) {
  const auto found = std::find_if(plan.alternatives.begin(), plan.alternatives.end(),
                                  [](const Alternative& each) { return each.name == kSeatedAlone; });
  return found == plan.alternatives.end() ? nullptr : &*found;
}

/// What `more` asks for beyond `less`, in things a fitter counts.
std::vector<std::string> beyond(const PlanCount& more, const PlanCount& less) {
  std::vector<std::string> says;
  const auto say = [&says](int count, const char* one, const char* many) {
    if (count > 0) says.push_back(count_words(static_cast<std::size_t>(count), one, many));
  };
  say(more.undecided - less.undecided, "undecided hole", "undecided holes");
  say(more.plugs - less.plugs, "plug", "plugs");
  say(more.bushes - less.bushes, "bush", "bushes");
  say(more.opened - less.opened, "old hole opened out", "old holes opened out");
  say(more.odd_sizes - less.odd_sizes, "odd size", "odd sizes");
  return says;
}

std::string first_upper(std::string text) {
  if (!text.empty()) text.replace(0, 1, upper_case(text.substr(0, 1)));
  return text;
}

/// "Fewest plugs and least metal taken from old parts come to this same plan."
std::string same_words(const Plan& plan) {
  std::vector<std::string> names;
  for (std::size_t i = 1; i < plan.alternatives.size(); ++i) {
    if (plan.alternatives[i].same) names.push_back(plan.alternatives[i].name);
  }
  if (names.empty()) return {};
  return fmt::format("{} {} to this same plan.", first_upper(list_words(names)),
                     names.size() == 1 ? "comes" : "come");
}

/// By itself each part lies as its own holes like it best, wherever the others then are.
std::string alone_words(const ReportInput& input) {
  const Alternative* alone = seated_alone(input.plan);
  if (alone == nullptr || alone->same || input.together.empty()) return {};
  return "Each part seated by itself is there to compare with; where parts touch they may then not meet.";
}

std::vector<Html> row_of(const Alternative& each, const Html& name, bool with_bushes) {
  const PlanCount& count = each.count;
  const auto figure = [](int n) { return escaped(fmt::format("{}", n)); };
  std::vector<Html> row{name, figure(count.plugs)};
  if (with_bushes) row.push_back(figure(count.bushes));
  for (const Html& cell :
       {figure(count.opened), figure(count.odd_sizes), figure(count.sizes),
        escaped(format_mm(count.metal_cm3, 0)), figure(count.undecided), escaped(odds_figure(each.odds))})
    row.push_back(cell);
  return row;
}

}  // namespace

std::string gain_words(const Plan& plan) {
  const Alternative* alone = seated_alone(plan);
  if (alone == nullptr || alone->same) return {};
  const PlanCount& here = plan.alternatives.front().count;
  const std::vector<std::string> saved = beyond(alone->count, here);
  if (saved.empty()) return {};
  const std::vector<std::string> spent = beyond(here, alone->count);
  return fmt::format("Seating all parts together saves {} against seating each by itself{}.",
                     list_words(saved),
                     spent.empty() ? "" : fmt::format(", and costs {} more", list_words(spent)));
}

Html alternatives_section(const ReportInput& input) {
  const std::vector<Alternative>& all = input.plan.alternatives;
  if (all.size() < 2) return {};
  const bool bushes =
      std::any_of(all.begin(), all.end(), [](const Alternative& each) { return each.count.bushes > 0; });
  std::vector<std::vector<Html>> rows{row_of(all.front(), element("b", "this plan"), bushes)};
  for (std::size_t i = 1; i < all.size(); ++i) {
    if (!all[i].same) rows.push_back(row_of(all[i], escaped(all[i].name), bushes));
  }
  Html out = element("h2", "What else could be done", "id=\"else\"");
  out += paragraph(
      "The same job worked out again, each time with one wish put before all others; the best found in a "
      "short search. Plugs and holes opened out are counted in old parts.");
  std::vector<HtmlColumn> columns{{""}, {"plugs", true}};
  if (bushes) columns.push_back({"bushes", true});
  for (const char* const name :
       {"opened out", "odd sizes", "sizes", "metal, cm\u00B3", "un\u00ADdecided", "odds in 100"})
    columns.push_back({name, true});
  const Html table = html_table(columns, rows);
  out += element("div", table, "class=\"else\"");
  for (const std::string& says : {same_words(input.plan), gain_words(input.plan), alone_words(input)}) {
    if (!says.empty()) out += paragraph(says);
  }
  out += paragraph(
      "An odd size is a hole reamed to another size than most of its group. The odds are that every decided "
      "hole comes out as planned; undecided ones are not in them. Sizes are those that want a tool of their "
      "own. To have another row: in the job file "
      "change \"costs\", or \"may_be_opened\" of a face, and run again.",
      "facts");
  return out;
}

}  // namespace fairhole::report
