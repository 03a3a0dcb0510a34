// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "pen.h"

#include <cmath>

namespace fairhole::report {
namespace {

constexpr double kRimHalfGapMm = 0.3;  ///< the two fine lines of an old rim lie this far on either side of it
constexpr double kDescentShare = 0.33;  ///< of the capitals' height, below the baseline
constexpr double kAscentShare = 1.2;    ///< accents above the capitals

/// Bytes of the UTF-8 character that starts with `lead`.
std::size_t bytes_of(char lead) {
  const auto byte = static_cast<unsigned char>(lead);
  return byte < 0xC0 ? 1 : byte < 0xE0 ? 2 : byte < 0xF0 ? 3 : 4;
}

/// The longest head of `word` (at least one character) that is no wider than `width_mm`.
std::string head_within(const std::string& word, double width_mm, double height_mm, bool bold) {
  std::size_t end = 0;
  while (end < word.size()) {
    const std::size_t next = end + bytes_of(word[end]);
    if (end > 0 && drawing::text_width_mm(word.substr(0, next), height_mm, bold) > width_mm) break;
    end = next;
  }
  return word.substr(0, end);
}

std::vector<std::string> split_words(const std::string& text) {
  std::vector<std::string> words;
  std::size_t start = 0;
  while (start < text.size()) {
    std::size_t end = text.find(' ', start);
    if (end == std::string::npos) end = text.size();
    if (end > start) words.push_back(text.substr(start, end - start));
    start = end + 1;
  }
  return words;
}

}  // namespace

drawing::Page blank_page(double width_mm, double height_mm) {
  drawing::Page page;
  page.width_mm = width_mm;
  page.height_mm = height_mm;
  return page;
}

void line(drawing::Drawing& on, const Eigen::Vector2d& a_mm, const Eigen::Vector2d& b_mm,
          const drawing::Stroke& stroke) {
  on.add(drawing::Line{a_mm, b_mm}, stroke);
}

void rectangle(drawing::Drawing& on, const Box& box, const drawing::Stroke& stroke) {
  const auto& [low, high] = box;
  on.add(drawing::Polyline{{low, {high.x(), low.y()}, high, {low.x(), high.y()}}, true, false}, stroke);
}

void blank(drawing::Drawing& on, const Box& box) {
  const auto& [low, high] = box;
  on.add(drawing::Polyline{{low, {high.x(), low.y()}, high, {low.x(), high.y()}}, true, true},
         {drawing::kFineMm, drawing::Dash::kSolid, drawing::Ink::kPaper});
}

void circle(drawing::Drawing& on, const Eigen::Vector2d& centre_mm, double radius_mm,
            const drawing::Stroke& stroke) {
  on.add(drawing::Circle{centre_mm, radius_mm, false}, stroke);
}

void dot(drawing::Drawing& on, const Eigen::Vector2d& centre_mm, double radius_mm, drawing::Ink ink) {
  on.add(drawing::Circle{centre_mm, radius_mm, true}, {drawing::kFineMm, drawing::Dash::kSolid, ink});
}

void old_rim(drawing::Drawing& on, const Eigen::Vector2d& centre_mm, double radius_mm, drawing::Dash dash) {
  const drawing::Stroke stroke{drawing::kFineMm, dash, drawing::Ink::kOld};
  circle(on, centre_mm, radius_mm + kRimHalfGapMm, stroke);
  if (radius_mm > kRimHalfGapMm) circle(on, centre_mm, radius_mm - kRimHalfGapMm, stroke);
}

void arrow_head(drawing::Drawing& on, const Eigen::Vector2d& tip_mm, const Eigen::Vector2d& direction,
                double length_mm, drawing::Ink ink) {
  const Eigen::Vector2d along = direction.normalized();
  const Eigen::Vector2d aside(-along.y(), along.x());
  const Eigen::Vector2d foot = tip_mm - length_mm * along;
  const double half = length_mm / 4.0;
  on.add(drawing::Polyline{{tip_mm, foot + half * aside, foot - half * aside}, true, true},
         {drawing::kFineMm, drawing::Dash::kSolid, ink});
}

void scale_bar(drawing::Drawing& on, const Eigen::Vector2d& left_mm, double length_mm,
               const std::string& words, double height_mm) {
  const Eigen::Vector2d right = left_mm + Eigen::Vector2d(length_mm, 0.0);
  const Eigen::Vector2d tick(0.0, 0.9);
  line(on, left_mm, right, kMedium);
  line(on, left_mm - tick, left_mm + tick, kMedium);
  line(on, right - tick, right + tick, kMedium);
  write(on, {left_mm.x(), left_mm.y() + 1.6}, words, {.height_mm = height_mm});
}

void write(drawing::Drawing& on, const Eigen::Vector2d& at_mm, const std::string& text, const Words& words) {
  on.add(
      drawing::Text{at_mm, text, words.height_mm, words.align, words.vertical, words.angle_rad, words.bold},
      {drawing::kMediumMm, drawing::Dash::kSolid, words.ink});
}

Box text_box(const drawing::Text& text) {
  const double width = drawing::text_width_mm(text.text, text.height_mm, text.bold);
  const double left = text.align == drawing::Align::kLeft     ? 0.0
                      : text.align == drawing::Align::kCentre ? -0.5 * width
                                                              : -width;
  const double drop = text.vertical == drawing::Text::Vertical::kMiddle ? 0.5 * text.height_mm : 0.0;
  return {text.at_mm + Eigen::Vector2d(left, -drop - kDescentShare * text.height_mm),
          text.at_mm + Eigen::Vector2d(left + width, -drop + kAscentShare * text.height_mm)};
}

std::vector<std::string> wrapped(const std::string& text, double width_mm, double height_mm, bool bold) {
  std::vector<std::string> lines(1);
  for (std::string word : split_words(text)) {
    const std::string joined = lines.back().empty() ? word : lines.back() + " " + word;
    if (drawing::text_width_mm(joined, height_mm, bold) <= width_mm) {
      lines.back() = joined;
      continue;
    }
    if (!lines.back().empty()) lines.emplace_back();
    while (drawing::text_width_mm(word, height_mm, bold) > width_mm) {
      const std::string head = head_within(word, width_mm, height_mm, bold);
      if (head.size() == word.size()) break;
      lines.back() = head;
      lines.emplace_back();
      word = word.substr(head.size());
    }
    lines.back() = word;
  }
  return lines;
}

std::string fitted(const std::string& text, double width_mm, double height_mm, bool bold) {
  if (drawing::text_width_mm(text, height_mm, bold) <= width_mm) return text;
  const std::string dots = "...";
  const double rest = width_mm - drawing::text_width_mm(dots, height_mm, bold);
  return head_within(text, rest, height_mm, bold) + dots;
}

}  // namespace fairhole::report
