// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <numbers>
#include <string>
#include <variant>
#include <vector>

#include "fairhole/drawing/drawing.h"
#include "placement.h"

/// What a test asks of a drawn page.
namespace fairhole::report::test {

struct SetText {
  drawing::Text text;
  Box box;  ///< of its letters: capitals, ascenders and descenders of the drawing's own face
};

/// Text is level or upright on our sheets; other angles fail the test that meets them.
inline Box letter_box(const drawing::Text& text) {
  constexpr double kDescent = 0.32;  // DejaVu Sans: 236 / 729 of the capitals
  constexpr double kAscent = 1.05;   // 760 / 729
  const double width = drawing::text_width_mm(text.text, text.height_mm, text.bold);
  const double left = text.align == drawing::Align::kLeft     ? 0.0
                      : text.align == drawing::Align::kCentre ? -0.5 * width
                                                              : -width;
  const double drop = text.vertical == drawing::Text::Vertical::kMiddle ? 0.5 : 0.0;
  const Eigen::Vector2d low(left, (-drop - kDescent) * text.height_mm);
  const Eigen::Vector2d high(left + width, (-drop + kAscent) * text.height_mm);
  if (text.angle_rad == 0.0) return {text.at_mm + low, text.at_mm + high};
  // A quarter turn: (x, y) goes to (-y, x).
  return {text.at_mm + Eigen::Vector2d(-high.y(), low.x()), text.at_mm + Eigen::Vector2d(-low.y(), high.x())};
}

inline bool level_or_upright(const drawing::Text& text) {
  return text.angle_rad == 0.0 || std::abs(text.angle_rad - 0.5 * std::numbers::pi) < 1e-12;
}

inline std::vector<SetText> texts_of(const drawing::Page& page) {
  std::vector<SetText> texts;
  for (const drawing::Mark& mark : page.drawing.marks) {
    if (const auto* text = std::get_if<drawing::Text>(&mark.shape))
      texts.push_back({*text, letter_box(*text)});
  }
  return texts;
}

/// "A1 over B2" for every pair of texts that cover one another.
inline std::vector<std::string> overlaps_of(const drawing::Page& page) {
  const std::vector<SetText> texts = texts_of(page);
  std::vector<std::string> found;
  for (std::size_t i = 0; i < texts.size(); ++i) {
    for (std::size_t j = i + 1; j < texts.size(); ++j) {
      if (texts[i].box.overlaps(texts[j].box))
        found.push_back(texts[i].text.text + " over " + texts[j].text.text);
    }
  }
  return found;
}

inline std::string all_words(const drawing::Page& page) {
  std::string all;
  for (const SetText& text : texts_of(page)) all += text.text.text + "\n";
  return all;
}

struct DrawnCircle {
  drawing::Circle circle;
  drawing::Stroke stroke;
};
inline std::vector<DrawnCircle> circles_of(const drawing::Page& page) {
  std::vector<DrawnCircle> circles;
  for (const drawing::Mark& mark : page.drawing.marks) {
    if (const auto* circle = std::get_if<drawing::Circle>(&mark.shape))
      circles.push_back({*circle, mark.stroke});
  }
  return circles;
}

struct DrawnLine {
  drawing::Line line;
  drawing::Stroke stroke;
};
inline std::vector<DrawnLine> lines_of(const drawing::Page& page) {
  std::vector<DrawnLine> lines;
  for (const drawing::Mark& mark : page.drawing.marks) {
    if (const auto* line = std::get_if<drawing::Line>(&mark.shape)) lines.push_back({*line, mark.stroke});
  }
  return lines;
}

}  // namespace fairhole::report::test
