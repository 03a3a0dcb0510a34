// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cairo.h>

namespace fairhole::drawing {

/// Sets DejaVu Sans (Debian package fonts-dejavu-core, found through fontconfig) so that the capitals stand
/// `capital_units` high, without hinting: the same shapes and widths at every size.
void select_font(cairo_t* cairo, double capital_units, bool bold);

}  // namespace fairhole::drawing
