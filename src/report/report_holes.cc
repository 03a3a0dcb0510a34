// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "fairhole/base/length.h"
#include "report_sections.h"
#include "words.h"

namespace fairhole::report {
namespace {

/// What the hatching of a stack means in words; empty when nothing is hatched that matters.
std::string overhang_words(const StackPlan& stack) {
  if (stack.method == Method::kBush) return "The thin broken circle is the outside of the bush.";
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
  if (!layer.found_diameter_mm && layer.state == State::kLookAgain) return says + "; look again.";
  constexpr double kShownMm = 0.05;  // less reads as nought
  if (layer.ovality_mm >= kShownMm) says += fmt::format(", oval by {} mm", format_mm(layer.ovality_mm, 1));
  says += fmt::format(", off {} in x and {} in y", signed_mm(layer.misfit_mm.x(), decimals),
                      signed_mm(layer.misfit_mm.y(), decimals));
  if (layer.bush_outside_mm) {
    return fmt::format("{}; open to {} and press in a bush with a bore of {} mm.", says,
                       tool_size(*layer.bush_outside_mm), size_mm(layer.finish_diameter_mm));
  }
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

/// A hole that takes its old hole's size has no tool's size.
std::string finish_size(const StackPlan& stack) {
  if (stack.finish_diameter_mm <= 0.0) return {};
  return stack.method == Method::kTransfer ? found_mm(stack.finish_diameter_mm) + " mm"
                                           : tool_size(stack.finish_diameter_mm);
}

std::string size_words(const StackPlan& stack) {
  if (stack.finish_diameter_mm <= 0.0) return {};
  std::string says = fmt::format("{}, {}", finish_size(stack), finish_words(stack.finish));
  if (!stack.fastener.empty()) says += "; " + stack.fastener;
  return says + ".";
}

Result<Html> stack_card(const StackPlan& stack, std::size_t number, const Letters& letters) {
  Html inner = element("h3", fmt::format("{}: {}", stack.id, method_words(stack.method)));
  const bool has_circle = stack.finish_diameter_mm > 0.0 ||
                          std::any_of(stack.layers.begin(), stack.layers.end(), [](const LayerPlan& layer) {
                            return layer.found_diameter_mm.has_value();
                          });
  if (has_circle) {
    auto drawn = picture(draw_moon(stack, letters),
                         fmt::format("Stack {} enlarged: old rims about the new circle", stack.id));
    if (!drawn) return drawn;
    inner += *drawn;
  }
  inner += paragraph("On " + stack.plate + ".", "facts");
  Html line = state_html(stack.state);
  if (stack.method != Method::kUndecided) {
    line += escaped(" Odds ");
    line += odds_html(stack.odds);
  }
  inner += element("p", line);
  for (const std::string& says : {size_words(stack), stack.reason, margin_words(stack),
                                  stack.ways.empty() ? stack.ruled_out : "", overhang_words(stack)}) {
    if (!says.empty()) inner += paragraph(says);
  }
  inner += ways_table(stack);
  inner += layer_list(stack, letters);
  return element("article", inner, fmt::format("class=\"stack\" id=\"stack-{}\"", number));
}

/// A stack with its place in the plan, which names its card.
struct Numbered {
  const StackPlan* stack = nullptr;
  std::size_t number = 0;
};

/// Not settled, or settled in a way or with odds that somebody should think about.
bool asks(const StackPlan& stack) {
  constexpr double kPoorOdds = 0.9;
  return stack.state != State::kSettled || stack.method == Method::kPlug || stack.method == Method::kBush ||
         stack.odds < kPoorOdds;
}

/// Settled stacks of one row that are treated alike.
using HoleRow = std::vector<Numbered>;

std::vector<HoleRow> rows_of(const std::vector<Numbered>& settled) {
  const auto alike = [](const StackPlan& a, const StackPlan& b) {
    constexpr double kSame = 1e-6;  // sizes are typed or converted, never measured
    const bool same_size =
        a.method == Method::kTransfer || std::abs(a.finish_diameter_mm - b.finish_diameter_mm) < kSame;
    return a.plate == b.plate && a.method == b.method && a.group == b.group && same_size;
  };
  std::vector<HoleRow> rows;
  for (const Numbered& entry : settled) {
    const auto known = std::find_if(rows.begin(), rows.end(), [&](const HoleRow& row) {
      return alike(*row.front().stack, *entry.stack);
    });
    (known != rows.end() ? *known : rows.emplace_back()).push_back(entry);
  }
  // All rows of a plate together, plates in the order of the plan.
  std::map<std::string, std::size_t> place;
  for (const HoleRow& row : rows) place.emplace(row.front().stack->plate, place.size());
  std::stable_sort(rows.begin(), rows.end(), [&](const HoleRow& a, const HoleRow& b) {
    return place.at(a.front().stack->plate) < place.at(b.front().stack->plate);
  });
  return rows;
}

const Numbered& poorest(const HoleRow& row) {
  return *std::min_element(row.begin(), row.end(), [](const Numbered& a, const Numbered& b) {
    return a.stack->odds < b.stack->odds;
  });
}

Result<std::vector<Html>> table_row(const StackPlan& stack, std::size_t number, bool has_card,
                                    const Letters& letters) {
  auto drawn = picture(draw_moon(stack, letters, {14.0, false}), "");
  if (!drawn) return drawn.problems();
  const std::string anchor = fmt::format("href=\"#stack-{}\"", number);
  Html reasons = escaped(stack.reason);
  if (const std::string holds = margin_words(stack); !holds.empty()) reasons += paragraph(holds);
  if (!stack.ruled_out.empty()) reasons += paragraph(stack.ruled_out, "old");
  return std::vector<Html>{element("div", *drawn, "class=\"small\""),
                           has_card ? element("a", stack.id, anchor) : escaped(stack.id),
                           escaped(finish_size(stack)), odds_html(stack.odds), reasons};
}

/// "left toe: open out to 15/16 in (23.81 mm); T1, T2 and T3; rivet-headed fitted bolt; odds 98 in 100 at the
/// least."
Html row_line(const HoleRow& row) {
  const StackPlan& first = *row.front().stack;
  std::vector<const StackPlan*> stacks;
  std::vector<std::string> ids;
  for (const Numbered& entry : row) {
    stacks.push_back(entry.stack);
    ids.push_back(entry.stack->id);
  }
  std::string says = method_words(first.method);
  if (first.finish_diameter_mm > 0.0) {
    says += fmt::format(", {}", first.method == Method::kTransfer ? found_range(stacks) : finish_size(first));
  }
  if (!first.fastener.empty() && first.method != Method::kTransfer) says += "; " + first.fastener;
  const std::string odds = odds_words(poorest(row).stack->odds);
  says += fmt::format("; {}. Odds {}{}.", list_words(ids), odds,
                      row.size() > 1 && odds.find("over") != 0 ? " or better" : "");
  Html line = element("b", fmt::format("{}, {}:", first.group.empty() ? first.plate : first.group,
                                       count_words(row.size(), "hole", "holes")));
  line += escaped(says);
  return line;
}

Result<Html> row_part(const HoleRow& row, const Letters& letters) {
  // Holes that follow an old one raise no question of size: only the others show their poorest, enlarged.
  const StackPlan& first = *row.front().stack;
  const bool has_card = first.method == Method::kOpenOut || first.method == Method::kClear;
  std::vector<std::vector<Html>> rows;
  for (const Numbered& entry : row) {
    auto cells =
        table_row(*entry.stack, entry.number, has_card && entry.number == poorest(row).number, letters);
    if (!cells) return cells.problems();
    rows.push_back(*cells);
  }
  Html inner;
  if (has_card) {
    auto card = stack_card(*poorest(row).stack, poorest(row).number, letters);
    if (!card) return card;
    if (row.size() > 1) inner += paragraph("The one with the poorest odds, enlarged:");
    inner += element("div", *card, "class=\"stacks\"");
  }
  inner += html_table({{""}, {"hole"}, {"finish", true}, {"odds"}, {"why"}}, rows);
  return folded(row_line(row), inner);
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

Result<Html> holes_section(const ReportInput& input, const Letters& letters) {
  if (input.plan.stacks.empty()) return Html{};
  std::vector<Numbered> settled;
  Html cards;
  std::size_t number = 0;
  for (const StackPlan& stack : input.plan.stacks) {
    ++number;
    if (!asks(stack)) {
      settled.push_back({&stack, number});
      continue;
    }
    auto card = stack_card(stack, number, letters);
    if (!card) return card;
    cards += *card;
  }
  Html out = element("h2", "The holes", "id=\"holes\"");
  out +=
      element("h3", cards.empty() ? "No hole asks for a decision" : "These ask for a decision or your eye");
  out += paragraph(
      "Heavy circle: the new hole. Fine double lines: the old rims, with the letter of their part. Close "
      "hatching: old hole left outside. Wide hatching: metal taken away. Ellipse: how well the old "
      "centre is known (95 in 100). Offsets and differences of size are enlarged, the new circle is not.");
  const bool has_ways = std::any_of(input.plan.stacks.begin(), input.plan.stacks.end(),
                                    [](const StackPlan& stack) { return !stack.ways.empty(); });
  if (has_ways) {
    out += paragraph(
        "As it is, oversize or re-drill stand side by side. The cost is in the job's own weights, as if the "
        "size were the usual one of its group; the odds are those of this hole with the parts where the plan "
        "has them, reckoned on the safe side.");
  }
  out += letters_key(letters);
  out += element("div", cards, "class=\"stacks\"");
  std::string plate;
  for (const HoleRow& row : rows_of(settled)) {
    if (row.front().stack->plate != plate) {
      plate = row.front().stack->plate;
      out += element("h3", "Settled on " + plate);
    }
    auto part = row_part(row, letters);
    if (!part) return part;
    out += *part;
  }
  return out;
}

}  // namespace fairhole::report
