// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// A hole of 22 mm on a DXF layer, in millimetres; the same drawing goes to PDF, SVG and PNG.
#include <fmt/format.h>

#include <array>

#include "fairhole/drawing/writers.h"

int main() {
  using namespace fairhole::drawing;
  Drawing drawing{.layers = {{"finish on the bench"}}};
  drawing.add(Circle{{120.5, 40.25}, 11.0}, {}, "finish on the bench");
  const auto dxf = write_dxf(drawing);
  if (!dxf) return fairhole::exit_status(dxf.problems());
  const auto circle = dxf->find("AcDbCircle");
  const auto from = dxf->find(" 10", circle);
  fmt::print("{}\n", dxf->substr(from, dxf->find("  0", from) - from));
  return write_pdf(std::array{Page{.drawing = drawing}}) ? 0 : 1;
}
