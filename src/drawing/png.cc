// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <cairo.h>
#include <fmt/format.h>

#include <boost/crc.hpp>
#include <cmath>
#include <cstdint>
#include <memory>
#include <stdexcept>
#include <string>

#include "canvas.h"
#include "check.h"
#include "fairhole/base/length.h"
#include "fairhole/drawing/writers.h"

namespace fairhole::drawing {
namespace {

constexpr double kLargestPixels = 32767.0;  // cairo's limit of an image's side

std::string big_endian(std::uint32_t value) {
  std::string out;
  for (unsigned shift = 32; shift > 0; shift -= 8) out += static_cast<char>((value >> (shift - 8)) & 0xFFU);
  return out;
}

/// W3C PNG, annex D.
std::uint32_t chunk_crc(const std::string& bytes) {
  boost::crc_32_type crc;
  crc.process_bytes(bytes.data(), bytes.size());
  return crc.checksum();
}

/// The pHYs chunk (W3C PNG, 11.3.5.3): pixels per metre in x and y, unit 1 = metre.
std::string resolution_chunk(double dpi) {
  const auto per_metre = static_cast<std::uint32_t>(std::lround(dpi * 1000.0 / kMmPerInch));
  const std::string body = "pHYs" + big_endian(per_metre) + big_endian(per_metre) + '\x01';
  return big_endian(9) + body + big_endian(chunk_crc(body));
}

}  // namespace

Result<std::string> write_png(const Page& page, double dpi) {
  if (auto problem = find_bad_mark(page)) return *problem;
  const double width = std::ceil(page.width_mm * dpi / kMmPerInch);
  const double height = std::ceil(page.height_mm * dpi / kMmPerInch);
  if (!(width >= 1.0 && height >= 1.0 && width <= kLargestPixels && height <= kLargestPixels)) {
    return Problem{codes::kDrawingTooLarge, "png",
                   fmt::format("{} by {} pixels at {} dpi", width, height, dpi),
                   "a picture has 1 to 32767 pixels on a side: take another resolution"};
  }
  const std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)> surface(
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(width), static_cast<int>(height)),
      &cairo_surface_destroy);
  const std::unique_ptr<cairo_t, decltype(&cairo_destroy)> cairo(cairo_create(surface.get()), &cairo_destroy);
  cairo_set_source_rgb(cairo.get(), 1.0, 1.0, 1.0);
  cairo_paint(cairo.get());
  paint(cairo.get(), page, dpi / kMmPerInch);
  std::string bytes;
  const cairo_status_t drawn = cairo_status(cairo.get());
  const cairo_status_t saved = cairo_surface_write_to_png_stream(surface.get(), append_bytes, &bytes);
  if (drawn != CAIRO_STATUS_SUCCESS || saved != CAIRO_STATUS_SUCCESS) {
    throw std::runtime_error(cairo_status_to_string(drawn != CAIRO_STATUS_SUCCESS ? drawn : saved));
  }
  constexpr std::size_t kAfterHeader = 8 + 25;  // signature and IHDR chunk
  bytes.insert(kAfterHeader, resolution_chunk(dpi));
  return bytes;
}

}  // namespace fairhole::drawing
