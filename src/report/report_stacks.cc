// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "fairhole/base/length.h"
#include "report_sections.h"
#include "words.h"

namespace fairhole::report {
namespace {

/// What the hatching of a stack means in words; empty when nothing is hatched that matters.
std::string overhang_words(const StackPlan& stack) {
  constexpr double kShownMm = 0.05;
  const double overhang = worst_overhang_mm(stack);
  if (overhang < kShownMm || stack.finish_diameter_mm <= 0.0) return {};
  const std::string by = format_mm(overhang, 1);
  if (stack.method == Method::kClear)
    return fmt::format("The old hole stands {} mm wider than the new one: room left round the bolt.", by);
  if (stack.method == Method::kPlug)
    return fmt::format("The old hole reaches {} mm beyond the new one: that crescent is plug.", by);
  return fmt::format("{} mm of old hole stays outside the new circle.", by);
}

double layer_sigma_mm(const LayerPlan& layer) {
  return std::sqrt(std::max(layer.centre_cov_mm2(0, 0), layer.centre_cov_mm2(1, 1)));
}

std::string layer_words(const LayerPlan& layer) {
  const int decimals = decimals_for(layer_sigma_mm(layer));
  std::string says = fmt::format("{}, hole {}: ", layer.part, layer.hole);
  says += layer.found_diameter_mm ? fmt::format("found {} mm", format_mm(*layer.found_diameter_mm, 1))
                                  : std::string("diameter not known");
  if (layer.ovality_mm > 0.0) says += fmt::format(", oval by {} mm", format_mm(layer.ovality_mm, 1));
  says += fmt::format(", off {} in x and {} in y", signed_mm(layer.misfit_mm.x(), decimals),
                      signed_mm(layer.misfit_mm.y(), decimals));
  return layer.action.empty() ? says + "." : fmt::format("{}; {}.", says, layer.action);
}

Html layer_list(const StackPlan& stack, const Letters& letters) {
  Html items;
  for (const LayerPlan& layer : stack.layers) {
    Html item;
    if (layer.new_plate) {
      item = escaped(layer.action.empty() ? "New plate." : fmt::format("New plate: {}.", layer.action));
    } else {
      item = element("b", letters.at(layer.part));
      item += escaped(" " + layer_words(layer) + " ");
      if (layer.state != stack.state) item += state_html(layer.state);
    }
    items += element("li", item);
  }
  return items.empty() ? Html{} : element("ul", items, "class=\"layers\"");
}

std::string size_words(const StackPlan& stack) {
  if (stack.finish_diameter_mm <= 0.0) return {};
  std::string says = fmt::format("{} mm, {}", size_mm(stack.finish_diameter_mm), finish_words(stack.finish));
  if (!stack.fastener.empty()) says += "; " + stack.fastener;
  return says + ".";
}

Result<Html> stack_card(const StackPlan& stack, std::size_t number, const Letters& letters) {
  Html inner = element("h3", fmt::format("{}: {}", stack.id, method_words(stack.method)));
  auto drawn = picture(draw_moon(stack, letters),
                       fmt::format("Stack {} enlarged: old rims about the new circle", stack.id));
  if (!drawn) return drawn;
  inner += *drawn;
  Html line = state_html(stack.state);
  line += escaped(" Odds ");
  line += odds_html(stack.odds);
  inner += element("p", line);
  for (const std::string& says : {size_words(stack), stack.reason, overhang_words(stack)}) {
    if (!says.empty()) inner += paragraph(says);
  }
  inner += layer_list(stack, letters);
  return element("article", inner, fmt::format("class=\"stack\" id=\"stack-{}\"", number));
}

Result<std::vector<Html>> decision_row(const StackPlan& stack, std::size_t number, const Letters& letters) {
  auto drawn = picture(draw_moon(stack, letters, {14.0, false}), "");
  if (!drawn) return drawn.problems();
  const std::string size = stack.finish_diameter_mm > 0.0 ? size_mm(stack.finish_diameter_mm) : "";
  Html reasons = escaped(stack.reason);
  if (!stack.ruled_out.empty()) reasons += paragraph("Nothing cheaper: " + stack.ruled_out, "old");
  return std::vector<Html>{element("div", *drawn, "class=\"small\""),
                           element("a", stack.id, fmt::format("href=\"#stack-{}\"", number)),
                           escaped(method_words(stack.method)),
                           escaped(size),
                           odds_html(stack.odds),
                           state_html(stack.state),
                           reasons};
}

Html letters_key(const Letters& letters) {
  std::vector<std::pair<std::string, std::string>> by_letter;
  by_letter.reserve(letters.size());
  for (const auto& [part, letter] : letters) by_letter.emplace_back(letter, part);
  std::sort(by_letter.begin(), by_letter.end(), [](const auto& a, const auto& b) {
    return std::pair(a.first.size(), a.first) < std::pair(b.first.size(), b.first);
  });
  std::vector<std::string> key;
  for (const auto& [letter, part] : by_letter)
    key.push_back(fmt::format("{} {} = {}", key.empty() ? "" : ";", letter, part));
  if (key.empty()) return {};
  std::string text = "Letters:";
  for (const std::string& entry : key) text += entry;
  return paragraph(text + ".");
}

}  // namespace

Result<Html> decisions_section(const ReportInput& input, const Letters& letters) {
  if (input.plan.stacks.empty()) return Html{};
  std::vector<std::pair<std::string, std::vector<std::vector<Html>>>> plates;  // in the order of the plan
  std::size_t number = 0;
  for (const StackPlan& stack : input.plan.stacks) {
    auto row = decision_row(stack, ++number, letters);
    if (!row) return row.problems();
    const auto known = std::find_if(plates.begin(), plates.end(),
                                    [&](const auto& entry) { return entry.first == stack.plate; });
    auto& rows = known != plates.end() ? known->second : plates.emplace_back(stack.plate, 0).second;
    rows.push_back(*row);
  }
  Html out = element("h2", "Decisions", "id=\"decisions\"");
  for (const auto& [plate, rows] : plates) {
    out += element("h3", plate);
    out += html_table({{""}, {"hole"}, {"do"}, {"finish, mm", true}, {"odds"}, {"state"}, {"why"}}, rows);
  }
  return out;
}

Result<Html> stacks_section(const ReportInput& input, const Letters& letters) {
  if (input.plan.stacks.empty()) return Html{};
  Html cards;
  std::size_t number = 0;
  for (const StackPlan& stack : input.plan.stacks) {
    auto card = stack_card(stack, ++number, letters);
    if (!card) return card;
    cards += *card;
  }
  Html out = element("h2", "Each stack, enlarged", "id=\"stacks\"");
  out += paragraph(
      "Heavy circle: the new hole. Fine double lines: the old rims, with the letter of their part. Close "
      "hatching: old hole left outside. Wide hatching: metal taken away. Ellipse: how well the old "
      "centre is known (95 in 100). Offsets and differences of size are enlarged, the new circle is not.");
  out += letters_key(letters);
  out += element("div", cards, "class=\"stacks\"");
  return out;
}

}  // namespace fairhole::report
