// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#define POINTERHOLDER_TRANSITION 4  // qpdf asks which of its pointers we use: std::shared_ptr alone
#include <cairo-pdf.h>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <memory>
#include <qpdf/Buffer.hh>
#include <qpdf/JSON.hh>  // QPDF.hh needs it whole
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFPageObjectHelper.hh>
#include <qpdf/QPDFWriter.hh>
#include <stdexcept>
#include <string>

#include "canvas.h"
#include "check.h"
#include "fairhole/base/length.h"
#include "fairhole/drawing/writers.h"
#include "text.h"

namespace fairhole::drawing {
namespace {

constexpr double kPointsPerMm = 72.0 / kMmPerInch;
constexpr double kLargestPt = 14400.0;  // the format's limit without a user unit

/// Cairo keeps coordinates in 1/256 of a unit, 0.0014 mm if the unit were a point. So it draws in units this
/// many times finer, and each page's contents are scaled back: 0.0001 mm.
constexpr double kFiner = 16.0;

using Surface = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;
using Context = std::unique_ptr<cairo_t, decltype(&cairo_destroy)>;

cairo_status_t append_bytes(void* closure, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

/// Only a lack of memory or a broken installation gets here; the marks have been checked.
void expect_success(cairo_status_t status) {
  if (status != CAIRO_STATUS_SUCCESS) throw std::runtime_error(cairo_status_to_string(status));
}

/// "2026-03-01T12:00:00Z" in the civil calendar, whatever the machine's time zone.
std::string iso_time(long long unix_seconds) {
  using namespace std::chrono;
  const sys_seconds time{seconds{unix_seconds}};
  const auto day = floor<days>(time);
  const year_month_day date{day};
  const hh_mm_ss clock{time - day};
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}Z", static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                     clock.hours().count(), clock.minutes().count(), clock.seconds().count());
}

std::string draw_pages(std::span<const Page> pages, const PdfOptions& options) {
  std::string bytes;
  const Surface surface(cairo_pdf_surface_create_for_stream(append_bytes, &bytes, 1.0, 1.0),
                        &cairo_surface_destroy);
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, clean_text(options.title).c_str());
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_AUTHOR,
                                 clean_text(options.author).c_str());
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE,
                                 iso_time(options.created_unix).c_str());
  const double units_per_mm = kPointsPerMm * kFiner;
  for (const Page& page : pages) {
    cairo_pdf_surface_set_size(surface.get(), page.width_mm * units_per_mm, page.height_mm * units_per_mm);
    const Context cairo(cairo_create(surface.get()), &cairo_destroy);
    paint(cairo.get(), page, units_per_mm);
    cairo_show_page(cairo.get());
    expect_success(cairo_status(cairo.get()));
  }
  cairo_surface_finish(surface.get());
  expect_success(cairo_surface_status(surface.get()));
  return bytes;
}

/// Scales the fine units back to points and gives each page its true size.
void set_full_size(QPDF& file, std::span<const Page> pages) {
  const std::string scale = short_number(1.0 / kFiner);
  const std::string before = fmt::format("q {} 0 0 {} 0 0 cm\n", scale, scale);
  auto page = pages.begin();
  for (QPDFPageObjectHelper& helper : QPDFPageDocumentHelper(file).getAllPages()) {
    auto object = helper.getObjectHandle();
    object.addPageContents(QPDFObjectHandle::newStream(&file, before), true);
    object.addPageContents(QPDFObjectHandle::newStream(&file, "\nQ\n"), false);
    const std::string box = fmt::format("[0 0 {} {}]", short_number(page->width_mm * kPointsPerMm),
                                        short_number(page->height_mm * kPointsPerMm));
    object.replaceKey("/MediaBox", QPDFObjectHandle::parse(box));
    ++page;
  }
}

/// No scaling and no printing on both sides, for the viewers that listen.
void set_print_wishes(QPDF& file) {
  file.getRoot().replaceKey("/ViewerPreferences",
                            QPDFObjectHandle::parse("<< /PrintScaling /None /Duplex /Simplex >>"));
}

std::string written(QPDF& file) {
  QPDFWriter writer(file);
  writer.setOutputMemory();
  writer.setDeterministicID(true);
  writer.setMinimumPDFVersion("1.7");  // the two wishes came with 1.6 and 1.7
  writer.write();
  const auto buffer = writer.getBufferSharedPointer();
  return {reinterpret_cast<const char*>(buffer->getBuffer()), buffer->getSize()};
}

}  // namespace

Result<std::string> write_pdf(std::span<const Page> pages, const PdfOptions& options) {
  if (pages.empty()) {
    return Problem{codes::kDrawingTooLarge, "pdf", "no page to write", "a file has one page or more"};
  }
  for (const Page& page : pages) {
    if (auto problem = find_bad_mark(page)) return *problem;
    if (std::max(page.width_mm, page.height_mm) * kPointsPerMm > kLargestPt) {
      return Problem{
          codes::kDrawingTooLarge, "pdf",
          fmt::format("a page of {} by {} mm", short_number(page.width_mm), short_number(page.height_mm)),
          "a PDF page is at most 5080 mm on a side: take tiles"};
    }
  }
  const std::string drawn = draw_pages(pages, options);
  QPDF file;
  file.processMemoryFile("drawing", drawn.data(), drawn.size());
  set_full_size(file, pages);
  set_print_wishes(file);
  return written(file);
}

}  // namespace fairhole::drawing
