// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/drawing/drawing.h"

/// Small pieces of HTML. Texts are escaped here and nowhere else; what is already HTML has its own type, so
/// that neither can be taken for the other.
namespace fairhole::report {

/// Text that is HTML already.
struct Html {
  std::string text;

  Html& operator+=(const Html& more) {
    text += more.text;
    return *this;
  }
  bool empty() const { return text.empty(); }
};

Html escaped(std::string_view text);  ///< & < > " ' escaped; control characters other than blanks left out

/// <name attributes>inner</name>. `attributes` is written as it stands: constants and numbers only.
Html element(const char* name, const Html& inner, const std::string& attributes = {});
Html element(const char* name, std::string_view text, const std::string& attributes = {});
Html paragraph(std::string_view text, const char* css_class = "");
/// <ul>, one item a text; nothing for no items.
Html bullets(const std::vector<std::string>& items, const char* css_class = "");

/// Folded away under `summary` on a screen, open on paper; nothing for nothing.
Html folded(const Html& summary, const Html& inner, const char* css_class = "");

struct HtmlColumn {
  std::string head;
  bool figures = false;  ///< set to the right in tabular figures
};
/// A table in a box that scrolls by itself on a narrow screen; nothing for no rows.
Html html_table(const std::vector<HtmlColumn>& columns, const std::vector<std::vector<Html>>& rows);

/// The page as inline SVG in a <figure>, told to those who cannot see it by `label`.
Result<Html> picture(const drawing::Page& page, std::string_view label, std::string_view caption = {});

/// A figure whose last digit is doubtful: that digit smaller, when its unit is less than 2 sigma.
Html measured_figure(double value_mm, double sigma_mm);

}  // namespace fairhole::report
