// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "font.h"

#include <memory>

#include "fairhole/drawing/drawing.h"
#include "text.h"

namespace fairhole::drawing {
namespace {

using Options = std::unique_ptr<cairo_font_options_t, decltype(&cairo_font_options_destroy)>;

Options unhinted() {
  Options options(cairo_font_options_create(), &cairo_font_options_destroy);
  cairo_font_options_set_hint_style(options.get(), CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options.get(), CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options.get(), CAIRO_ANTIALIAS_GRAY);
  return options;
}

cairo_font_weight_t weight(bool bold) { return bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL; }

constexpr const char* kFamily = "DejaVu Sans";

}  // namespace

void select_font(cairo_t* cairo, double capital_units, bool bold) {
  cairo_select_font_face(cairo, kFamily, CAIRO_FONT_SLANT_NORMAL, weight(bold));
  cairo_set_font_options(cairo, unhinted().get());
  cairo_set_font_size(cairo, capital_units / kCapitalRatio);
}

double text_width_mm(const std::string& text, double height_mm, bool bold) {
  static constexpr double kSize = 2048.0;  // the font's own units: widths come out whole
  cairo_matrix_t size;
  cairo_matrix_t identity;
  cairo_matrix_init_scale(&size, kSize, kSize);
  cairo_matrix_init_identity(&identity);
  const std::unique_ptr<cairo_font_face_t, decltype(&cairo_font_face_destroy)> face(
      cairo_toy_font_face_create(kFamily, CAIRO_FONT_SLANT_NORMAL, weight(bold)), &cairo_font_face_destroy);
  const std::unique_ptr<cairo_scaled_font_t, decltype(&cairo_scaled_font_destroy)> font(
      cairo_scaled_font_create(face.get(), &size, &identity, unhinted().get()), &cairo_scaled_font_destroy);
  cairo_text_extents_t extents;
  cairo_scaled_font_text_extents(font.get(), clean_text(text).c_str(), &extents);
  return extents.x_advance / kSize * height_mm / kCapitalRatio;
}

}  // namespace fairhole::drawing
