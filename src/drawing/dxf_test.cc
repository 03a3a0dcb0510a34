// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "fairhole/drawing/writers.h"
#include "support/run_command.h"
#include "test_plates.h"

namespace fairhole::drawing {
namespace {

using fairhole::test::run_check;
using fairhole::test::run_command;
using fairhole::test::write_scratch;
using test::random_plate;
using testing::HasSubstr;
using testing::Not;

/// One mark of every kind, and texts that a careless writer would break on.
Drawing everything() {
  Drawing d = random_plate(1, 300.0, 200.0, 5).drawing();
  const std::string layer = "labels";
  d.add(Arc{{50, 50}, 20.0, 0.5, 2.0}, {.dash = Dash::kBroken}, layer);
  d.add(Ellipse{{90, 50}, 20.0, 8.0, 0.3}, {}, layer);
  d.add(Polyline{.points_mm = {{1, 1}, {2, 5}, {9, 3}}}, {}, layer);
  d.add(Circle{{10, 10}, 0.4, true}, {}, layer);
  for (const char* text : {"%%c", "two\nlines", "  0\nEOF", "<img src=x>",
                           "Stra\xC3\x9F"
                           "e",
                           "\xFF", "\\P{x}", "^J^M", " "}) {
    d.add(Text{.at_mm = {20, 20},
               .text = text,
               .align = Align::kCentre,
               .vertical = Text::Vertical::kMiddle,
               .angle_rad = 0.2},
          {}, layer);
  }
  d.add(Line{{0, 0}, {9, 9}}, {.ink = Ink::kPaper}, layer);  // blanks out on paper, means nothing here
  return d;
}

std::string dxf_of(const Drawing& drawing, DxfVersion version) {
  const auto result = write_dxf(drawing, {version});
  EXPECT_TRUE(result.ok()) << (result.ok() ? "" : describe(result.problems().front()));
  return result.ok() ? *result : "";
}

class DxfReaders : public testing::TestWithParam<DxfVersion> {};

TEST_P(DxfReaders, AuditorFindsNothingAndEveryCircleIsExact) {
  unsigned seed = 10;
  for (const auto& [width, height, count] : {std::tuple(1200.0, 350.0, 60), {900.0, 420.0, 200}}) {
    const auto plate = random_plate(++seed, width, height, count, 20.0);
    const std::string file = write_scratch("plate.dxf", dxf_of(plate.drawing(), GetParam()));
    const auto check = run_check("check_dxf.py", file + " " + write_scratch("truth.json", plate.json()));
    EXPECT_EQ(check.status, 0) << check.output;
  }
}

TEST_P(DxfReaders, AuditorFindsNothingInADrawingOfEverything) {
  const std::string file = write_scratch("everything.dxf", dxf_of(everything(), GetParam()));
  const auto audit = run_command(
      "/usr/bin/python3 -c \"import ezdxf,sys; d=ezdxf.readfile(sys.argv[1]); a=d.audit(); "
      "print(len(a.errors), len(a.fixes), len(d.modelspace()), d.dxfversion, d.header['\\$INSUNITS'])\" " +
      file);
  // 1 outline and 3 marks a circle (5), then 4 shapes and 8 texts: the blank text and the paper's line are
  // left out.
  const char* version = GetParam() == DxfVersion::kR12 ? "AC1009" : "AC1015";
  EXPECT_EQ(audit.output, fmt::format("0 0 28 {} 4\n", version));
}

TEST_P(DxfReaders, GdalReadsEveryEntity) {
  const std::string file = write_scratch("everything.dxf", dxf_of(everything(), GetParam()));
  const auto info = run_command("ogrinfo -so -al " + file);
  EXPECT_EQ(info.status, 0) << info.output;
  EXPECT_THAT(info.output, HasSubstr("Feature Count: 28"));
  EXPECT_THAT(info.output, Not(HasSubstr("ERROR")));
}

TEST_P(DxfReaders, DxfParserReadsTheSameCircles) {
  const auto plate = random_plate(30, 300.0, 200.0, 3);
  const std::string file = write_scratch("plate.dxf", dxf_of(plate.drawing(), GetParam()));
  const auto read = run_command("node " FAIRHOLE_SOURCE_DIR "/tests/checks/read_dxf.js " + file);
  ASSERT_EQ(read.status, 0) << read.output;
  const bool r12 = GetParam() == DxfVersion::kR12;
  const char* layer = r12 ? "CUT_ALL_OF_IT" : "cut, all of it";
  EXPECT_THAT(read.output, HasSubstr("\"units\":4"));
  EXPECT_THAT(read.output, HasSubstr(fmt::format("\"{}\":1", r12 ? "POLYLINE" : "LWPOLYLINE")));
  for (const auto& c : plate.circles) {
    EXPECT_THAT(read.output, HasSubstr(fmt::format("{{\"x\":{},\"y\":{},\"d\":{},\"layer\":\"{}\"}}",
                                                   c.centre_mm.x(), c.centre_mm.y(), c.diameter_mm, layer)));
  }
}

TEST_P(DxfReaders, WritesAsciiAndTheSameBytesTwice) {
  const std::string first = dxf_of(everything(), GetParam());
  EXPECT_EQ(first, dxf_of(everything(), GetParam()));
  for (const char c : first) ASSERT_TRUE(c == '\n' || (c >= ' ' && c <= '~'));
}

INSTANTIATE_TEST_SUITE_P(Versions, DxfReaders, testing::Values(DxfVersion::kR2000, DxfVersion::kR12),
                         [](const auto& version) {
                           return version.param == DxfVersion::kR12 ? "R12" : "R2000";
                         });

// Readers that repair what they read would hide a dangling pointer; strict ones refuse the file.
TEST(Dxf, EveryHandleIsUniqueAndEveryPointerFindsIts) {
  std::istringstream in(dxf_of(everything(), DxfVersion::kR2000));
  std::set<std::string> handles;
  std::vector<std::string> pointers;
  std::string seed;
  bool in_header = true;
  for (std::string code, value; std::getline(in, code) && std::getline(in, value);) {
    const int group = std::stoi(code);
    in_header = in_header && value != "ENDSEC";
    if (in_header && group == 5) seed = value;
    if (!in_header && (group == 5 || group == 105)) {
      EXPECT_TRUE(handles.insert(value).second) << value;
    }
    const bool pointer = group == 330 || group == 340 || group == 350 || group == 390;
    if (pointer && value != "0") pointers.push_back(value);
  }
  EXPECT_GT(handles.size(), 50U);
  for (const std::string& pointer : pointers) EXPECT_EQ(handles.count(pointer), 1U) << pointer;
  for (const std::string& handle : handles) {
    EXPECT_LT(std::stoul(handle, nullptr, 16), std::stoul(seed, nullptr, 16));
  }
}

TEST(Dxf, TextReadsBackAsTyped) {
  Drawing d;
  d.layers = {{"labels"}};
  d.add(Text{.at_mm = {0, 0}, .text = "%%c \xC3\x98 \xC3\xA9 ^J 97 %"}, {}, "labels");
  const std::string file = write_scratch("text.dxf", dxf_of(d, DxfVersion::kR2000));
  const auto read = run_command(
      "/usr/bin/python3 -c \"import ezdxf,sys; from ezdxf.lldxf.encoding import decode_dxf_unicode as u; "
      "print(u(ezdxf.readfile(sys.argv[1]).modelspace()[0].plain_text()))\" " +
      file);
  EXPECT_EQ(read.output, "% %c \xC3\x98 \xC3\xA9 ^J 97 %\n");
}

TEST(Dxf, R12FoldsLayerNamesToWhatItAllows) {
  Drawing d;
  d.layers = {{"finish in place, do not cut", 1}};
  d.add(Circle{{1, 2}, 3.0}, {}, "finish in place, do not cut");
  EXPECT_THAT(dxf_of(d, DxfVersion::kR12), HasSubstr("\nFINISH_IN_PLACE_DO_NOT_CUT\n"));
  EXPECT_THAT(dxf_of(d, DxfVersion::kR2000), HasSubstr("\nfinish in place, do not cut\n"));
}

std::string problem_of(const Drawing& drawing, DxfVersion version = DxfVersion::kR2000) {
  const auto result = write_dxf(drawing, {version});
  return result.ok() ? "" : describe(result.problems().front());
}

TEST(Dxf, RefusesBadLayerNames) {
  for (const char* name : {"", "0", "a/b", "a\\b", "a<b", "a:b", "a;b", "a?b", "a*b", "a|b", "a=b", "a'b",
                           "a`b", "a\"b", "a\nb", "\xC3\xA9", " a", "a "}) {
    Drawing d;
    d.layers = {{name}};
    EXPECT_THAT(problem_of(d), HasSubstr("E280 drawing layer")) << name;
  }
  Drawing twice;
  twice.layers = {{"Cut"}, {"cut"}};
  EXPECT_EQ(problem_of(twice),
            "E280 drawing layer \"cut\": the same name as layer \"Cut\"; a layer has a name of its own in "
            "plain words, "
            "of printable ASCII without < > / \\ \" : ; ? * | = ` '");
  Drawing folded;
  folded.layers = {{"a b"}, {"a, b"}};
  EXPECT_EQ(problem_of(folded), "");
  EXPECT_THAT(problem_of(folded, DxfVersion::kR12), HasSubstr("the same name as layer \"a b\""));
  Drawing longer;
  longer.layers = {{"a name of more than thirty-one letters"}};
  EXPECT_THAT(problem_of(longer, DxfVersion::kR12), HasSubstr("R12 takes 31"));
}

TEST(Dxf, RefusesAMarkOnALayerThatIsNotListed) {
  Drawing d;
  d.layers = {{"labels"}};
  d.add(Circle{{1, 2}, 3.0}, {}, "lables");
  EXPECT_THAT(problem_of(d), HasSubstr("\"lables\": a mark on a layer that the drawing does not list"));
}

TEST(Dxf, RefusesNumbersThatCannotBe) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double far = std::numeric_limits<double>::infinity();
  const Shape bad[] = {Line{{nan, 0}, {1, 1}},
                       Circle{{0, far}, 1.0},
                       Circle{{0, 0}, nan},
                       Circle{{0, 0}, 0.0},
                       Circle{{0, 0}, -1.0},
                       Circle{{2e5, 0}, 1.0},
                       Arc{{0, 0}, 1.0, nan, 1.0},
                       Ellipse{{0, 0}, 1.0, 2.0, 0.0},
                       Polyline{{{1, 1}}},
                       Polyline{{{1, 1}, {nan, 1}}},
                       Text{.at_mm = {0, nan}, .text = "x"},
                       Text{.text = "x", .height_mm = 0.0}};
  for (const Shape& shape : bad) {
    Drawing d;
    d.layers = {{"labels"}};
    d.add(shape, {}, "labels");
    EXPECT_THAT(problem_of(d), HasSubstr("E281 drawing, mark 1")) << shape.index();
    EXPECT_FALSE(write_pdf(std::vector{Page{.drawing = d}}).ok());
    EXPECT_FALSE(write_svg(Page{.drawing = d}).ok());
    EXPECT_FALSE(write_png(Page{.frame = d}).ok());
  }
}

}  // namespace
}  // namespace fairhole::drawing
