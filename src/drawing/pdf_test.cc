// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <numbers>
#include <regex>
#include <string>

#include "fairhole/drawing/writers.h"
#include "pdf_circles.h"
#include "support/run_command.h"
#include "test_plates.h"

namespace fairhole::drawing {
namespace {

using fairhole::test::run_command;
using fairhole::test::write_scratch;
using test::read_pdf;
using testing::HasSubstr;
using testing::MatchesRegex;
using testing::Not;

std::string pdf_of(std::vector<Page> pages, const PdfOptions& options = {}) {
  const auto result = write_pdf(pages, options);
  EXPECT_TRUE(result.ok()) << (result.ok() ? "" : describe(result.problems().front()));
  return result.ok() ? *result : "";
}

Page page_with(Shape shape, double width_mm = 210.0, double height_mm = 297.0) {
  Page page{.width_mm = width_mm, .height_mm = height_mm};
  page.drawing.add(std::move(shape));
  return page;
}

TEST(Pdf, CirclesStayWithinStatedError) {
  constexpr double kStatedMm = 0.001;
  for (const double radius : {0.5, 3.0, 11.113, 63.7, 99.9, 150.0, 500.0}) {
    const Eigen::Vector2d centre(radius + 20.123456, radius + 30.654321);
    const auto pages = read_pdf(pdf_of({page_with(Circle{centre, radius}, 1100.0, 1100.0)}));
    ASSERT_EQ(pages.size(), 1U);
    ASSERT_EQ(pages[0].curves.size(), 1U);
    EXPECT_LT(test::worst_distance_mm(pages[0].curves[0], centre, radius), kStatedMm) << radius;
  }
}

TEST(Pdf, ArcsLieOnTheirCircleAndRunTheirTurn) {
  constexpr double kStatedMm = 0.001;
  const Arc arc{{100.0, 100.0}, 40.0, 5.5, 1.0};  // over the x axis
  const auto curves = read_pdf(pdf_of({page_with(arc)}))[0].curves;
  ASSERT_EQ(curves.size(), 1U);
  EXPECT_LT(test::worst_distance_mm(curves[0], arc.centre_mm, arc.radius_mm), kStatedMm);
  const auto on_circle = [&](double t) -> Eigen::Vector2d {
    return arc.centre_mm + arc.radius_mm * Eigen::Vector2d(std::cos(t), std::sin(t));
  };
  EXPECT_LT((curves[0].front()[0] - on_circle(arc.start_rad)).norm(), kStatedMm);
  EXPECT_LT((curves[0].back()[3] - on_circle(arc.end_rad)).norm(), kStatedMm);
}

TEST(Pdf, PagesHaveTheirTrueSize) {
  constexpr double kRoundingMm = 1e-6;  // six decimals of a point
  const auto pages =
      read_pdf(pdf_of({page_with(Circle{{9, 9}, 1}), page_with(Circle{{9, 9}, 1}, 215.9, 279.4)}));
  ASSERT_EQ(pages.size(), 2U);
  EXPECT_NEAR(pages[0].width_mm, 210.0, kRoundingMm);
  EXPECT_NEAR(pages[0].height_mm, 297.0, kRoundingMm);
  EXPECT_NEAR(pages[1].width_mm, 215.9, kRoundingMm);
}

TEST(Pdf, SameArgumentsSameBytes) {
  const std::vector<Page> pages{page_with(Text{.at_mm = {20, 20}, .text = "LEFT \xE2\x8C\x80 22"})};
  const std::string first = pdf_of(pages, {.title = "t", .author = "a", .created_unix = 1772366400});
  EXPECT_EQ(first, pdf_of(pages, {.title = "t", .author = "a", .created_unix = 1772366400}));
  EXPECT_NE(first, pdf_of(pages, {.title = "t", .author = "a", .created_unix = 1772366401}));
}

TEST(Pdf, AsksViewersToPrintAtActualSizeOnOneSide) {
  const auto info =
      run_command("qpdf --json " + write_scratch("p.pdf", pdf_of({page_with(Circle{{9, 9}, 1})})));
  EXPECT_THAT(info.output, HasSubstr("\"/PrintScaling\": \"/None\""));
  EXPECT_THAT(info.output, HasSubstr("\"/Duplex\": \"/Simplex\""));
}

TEST(Pdf, PassesQpdfAndCarriesItsDateTitleAndFonts) {
  Page page = page_with(Text{.at_mm = {20, 20}, .text = "plain"});
  page.drawing.add(Text{.at_mm = {20, 40}, .text = "bold \xE2\x8C\x80", .bold = true});
  const std::string file =
      write_scratch("p.pdf", pdf_of({page}, {.title = "Toe", .created_unix = 951827696}));
  EXPECT_EQ(run_command("qpdf --check " + file).status, 0);
  const std::string info = run_command("TZ=UTC pdfinfo -isodates " + file).output;
  EXPECT_THAT(info, HasSubstr("2000-02-29T12:34:56Z"));  // date -u -d @951827696: a leap day
  EXPECT_THAT(info, HasSubstr("Toe"));
  const std::string fonts = run_command("pdffonts " + file).output;
  EXPECT_THAT(fonts, HasSubstr("+DejaVuSans "));
  EXPECT_THAT(fonts, HasSubstr("+DejaVuSans-Bold"));
  EXPECT_THAT(fonts, Not(HasSubstr(" no ")));  // all embedded, subset, with a map to Unicode
}

TEST(Pdf, HostileTextReadsBackOnOneLine) {
  const char* text = "%%c <img> \xC3\x98\xE2\x8C\x80 two\nlines (\\) \xFF";
  const std::string file = write_scratch("p.pdf", pdf_of({page_with(Text{.at_mm = {10, 20}, .text = text})}));
  EXPECT_THAT(run_command("pdftotext -layout " + file + " -").output,
              HasSubstr("%%c <img> \xC3\x98\xE2\x8C\x80 two lines (\\) \xEF\xBF\xBD"));
}

// The second reading of the width: the widths table in the file, as poppler adds it up.
TEST(Pdf, TextIsAsWideAsTextWidthSays) {
  constexpr double kPrintedMm = 0.01;  // widths tables hold whole thousandths of the font's size
  for (const bool bold : {false, true}) {
    const std::string text = "Ordinates0123456789,LEFT";  // one word for pdftotext
    const std::string file = write_scratch(
        "p.pdf", pdf_of({page_with(Text{.at_mm = {10, 20}, .text = text, .height_mm = 3.0, .bold = bold})}));
    const std::string boxes = run_command("pdftotext -bbox " + file + " -").output;
    std::smatch match;
    ASSERT_TRUE(std::regex_search(boxes, match, std::regex("xMin=\"([0-9.]+)\".* xMax=\"([0-9.]+)\"")));
    const double width_mm = (std::stod(match[2]) - std::stod(match[1])) * 25.4 / 72.0;
    const double unit = 24 * 3.0 / kCapitalRatio * 0.0005;  // half a thousandth a letter
    EXPECT_NEAR(width_mm, text_width_mm(text, 3.0, bold), unit + kPrintedMm);
  }
}

TEST(Pdf, ClipsToTheWindowButNotTheFrame) {
  Page page = page_with(Circle{{50, 50}, 30}, 100.0, 100.0);
  page.frame = page.drawing;
  page.window = Box{{0, 0}, {50, 100}};
  page.drawing.marks[0].stroke.width_mm = 3.0;
  const auto dark_at = [](const Page& p, double x_mm, double y_mm) {
    const std::string file = write_scratch("p.pdf", pdf_of({p}));
    const auto out = run_command(
        "pdftoppm -r 254 -x 0 -y 0 -W 1000 -H 1000 -gray " + file +
        " | /usr/bin/python3 -c \"import sys; "
        "b=sys.stdin.buffer.read()[-1000*1000:]; print(b[" +
        std::to_string(static_cast<int>((100.0 - y_mm) * 10) * 1000 + static_cast<int>(x_mm * 10)) +
        "] < 128)\"");
    return out.output == "True\n";
  };
  EXPECT_TRUE(dark_at(page, 21.0, 50.0));   // left of the window's edge, only the wide line reaches here
  EXPECT_FALSE(dark_at(page, 79.0, 50.0));  // beyond it: clipped
  EXPECT_TRUE(dark_at(page, 80.0, 50.0));   // the frame's own thin circle
}

TEST(Pdf, RefusesNoPageAndPagesTooLarge) {
  EXPECT_THAT(describe(write_pdf({}).problems().front()), HasSubstr("E282"));
  const std::vector<Page> large{page_with(Circle{{9, 9}, 1}, 5081.0, 100.0)};
  EXPECT_EQ(describe(write_pdf(large).problems().front()),
            "E282 pdf: a page of 5081 by 100 mm; a PDF page is at most 5080 mm on a side: take tiles");
  const std::vector<Page> none{page_with(Circle{{9, 9}, 1}, 0.0, 100.0)};
  EXPECT_THAT(describe(write_pdf(none).problems().front()), HasSubstr("E281 page"));
}

}  // namespace
}  // namespace fairhole::drawing
