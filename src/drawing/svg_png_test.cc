// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <string>
#include <utility>

#include "fairhole/drawing/writers.h"
#include "support/run_command.h"
#include "test_plates.h"

namespace fairhole::drawing {
namespace {

using fairhole::test::run_check;
using fairhole::test::run_command;
using fairhole::test::scratch_file;
using fairhole::test::write_scratch;
using testing::HasSubstr;

Page small_page() {
  Page page{.width_mm = 40.0, .height_mm = 30.0};
  page.drawing.add(Circle{{10.5, 20.25}, 4.125}, {.width_mm = kHeavyMm, .ink = Ink::kNew});
  page.drawing.add(Line{{1, 1}, {39, 1}}, {.width_mm = kFineMm, .dash = Dash::kBroken});
  page.drawing.add(Text{.at_mm = {20, 10}, .text = "<img src=x onerror=\"y\"> & \xFF", .height_mm = 2.0});
  return page;
}

std::string svg_of(const Page& page, bool css_classes = false) {
  const auto result = write_svg(page, css_classes);
  EXPECT_TRUE(result.ok());
  return result.ok() ? *result : "";
}

TEST(Svg, StandsAtFullSizeWithCirclesInMillimetres) {
  const std::string svg = svg_of(small_page());
  EXPECT_THAT(svg, HasSubstr("width=\"40mm\" height=\"30mm\" viewBox=\"0 0 40 30\""));
  EXPECT_THAT(svg, HasSubstr("<circle cx=\"10.5\" cy=\"9.75\" r=\"4.125\" fill=\"none\" stroke=\"#1F4E79\" "
                             "stroke-width=\"0.5\"/>"));
}

TEST(Svg, IsWellFormedWhateverTheTextHolds) {
  const std::string svg = svg_of(small_page());
  EXPECT_THAT(svg, HasSubstr(">&lt;img src=x onerror=&quot;y&quot;&gt; &amp; \xEF\xBF\xBD</text>"));
  const auto lint = run_command("xmllint --noout " + write_scratch("p.svg", svg));
  EXPECT_EQ(lint.status, 0) << lint.output;
}

TEST(Svg, ClassesReplaceColours) {
  const std::string svg = svg_of(small_page(), true);
  EXPECT_THAT(svg, HasSubstr("class=\"new\" fill=\"none\" stroke=\"currentColor\""));
  EXPECT_EQ(svg.find('#'), std::string::npos);
}

/// Share of pixels that differ by more than half of full scale: edges fall a little differently, shapes do
/// not.
double share_that_differs(const Page& page, double dpi) {
  const auto png = write_png(page, dpi);
  EXPECT_TRUE(png.ok());
  const std::string ours = write_scratch("ours.png", *png);
  const std::string svg = write_scratch("page.svg", svg_of(page));
  const std::string theirs = scratch_file("theirs.png");
  const auto drawn =
      run_command(fmt::format("rsvg-convert --dpi-x {0} --dpi-y {0} -b white {1} -o {2}", dpi, svg, theirs));
  EXPECT_EQ(drawn.status, 0) << drawn.output;
  const auto result = run_check("png_chunks.py", "--differ " + ours + " " + theirs);
  EXPECT_EQ(result.status, 0) << result.output;
  return std::atof(result.output.c_str());
}

// A second renderer reads the SVG: every kind of mark, clipped and turned, must fall where our own PNG has
// it.
/// RFC 4648, section 10: test vectors.
TEST(Svg, CarriesPastedPicturesWithin) {
  const std::pair<std::string, std::string> vectors[] = {{"f", "Zg=="},         {"fo", "Zm8="},
                                                         {"foo", "Zm9v"},       {"foob", "Zm9vYg=="},
                                                         {"fooba", "Zm9vYmE="}, {"foobar", "Zm9vYmFy"}};
  for (const auto& [bytes, letters] : vectors) {
    Page page{.width_mm = 40.0, .height_mm = 30.0};
    page.pasted.push_back({.box = {{2.0, 3.0}, {12.5, 10.0}}, .jpeg = bytes});
    EXPECT_THAT(svg_of(page),
                HasSubstr("<image x=\"2\" y=\"20\" width=\"10.5\" height=\"7\" preserveAspectRatio=\"none\" "
                          "href=\"data:image/jpeg;base64," +
                          letters + "\"/>"));
  }
}

TEST(Svg, ShowsWhatThePngShows) {
  constexpr double kEdgesOnly = 0.002;  // of all pixels
  Page page{.width_mm = 60.0, .height_mm = 50.0};
  Drawing& d = page.drawing;
  d.add(Circle{{15, 15}, 8}, {.width_mm = 1.0});
  d.add(Arc{{30, 30}, 12, 0.4, 5.0}, {.width_mm = 1.0, .ink = Ink::kWarn});
  d.add(Arc{{30, 30}, 6, 1.0, 1.0}, {.width_mm = 1.0});  // the whole turn
  d.add(Ellipse{{45, 20}, 10, 4, 0.5}, {.width_mm = 1.0});
  d.add(Polyline{.points_mm = {{5, 40}, {20, 45}, {12, 30}}, .closed = true, .filled = true},
        {.ink = Ink::kOld});
  d.add(Circle{{55, 45}, 3, true});
  d.add(Line{{0, 2}, {60, 2}}, {.width_mm = 1.0, .dash = Dash::kCentre});
  EXPECT_LT(share_that_differs(page, 127.0), kEdgesOnly);
  page.frame.add(Line{{2, 48}, {58, 48}}, {.width_mm = 1.0});
  page.window = Box{{10, 8}, {48, 40}};
  EXPECT_LT(share_that_differs(page, 127.0), kEdgesOnly);
}

TEST(Png, HasItsSizeAndSaysItsResolution) {
  const auto png = write_png(small_page(), 254.0);
  ASSERT_TRUE(png.ok());
  const auto read = run_check("png_chunks.py", write_scratch("p.png", *png));
  EXPECT_EQ(read.output, "IHDR 400 300 8 2\npHYs 10000 10000 1\n");  // 10 pixels to the mm; 8 bits, RGB
}

TEST(Png, CapitalsStandTheirHeight) {
  Page page{.width_mm = 40.0, .height_mm = 40.0};
  page.drawing.add(Text{.at_mm = {5, 10}, .text = "H", .height_mm = 20.0});
  const auto png = write_png(page, 254.0);
  ASSERT_TRUE(png.ok());
  const auto rows = run_check("png_chunks.py", "--ink-rows " + write_scratch("p.png", *png));
  EXPECT_EQ(rows.output, "ink in rows 100 to 299\n");  // 10 to 30 mm above the foot of 400 rows
}

TEST(Png, RefusesMorePixelsThanTheFormatHolds) {
  const auto png = write_png(Page{.width_mm = 4000.0, .height_mm = 10.0}, 300.0);
  ASSERT_FALSE(png.ok());
  EXPECT_EQ(describe(png.problems().front()),
            "E282 png: 47245 by 119 pixels at 300 dpi; a picture has 1 to 32767 pixels on a side: take "
            "another resolution");
}

}  // namespace
}  // namespace fairhole::drawing
