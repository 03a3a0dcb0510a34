// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "html.h"

#include <fmt/format.h>

#include <cmath>

#include "fairhole/base/length.h"
#include "fairhole/base/markup.h"
#include "fairhole/drawing/writers.h"
#include "words.h"

namespace fairhole::report {

Html escaped(std::string_view text) {
  std::string shown;  // line ends as blanks, other control characters not at all
  shown.reserve(text.size());
  for (const char c : text) {
    if (static_cast<unsigned char>(c) >= 0x20) {
      shown += c;
    } else if (c == '\n' || c == '\t') {
      shown += ' ';
    }
  }
  return {escape_markup(shown)};
}

Html element(const char* name, const Html& inner, const std::string& attributes) {
  const std::string blank = attributes.empty() ? "" : " ";
  return {fmt::format("<{0}{1}{2}>{3}</{0}>\n", name, blank, attributes, inner.text)};
}

Html element(const char* name, std::string_view text, const std::string& attributes) {
  return element(name, escaped(text), attributes);
}

Html paragraph(std::string_view text, const char* css_class) {
  return element("p", text, *css_class == '\0' ? "" : fmt::format("class=\"{}\"", css_class));
}

Html bullets(const std::vector<std::string>& items, const char* css_class) {
  if (items.empty()) return {};
  Html inner;
  for (const std::string& item : items) inner += element("li", item);
  return element("ul", inner, *css_class == '\0' ? "" : fmt::format("class=\"{}\"", css_class));
}

Html folded(const Html& summary, const Html& inner, const char* css_class) {
  if (inner.empty()) return {};
  Html all = element("summary", summary);
  all += inner;
  return element("details", all, *css_class == '\0' ? "" : fmt::format("class=\"{}\"", css_class));
}

Html html_table(const std::vector<HtmlColumn>& columns, const std::vector<std::vector<Html>>& rows) {
  if (rows.empty()) return {};
  const auto kind = [&](std::size_t c) { return std::string(columns[c].figures ? "class=\"figures\"" : ""); };
  Html head;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    head += element("th", columns[c].head, "scope=\"col\"" + (columns[c].figures ? " " + kind(c) : ""));
  }
  Html body;
  for (const auto& row : rows) {
    Html cells;
    for (std::size_t c = 0; c < row.size(); ++c) cells += element("td", row[c], kind(c));
    body += element("tr", cells);
  }
  Html table = element("thead", element("tr", head));
  table += element("tbody", body);
  return element("div", element("table", table), "class=\"scroll\"");
}

Result<Html> picture(const drawing::Page& page, std::string_view label, std::string_view caption) {
  auto svg = drawing::write_svg(page, true);
  if (!svg) return svg.problems();
  Html inner = element("div", Html{*svg}, fmt::format("role=\"img\" aria-label=\"{}\"", escaped(label).text));
  if (!caption.empty()) inner += element("figcaption", caption);
  return element("figure", inner);
}

Html measured_figure(double value_mm, double sigma_mm) {
  const int decimals = decimals_for(sigma_mm);
  const std::string text = format_mm(value_mm, decimals);
  const double unit = std::pow(10.0, -decimals);
  if (text.size() < 2 || 2.0 * sigma_mm <= unit) return escaped(text);
  return {fmt::format("{}<small>{}</small>", escaped(text.substr(0, text.size() - 1)).text, text.back())};
}

}  // namespace fairhole::report
