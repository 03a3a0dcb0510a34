// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "flow.h"

#include <fmt/format.h>

#include "pen.h"

namespace fairhole::report {
namespace {

constexpr double kFramePadMm = 2.5;
constexpr double kTextMm = 2.6;
constexpr double kHeadingMm = 3.4;
constexpr double kLineStep = 1.85;  ///< of the capitals' height
constexpr double kIndentMm = 8.0;

}  // namespace

Box content_box(double paper_width_mm, double paper_height_mm) {
  const double in = kMarginMm + kFramePadMm;
  return {{in, kMarginMm + kStripHeightMm + kFramePadMm}, {paper_width_mm - in, paper_height_mm - in}};
}

Flow::Flow(double paper_width_mm, double paper_height_mm)
    : width_mm_(paper_width_mm), height_mm_(paper_height_mm), y_mm_(0.0) {}

drawing::Drawing& Flow::new_page() {
  pages_.push_back(blank_page(width_mm_, height_mm_));
  y_mm_ = 0.0;
  return pages_.back().drawing;
}

void Flow::need(double height_mm) {
  const Box content = content_box(width_mm_, height_mm_);
  if (y_mm_ - height_mm >= content.low_mm.y()) return;
  new_page();
  y_mm_ = content.high_mm.y();
}

void Flow::put_lines(const std::string& text, double indent_mm, double height_mm) {
  const Box content = content_box(width_mm_, height_mm_);
  for (const std::string& row : wrapped(text, content.width_mm() - indent_mm, height_mm)) {
    need(kLineStep * height_mm);
    y_mm_ -= kLineStep * height_mm;
    write(pages_.back().drawing, {content.low_mm.x() + indent_mm, y_mm_ + 0.5 * height_mm}, row,
          {.height_mm = height_mm});
  }
}

void Flow::heading(const std::string& text, const Table* with) {
  const Box content = content_box(width_mm_, height_mm_);
  double follows = 3.0 * kHeadingMm;  // a heading never stands alone at the foot of a sheet
  if (with != nullptr) {
    const double whole = table_height_mm(*with, content.width_mm()) + follows;
    if (whole < 0.5 * content.height_mm()) follows = whole;
  }
  need(2.0 * kHeadingMm + follows);
  y_mm_ -= 2.0 * kHeadingMm;
  write(pages_.back().drawing, {content.low_mm.x(), y_mm_ + 0.4 * kHeadingMm}, text,
        {.height_mm = kHeadingMm, .bold = true});
  gap(1.0);
}

void Flow::heading_over(const std::string& text, double with_mm) {
  need(2.0 * kHeadingMm + 1.0 + with_mm);
  heading(text);
}

void Flow::paragraph(const std::string& text) {
  put_lines(text, 0.0, kTextMm);
  gap(1.0);
}

void Flow::numbered(const std::vector<std::string>& items) {
  int number = 0;
  for (const std::string& item : items) {
    const Box content = content_box(width_mm_, height_mm_);
    const std::size_t lines = wrapped(item, content.width_mm() - kIndentMm, kTextMm).size();
    need(static_cast<double>(lines) * kLineStep * kTextMm);
    write(pages_.back().drawing, {content.low_mm.x(), y_mm_ - (kLineStep - 0.5) * kTextMm},
          fmt::format("{}.", ++number), {.height_mm = kTextMm, .bold = true});
    put_lines(item, kIndentMm, kTextMm);
    gap(0.8);
  }
}

void Flow::table(const Table& table) {
  std::size_t row = 0;
  need(4.0 * table.height_mm);
  while (row < table.rows.size()) {
    Box room = content_box(width_mm_, height_mm_);
    const double top = room.high_mm.y();
    room.high_mm.y() = y_mm_;
    const TableEnd end = draw_table(pages_.back().drawing, table, row, room);
    const bool stuck = end.next_row == row && y_mm_ == top;
    if (stuck) break;  // a row taller than a sheet: its texts are bounded, so this is no case of ours
    row = end.next_row;
    y_mm_ = end.y_mm;
    if (row < table.rows.size()) {
      new_page();
      y_mm_ = top;
    }
  }
  gap(2.0);
}

Flow::Room Flow::room(double height_mm) {
  need(height_mm);
  const Box content = content_box(width_mm_, height_mm_);
  y_mm_ -= height_mm;
  return {&pages_.back().drawing, {{content.low_mm.x(), y_mm_}, {content.high_mm.x(), y_mm_ + height_mm}}};
}

void Flow::section(const std::string& title, const std::string& words, const Table& rows) {
  if (rows.rows.empty()) return;
  heading(title, &rows);
  if (!words.empty()) paragraph(words);
  table(rows);
}

void Flow::gap(double mm) { y_mm_ -= mm; }

std::vector<drawing::Page> Flow::finished(Strip strip, const std::vector<std::string>& scales) && {
  strip.of = static_cast<int>(pages_.size());
  for (std::size_t i = 0; i < pages_.size(); ++i) {
    strip.sheet = static_cast<int>(i) + 1;
    strip.scale = i < scales.size() ? scales[i] : "";
    const Box frame{{kMarginMm, kMarginMm}, {width_mm_ - kMarginMm, height_mm_ - kMarginMm}};
    rectangle(pages_[i].drawing, frame, kHeavy);
    draw_title_strip(pages_[i].drawing,
                     {frame.low_mm, {frame.high_mm.x(), frame.low_mm.y() + kStripHeightMm}}, strip);
  }
  return std::move(pages_);
}

}  // namespace fairhole::report
