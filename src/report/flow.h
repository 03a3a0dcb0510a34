// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/drawing/drawing.h"
#include "placement.h"
#include "table.h"
#include "title_strip.h"

/// Sheets filled from the top with headings, paragraphs, lists and tables; a new one begins when one is full.
namespace fairhole::report {

/// A thumb's width of margin, for dirty hands.
inline constexpr double kMarginMm = 18.0;

/// The room on a sheet inside its frame and above its title strip.
Box content_box(double paper_width_mm, double paper_height_mm);

class Flow {
 public:
  Flow(double paper_width_mm, double paper_height_mm);

  drawing::Drawing&
  new_page();  ///< an empty sheet, for a drawing of its own; what follows starts on the next
  /// `with`: a short table that should not be parted from its heading.
  void heading(const std::string& text, const Table* with = nullptr);
  /// A heading that stays with the drawing below it (and words between, both `with_mm` high).
  void heading_over(const std::string& text, double with_mm);
  void paragraph(const std::string& text);
  void numbered(const std::vector<std::string>& items);
  void table(const Table& table);
  /// Heading, words (if any) and table; nothing at all for a table without rows.
  void section(const std::string& heading, const std::string& words, const Table& table);
  void gap(double mm);
  /// Room for a drawing right across the sheet, `height_mm` high; what follows hangs below it.
  struct Room {
    drawing::Drawing* on = nullptr;
    Box box;
  };
  Room room(double height_mm);

  /// All sheets with frame and title strip; `strip`'s sheet numbers are filled in. scales: of the first
  /// sheets, in words; the others have none.
  std::vector<drawing::Page> finished(Strip strip, const std::vector<std::string>& scales) &&;

 private:
  void need(double height_mm);
  void put_lines(const std::string& text, double indent_mm, double height_mm);

  double width_mm_, height_mm_;
  std::vector<drawing::Page> pages_;
  double y_mm_;  ///< where the next thing hangs; below the content box when a new page is due
};

}  // namespace fairhole::report
