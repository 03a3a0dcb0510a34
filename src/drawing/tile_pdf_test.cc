// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "fairhole/drawing/tiles.h"
#include "fairhole/drawing/writers.h"
#include "support/run_command.h"
#include "test_plates.h"

namespace fairhole::drawing {
namespace {

using fairhole::test::run_check;
using fairhole::test::write_scratch;
using testing::HasSubstr;

struct PrintCase {
  std::string name;
  double width_mm, height_mm;
  int count;
  unsigned seed;
  std::string paper;
  double scale_x = 1.0, scale_y = 1.0;
  bool mirrored = false, single_sheet = false;
};

void PrintTo(const PrintCase& c, std::ostream* out) { *out << c.name; }

class FullSizePrint : public testing::TestWithParam<PrintCase> {
 protected:
  static std::string pdf_of(const test::TestPlate& plate) {
    const PrintCase& c = GetParam();
    TileOptions options{.paper = *paper_from_name(c.paper), .single_sheet = c.single_sheet};
    options.scale_x = c.scale_x;
    options.scale_y = c.scale_y;
    options.mirrored = c.mirrored;
    const auto layout = lay_tiles(-10.0, -10.0, c.width_mm + 10.0, c.height_mm + 10.0, options);
    const auto pages =
        tile_pages(plate.drawing(), *layout, options, {"LEFT plate", "job"}, plate.keep_clear());
    return *write_pdf(pages, {.title = "template"});
  }
};

// The checker takes each page's circles for a subset of the true ones under a pure shift, scale_x and scale_y
// apart. It pairs by diameter to 0.3 mm before the correction, so corrected plates here have none above 18
// mm.
TEST_P(FullSizePrint, EveryCircleOnEveryTileIsWithinFiveMicrometres) {
  const PrintCase& c = GetParam();
  const auto plate = test::random_plate(c.seed, c.width_mm, c.height_mm, c.count, 18.0);
  const std::string pdf = pdf_of(plate);
  const std::string arguments =
      fmt::format("{} {} --tol 0.005 --sx {} --sy {} --raster 150", write_scratch("template.pdf", pdf),
                  write_scratch("truth.json", plate.json(c.mirrored ? -1.0 : 1.0)), c.scale_x, c.scale_y);
  const auto check = run_check("check_pdf.py", arguments);
  EXPECT_EQ(check.status, 0) << check.output;
  EXPECT_THAT(check.output, HasSubstr(fmt::format("holes {0}/{0}", c.count)));
  EXPECT_EQ(pdf, pdf_of(plate)) << "not the same bytes twice";
}

INSTANTIATE_TEST_SUITE_P(
    Papers, FullSizePrint,
    testing::Values(PrintCase{"LongPlateA4", 1200.0, 350.0, 60, 101U, "A4"},
                    PrintCase{"LongPlateA3", 1200.0, 350.0, 60, 102U, "A3"},
                    PrintCase{"ToePlateLetter", 900.0, 420.0, 60, 103U, "Letter"},
                    PrintCase{"ToePlateCorrected", 900.0, 420.0, 60, 104U, "A4", 0.985, 0.992},
                    PrintCase{"LongPlateCorrected", 1200.0, 350.0, 120, 105U, "A4", 1.0125, 1.0125},
                    PrintCase{"ToePlateMirrored", 900.0, 420.0, 60, 106U, "A3", 1.0, 1.0, true},
                    PrintCase{"ToePlateOneSheet", 900.0, 420.0, 200, 107U, "A4", 1.0, 1.0, false, true}),
    [](const auto& print_case) { return print_case.param.name; });

}  // namespace
}  // namespace fairhole::drawing
