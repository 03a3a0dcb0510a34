// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "fairhole/base/length.h"
#include "report_sections.h"
#include "words.h"

namespace fairhole::report {
namespace {

constexpr const char* kFirstLine = "class=\"way\"";

/// What is done to old metal, in a word.
std::string way_name(Method method) {
  switch (method) {
    case Method::kOpenOut:
      return "oversize";
    case Method::kBush:
      return "bush";
    case Method::kPlug:
      return "re-drill";
    default:
      return "as it is";
  }
}

Html over_figures(std::string_view text) { return element("td", text, "colspan=\"3\" class=\"why\""); }

Html possible(const OtherWay& way) {
  const std::string name = way_name(way.method);
  const std::string size = is_bought_size(way.finish_diameter_mm) ? size_mm(way.finish_diameter_mm)
                                                                  : found_mm(way.finish_diameter_mm);
  Html cells = way.taken ? element("td", element("b", name + ", taken")) : element("td", name);
  for (const std::string& figure : {size + " mm", format_mm(way.cost, 1), odds_figure(way.odds_lower_bound)})
    cells += element("td", figure, "class=\"figures\"");
  Html rows = element("tr", cells, kFirstLine);
  if (way.taken || way.why.empty()) return rows;  // the card says why
  Html note = element("td", "");
  note += over_figures(way.why);
  rows += element("tr", note);
  return rows;
}

Html impossible(const OtherWay& way) {
  const bool of_size = way.method == Method::kOpenOut && way.finish_diameter_mm > 0.0;
  const std::string no = of_size ? fmt::format("no, at {} mm", found_mm(way.finish_diameter_mm)) : "no";
  Html cells = element("td", way_name(way.method));
  cells += over_figures(way.why.empty() ? no : fmt::format("{}: {}", no, way.why));
  return element("tr", cells, kFirstLine);
}

}  // namespace

Html ways_table(const StackPlan& stack) {
  Html rows;
  const OtherWay* before = nullptr;
  for (const OtherWay& way : stack.ways) {
    const bool said = before != nullptr && !before->allowed && !way.allowed && before->why == way.why &&
                      way_name(before->method) == way_name(way.method);
    if (!said) rows += way.allowed ? possible(way) : impossible(way);
    before = &way;
  }
  if (rows.empty()) return {};
  Html heads = element("th", "");
  for (const char* const head : {"finish", "cost", "odds at least"})
    heads += element("th", head, "class=\"figures\"");
  Html table = element("thead", element("tr", heads));
  table += element("tbody", rows);
  return element("table", table, "class=\"ways\"");
}

std::string margin_words(const StackPlan& stack) {
  constexpr double kNarrowMm = 0.1;
  constexpr double kShownMm = 0.005;  // less reads as nought
  const bool of_own_size =
      stack.method == Method::kOpenOut || stack.method == Method::kClear || stack.method == Method::kBush;
  if (!of_own_size || !(stack.margin_mm < kNarrowMm) || stack.margin_mm < 0.0) return {};
  const std::string by = stack.margin_mm < kShownMm ? "less than 0.01" : format_mm(stack.margin_mm, 2);
  return fmt::format("{} just holds, by {} mm once the doubt is allowed for.",
                     stack.method == Method::kClear ? "The bolt's room" : "The size", by);
}

}  // namespace fairhole::report
