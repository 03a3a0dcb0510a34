// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <cairo-pdf.h>
#include <fmt/format.h>
#include <qpdf/qpdf-c.h>

#include <algorithm>
#include <chrono>
#include <memory>
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

/// qpdf's library through its C face: its C++ headers are no C++20 for every compiler.
class QpdfFile {
 public:
  explicit QpdfFile(const std::string& bytes) : data_(qpdf_init()) {
    qpdf_silence_errors(data_);
    expect_success(qpdf_read_memory(data_, "drawing", bytes.data(), bytes.size(), nullptr));
  }
  ~QpdfFile() { qpdf_cleanup(&data_); }
  QpdfFile(const QpdfFile&) = delete;
  QpdfFile& operator=(const QpdfFile&) = delete;

  qpdf_oh root() { return qpdf_get_root(data_); }
  qpdf_oh page(std::size_t i) { return qpdf_get_page_n(data_, i); }
  void set(qpdf_oh dictionary, const char* key, const std::string& value) {
    qpdf_oh_replace_key(data_, dictionary, key, qpdf_oh_parse(data_, value.c_str()));
  }
  /// Puts operators before and after all that the page draws.
  void wrap_contents(qpdf_oh page, const std::string& before, const std::string& after) {
    const qpdf_oh contents = qpdf_oh_wrap_in_array(data_, qpdf_oh_get_key(data_, page, "/Contents"));
    qpdf_oh_insert_item(data_, contents, 0, stream(before));
    qpdf_oh_append_item(data_, contents, stream(after));
    qpdf_oh_replace_key(data_, page, "/Contents", contents);
  }
  std::string written() {
    expect_success(qpdf_init_write_memory(data_));
    qpdf_set_deterministic_ID(data_, QPDF_TRUE);
    qpdf_set_minimum_pdf_version(data_, "1.7");  // the viewer preferences came with 1.6 and 1.7
    expect_success(qpdf_write(data_));
    return {reinterpret_cast<const char*>(qpdf_get_buffer(data_)), qpdf_get_buffer_length(data_)};
  }

 private:
  qpdf_oh stream(const std::string& text) {
    const qpdf_oh made = qpdf_oh_new_stream(data_);
    qpdf_oh_replace_stream_data(data_, made, reinterpret_cast<const unsigned char*>(text.data()), text.size(),
                                qpdf_oh_new_null(data_), qpdf_oh_new_null(data_));
    return made;
  }
  void expect_success(QPDF_ERROR_CODE code) {
    if ((code & QPDF_ERRORS) != 0)
      throw std::runtime_error(qpdf_get_error_full_text(data_, qpdf_get_error(data_)));
  }

  qpdf_data data_;
};

/// Scales the fine units back to points and gives each page its true size.
void set_full_size(QpdfFile& file, std::span<const Page> pages) {
  const std::string scale = short_number(1.0 / kFiner);
  for (std::size_t i = 0; i < pages.size(); ++i) {
    const qpdf_oh page = file.page(i);
    file.wrap_contents(page, fmt::format("q {} 0 0 {} 0 0 cm\n", scale, scale), "\nQ\n");
    file.set(page, "/MediaBox",
             fmt::format("[0 0 {} {}]", short_number(pages[i].width_mm * kPointsPerMm),
                         short_number(pages[i].height_mm * kPointsPerMm)));
  }
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
  QpdfFile file(drawn);
  set_full_size(file, pages);
  // No scaling and no printing on both sides, for the viewers that listen.
  file.set(file.root(), "/ViewerPreferences", "<< /PrintScaling /None /Duplex /Simplex >>");
  return file.written();
}

}  // namespace fairhole::drawing
