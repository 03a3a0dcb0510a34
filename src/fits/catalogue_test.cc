// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
//
// Source: the tables of fixtures/reference (its README names the books), whose core diameters and stress
// areas were computed apart from the program.
#include "fairhole/fits/catalogue.h"

#include <gtest/gtest.h>

#include <set>

#include "fairhole/base/length.h"
#include "fairhole/fits/clearance.h"
#include "fairhole/fits/drills.h"
#include "support/evidence.h"
#include "test_reference.h"

namespace fairhole {
namespace {

using fits::reference_table;
using fits::Table;

constexpr double kPrintedMm = 0.0011;    // printed to 0.001 mm, some rows cut and not rounded
constexpr double kPrintedIn = 0.00011;   // printed to 0.0001 in
constexpr double kPrintedMm2 = 0.06;     // printed to 0.1 mm2
constexpr double kPrintedIn2 = 0.00006;  // printed to 0.0001 in2
constexpr double kMm2PerIn2 = 25.4 * 25.4;

std::string spaced(std::string size) {
  for (char& c : size) c = c == '-' ? ' ' : c;
  return size;
}

TEST(WhitworthThreads, AreThoseOfTheTable) {
  const Table table = reference_table("threads_whitworth.csv");
  ASSERT_EQ(table.rows(), 29U);
  test::Evidence majors =
      test::published("BS 84:2007 in a gauge maker's table", "BSW, BSF: major diameters", "mm");
  test::Evidence cores = test::second_method("numpy, D - 2 x 0.640327 / n", "BSW, BSF: core diameters", "mm");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const std::string name = spaced(table.text(row, "size_in")) + " " + table.text(row, "series");
    SCOPED_TRACE(name);
    const auto thread = thread_named(standard_catalogue(), name);
    ASSERT_TRUE(thread.ok());
    majors.near(thread->major_mm, table.number(row, "major_in") * kMmPerInch, 1e-9);
    EXPECT_NEAR(kMmPerInch / thread->pitch_mm, table.number(row, "tpi"), 1e-9);
    cores.near(thread->core_mm(), table.number(row, "core_mm"), kPrintedMm);
    EXPECT_NEAR(thread->core_mm() / kMmPerInch, table.number(row, "core_in"), kPrintedIn);
    EXPECT_NEAR(thread->tap_drill_mm, table.number(row, "tap_drill_mm"), 1e-9);
    EXPECT_STREQ(provenance_name(thread->tap_drill_provenance), table.text(row, "prov_tap_drill").c_str());
    EXPECT_NEAR(100 * thread->engagement_ratio(thread->tap_drill_mm),
                table.number(row, "thread_pct_of_drill"), 0.06);
  }
}

TEST(MetricAndUnifiedThreads, AreThoseOfTheTable) {
  const Table table = reference_table("threads_metric_unified.csv");
  ASSERT_EQ(table.rows(), 43U);
  test::Evidence majors =
      test::published("tapping tables of tool makers", "metric, UNC, UNF: major diameters", "mm");
  test::Evidence areas =
      test::second_method("numpy, pi/4 ((d2 + d3)/2)^2", "metric, UNC, UNF: stress areas", "mm2");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const bool metric = table.text(row, "unit") == "mm";
    const std::string name =
        spaced(table.text(row, "size")) + (metric ? "" : " " + table.text(row, "series"));
    SCOPED_TRACE(name);
    const auto thread = thread_named(standard_catalogue(), name);
    ASSERT_TRUE(thread.ok());
    const double unit_mm = metric ? 1.0 : kMmPerInch;
    majors.near(thread->major_mm, table.number(row, "major") * unit_mm, 1e-9);
    EXPECT_NEAR(metric ? thread->pitch_mm : kMmPerInch / thread->pitch_mm, table.number(row, "pitch_or_tpi"),
                1e-9);
    EXPECT_NEAR(thread->core_mm(), table.number(row, "minor_dia") * unit_mm,
                metric ? kPrintedMm : kPrintedIn * 25.4);
    areas.near(thread->stress_area_mm2(), table.number(row, "stress_area") * (metric ? 1.0 : kMm2PerIn2),
               metric ? kPrintedMm2 : kPrintedIn2 * kMm2PerIn2);
    if (metric) {
      EXPECT_NEAR(thread->tap_drill_mm, table.number(row, "tap_drill"), 1e-9);
    }
  }
}

TEST(TappingDrills, OfUnifiedThreadsAreDrillsByTheirName) {
  // "#7 (0.2010)", "F (0.2570)", "5/16 (0.3125)": the name's drill has the size in brackets.
  const Table table = reference_table("threads_metric_unified.csv");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (table.text(row, "unit") == "mm") continue;
    const std::string cell = table.text(row, "tap_drill"), name = cell.substr(0, cell.find(' '));
    SCOPED_TRACE(cell);
    double drill_mm = 0.0;
    for (const Drill& drill : number_and_letter_drills()) {
      if (drill.name == name) drill_mm = drill.diameter_mm;
    }
    if (drill_mm == 0.0) drill_mm = *parse_length_mm(spaced(name) + " in", Unit::kInch);
    EXPECT_NEAR(
        thread_named(standard_catalogue(), spaced(table.text(row, "size")) + " " + table.text(row, "series"))
            ->tap_drill_mm,
        drill_mm, 1e-9);
    EXPECT_NEAR(drill_mm / kMmPerInch, std::stod(cell.substr(cell.find('(') + 1)), kPrintedIn);
  }
}

TEST(NumberAndLetterDrills, AreThoseOfTheTableAndRise) {
  const Table table = reference_table("drills_number_letter.csv");
  const auto drills = number_and_letter_drills();
  ASSERT_EQ(drills.size(), 106U);
  ASSERT_EQ(table.rows(), drills.size());
  test::Evidence sizes =
      test::published("two typed copies of the drill gauge", "number and letter drills", "mm");
  for (std::size_t i = 0; i < drills.size(); ++i) {
    EXPECT_EQ(drills[i].name, table.text(i, "size"));
    sizes.near(drills[i].diameter_mm, table.number(i, "mm"), 0.0006);
    if (i > 0) {
      EXPECT_GT(drills[i].diameter_mm, drills[i - 1].diameter_mm) << drills[i].name;
    }
  }
}

TEST(Hexagons, OfWhitworthSizesAreThoseOfTheTable) {
  const Table table = reference_table("hexagons_whitworth.csv");
  ASSERT_EQ(table.rows(), 27U);
  test::Evidence sizes =
      test::published("BS 1083:1965 in Machinery's Handbook, 31st ed.; Cyclopaedia (old Whitworth)",
                      "hexagons: flats, head, nut", "mm");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const double bolt_mm = *parse_length_mm(spaced(table.text(row, "size_in")) + " in", Unit::kInch);
    const bool old = table.text(row, "series").find("old") != std::string::npos;
    SCOPED_TRACE(table.text(row, "size_in") + (old ? " old" : ""));
    const auto hexagon = hexagon_for(standard_catalogue(), old ? "old Whitworth" : "BS 1083", bolt_mm);
    ASSERT_TRUE(hexagon.ok());
    sizes.near(hexagon->across_flats_mm, table.number(row, "af_max") * 25.4, 1e-9);
    sizes.near(hexagon->head_mm, table.number(row, "head_max") * 25.4, 1e-9);
    sizes.near(hexagon->nut_mm, table.number(row, "nut_max") * 25.4, 1e-9);
    // Across corners = flats x 2/sqrt 3; printed to 0.01 in, 0.004 in off at the most.
    EXPECT_NEAR(hexagon->across_corners_mm() / 25.4, table.number(row, "across_corners_max"), 0.0101);
  }
}

TEST(Hexagons, OldHalfInchIsTodaysNineSixteenths) {
  EXPECT_NEAR(hexagon_for(standard_catalogue(), "old Whitworth", 12.7)->across_flats_mm,
              hexagon_for(standard_catalogue(), "BS 1083", 14.2875)->across_flats_mm, 0.03);
}

TEST(Washers, AreThoseOfTheTable) {
  const Table table = reference_table("washers.csv");
  test::Evidence sizes =
      test::published("DIN 125, ISO 7089, ASME B18.21.1 tables", "washers: hole, outside, thickness", "mm");
  int read = 0;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (table.text(row, "prov") != "found") continue;  // BS 3410: a gap, no value
    const bool metric = table.text(row, "unit") == "mm";
    const std::string size = table.text(row, "size");
    const double bolt_mm = *parse_length_mm(metric ? size.substr(1) : size, metric ? Unit::kMm : Unit::kInch);
    const auto washer = washer_for(standard_catalogue(), metric ? "plain" : "plain narrow", bolt_mm);
    ASSERT_TRUE(washer.ok()) << size;
    const double unit_mm = metric ? 1.0 : kMmPerInch;
    sizes.near(washer->hole_mm, table.number(row, "hole") * unit_mm, 1e-9);
    sizes.near(washer->outside_mm, table.number(row, "outside") * unit_mm, 1e-9);
    sizes.near(washer->thickness_mm, table.number(row, "thickness") * unit_mm, 1e-9);
    ++read;
  }
  EXPECT_EQ(read, 17);
}

TEST(En1090Holes, AreThoseOfTheTable) {
  const Table table = reference_table("en1090_holes.csv");
  test::Evidence holes = test::published("EN 1090-2 table 11, three quotations",
                                         "holes for bolts M12 to M36, round and slots", "mm");
  int read = 0;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (table.text(row, "bolt").front() != 'M') continue;
    const double bolt_mm = std::stod(table.text(row, "bolt").substr(1));
    const std::string kind = table.text(row, "hole_kind");
    SCOPED_TRACE(table.text(row, "bolt") + " " + kind);
    const En1090Hole hole = kind == "normal round"      ? En1090Hole::kNormal
                            : kind == "oversize round"  ? En1090Hole::kOversize
                            : kind.starts_with("short") ? En1090Hole::kShortSlot
                                                        : En1090Hole::kLongSlot;
    // Every row: bolt plus clearance; the long slot's clearance is 1.5 d.
    const double over_mm = hole == En1090Hole::kLongSlot ? 1.5 * bolt_mm : table.number(row, "clearance");
    holes.equal(*en1090_hole_mm(bolt_mm, hole), bolt_mm + over_mm);
    ++read;
  }
  EXPECT_EQ(read, 44);
  EXPECT_EQ(describe(en1090_hole_mm(10, En1090Hole::kNormal).problems()[0]),
            "E273 EN 1090-2 lists no hole for a bolt of 10 mm; use a metric bolt from M12 to M36, or state "
            "the hole's "
            "diameter");
}

TEST(StandardCatalogue, MarksWhatIsFromMemory) {
  const Catalogue& all = standard_catalogue();
  for (const Reamer& reamer : all.reamers)
    EXPECT_EQ(reamer.source.provenance, Provenance::kMemory) << reamer.name;
  for (const Bar& bar : all.bars) EXPECT_EQ(bar.source.provenance, Provenance::kMemory) << bar.name;
  EXPECT_EQ(hexagon_for(all, "metric", 20)->source.provenance, Provenance::kMemory);
  EXPECT_EQ(washer_for(all, "thick", 20)->source.provenance, Provenance::kMemory);
  EXPECT_EQ(washer_for(all, "plain", 20)->source.provenance, Provenance::kFound);
  EXPECT_EQ(head_named(all, "snap")->source.provenance, Provenance::kFound);
  EXPECT_EQ(head_named(all, "button")->source.provenance, Provenance::kMemory);
}

TEST(StandardCatalogue, FindsTheNextSize) {
  const Catalogue& all = standard_catalogue();
  EXPECT_EQ(largest_thread(all, "metric", 21.8)->name(), "M20");
  EXPECT_EQ(largest_thread(all, "BSW", 22.225)->name(), "7/8 BSW");
  EXPECT_EQ(largest_thread(all, "BSF", 22.0)->name(), "3/4 BSF");
  EXPECT_EQ(bar_from(all, BarShape::kRound, 35.56)->name, "36 mm");
  EXPECT_EQ(bar_from(all, BarShape::kHexagon, 30.0)->name, "30 mm");
  EXPECT_EQ(hexagon_series_of("BSF"), "BS 1083");
  EXPECT_EQ(hexagon_series_of("UNC"), "unified");
  EXPECT_EQ(hexagon_series_of("metric"), "metric");
}

template <class T>
std::string complaint(const Result<T>& result) {
  return result.ok() ? "no problem" : describe(result.problems()[0]);
}

TEST(StandardCatalogue, SaysWhatItDoesNotHold) {
  const Catalogue& all = standard_catalogue();
  EXPECT_EQ(
      complaint(thread_named(all, "M21")),
      "E448 no thread \"M21\"; write it as \"M20\", \"3/4 BSW\", \"3/4 BSF\", \"3/4 UNC\", or add it in a "
      "catalogue of your own");
  EXPECT_EQ(complaint(washer_for(all, "plain", 19.05)),
            "E448 no plain washer for a thread of 19.05 mm; state the washer's thickness, or add it in a "
            "catalogue of "
            "your own");
  EXPECT_EQ(complaint(hexagon_for(all, "BS 1083", 20)),
            "E448 no hexagon of series \"BS 1083\" for a thread of 20 mm; state head and nut, or add them in "
            "a catalogue "
            "of your own");
  EXPECT_EQ(complaint(largest_thread(all, "BSP", 20)),
            "E448 no thread of series \"BSP\" of 20 mm or less; choose metric, BSW, BSF, UNC or UNF, a "
            "larger shank, or "
            "add the thread in a catalogue of your own");
  EXPECT_EQ(complaint(head_named(all, "flat")),
            "E448 no rivet head \"flat\"; write one of: snap, cold snap, button, pan, countersunk 60, "
            "countersunk 90");
  EXPECT_EQ(complaint(bar_from(all, BarShape::kHexagon, 100)),
            "E448 no hexagon bar of 100 mm or more; add the bar in a catalogue of your own");
}

TEST(OwnCatalogue, IsReadAndComesFirst) {
  const auto own = parse_catalogue(
      "# washers cut from plate\r\n# unit: in\r\nwasher,series,hole,outside,thickness,prov,source\r\n"
      "3/4,plain,13/16,1 3/4,5/32,user,\"my own, \"\"thick\"\"\"\r\n20 mm,plain,22.5 mm,40 mm,6 "
      "mm,user,mine\r\n",
      "mine.csv");
  ASSERT_TRUE(own.ok()) << complaint(own);
  const Catalogue all = merged(*own, standard_catalogue());
  EXPECT_DOUBLE_EQ(washer_for(all, "plain", 19.05)->thickness_mm, 5.0 / 32 * 25.4);
  EXPECT_EQ(washer_for(all, "plain", 19.05)->source.text, "my own, \"thick\"");
  EXPECT_EQ(washer_for(all, "plain", 20)->thickness_mm, 6.0);
  EXPECT_EQ(washer_for(all, "plain", 24)->thickness_mm, 4.0);
  const auto reamers = parse_catalogue("reamer,kind,prov,source\n22.3,hand,user,ground down\n", "r.csv");
  EXPECT_EQ(reamers->reamers.front().name, "22.3 mm");
}

TEST(OwnCatalogue, DrillsStandInTheChain) {
  const auto own =
      parse_catalogue("# unit: in\ndrill,prov,source\n7/8,user,bought\n21.8 mm,user,reground\n", "d.csv");
  ASSERT_TRUE(own.ok()) << complaint(own);
  ASSERT_EQ(own->drills.size(), 2U);
  EXPECT_EQ(merged(*own, standard_catalogue()).drills[1].name, "21.8 mm");
  // Inch drills only: 55/64 in is 21.83 mm and will do for 21.8; the own drill is of the very size.
  EXPECT_EQ(drill_chain(21.8, HoleFinish::kDrilled, DrillUnit::kInch)->back().name, "55/64 in");
  EXPECT_EQ(drill_chain(21.8, HoleFinish::kDrilled, DrillUnit::kInch, own->drills)->back().name, "21.8 mm");
  EXPECT_EQ(opening_chain(20.0, 21.8, HoleFinish::kDrilled, DrillUnit::kInch, own->drills)->back().name,
            "21.8 mm");
  const std::vector<Drill> all = drills_at_hand(DrillUnit::kInch, own->drills);
  EXPECT_EQ(all.size(), drill_list(DrillUnit::kInch).size() + 1);  // 7/8 in was there
  for (std::size_t i = 1; i < all.size(); ++i) EXPECT_LT(all[i - 1].diameter_mm, all[i].diameter_mm);
  EXPECT_EQ(describe(parse_catalogue("drill,prov,source\n0,user,mine\n", "d.csv").problems()[0]),
            "E447 d.csv: line 2: drill \"0\" is no length above 0; write it as 20, 20 mm or 3/4 in");
}

std::string all_of(const char* csv) {
  const auto read = parse_catalogue(csv, "mine.csv");
  std::string text;
  if (!read.ok()) {
    for (const Problem& problem : read.problems()) text += describe(problem) + "\n";
  }
  return text;
}

TEST(OwnCatalogue, SaysEveryFaultWithItsLine) {
  EXPECT_EQ(all_of("washers,hole\n1,2\n"),
            "E446 mine.csv: line 1: \"washers,hole\" is the header row of no table; begin the file with the "
            "header row of "
            "one table\n");
  EXPECT_EQ(all_of("washer,hole\n"),
            "E446 mine.csv: line 1: \"washer,hole\" is the header row of no table; write "
            "\"washer,series,hole,outside,thickness,prov,source\"\n");
  EXPECT_EQ(
      all_of("# nothing\n"),
      "E446 mine.csv: \"\" is the header row of no table; begin the file with the header row of one table\n");
  EXPECT_EQ(
      all_of("thread,series,form,major,pitch,tap_drill,prov,tap_drill_prov,source\n"
             "M20,metric,round,20,0 tpi,17,user,user,mine\nM22,metric,metric,wide,2.5,19,user,guess,\nM24\n"),
      "E447 mine.csv: line 2: form \"round\" is an unknown word; write one of: metric, unified, whitworth\n"
      "E447 mine.csv: line 2: pitch \"0 tpi\" is no pitch; write it as 2.5 mm or 10 tpi\n"
      "E447 mine.csv: line 3: major \"wide\" is no length above 0; write it as 20, 20 mm or 3/4 in\n"
      "E447 mine.csv: line 3: tap_drill_prov \"guess\" is an unknown word; write one of: found, computed, "
      "memory, "
      "user\n"
      "E447 mine.csv: line 3: source \"\" is no source; say where the values are from\n"
      "E447 mine.csv: line 4: 1 cells; write 9: "
      "thread,series,form,major,pitch,tap_drill,prov,tap_drill_prov,source\n");
  EXPECT_EQ(all_of("# unit: cm\ndrill,prov,source\n2.1,user,mine\n"),
            "E446 mine.csv: line 1: \"# unit: cm\" cannot be used; write \"# unit: mm\" or \"# unit: in\", "
            "once, above "
            "the header row\n");
  EXPECT_EQ(all_of("drill,prov,source\n# unit: in\n7/8,user,mine\n"),
            "E446 mine.csv: line 2: \"# unit: in\" cannot be used; write \"# unit: mm\" or \"# unit: in\", "
            "once, above "
            "the header row\n");
  EXPECT_EQ(all_of("#unit: in \ndrill,prov,source\n55,user,mine\nnan,user,mine\ninf,user,mine\n"),
            "E447 mine.csv: line 3: drill \"55\" is larger than any tool or fastener; look at the unit of "
            "the cell and of "
            "the file\n"
            "E447 mine.csv: line 4: drill \"nan\" is no length above 0; write it as 20, 20 mm or 3/4 in\n"
            "E447 mine.csv: line 5: drill \"inf\" is no length above 0; write it as 20, 20 mm or 3/4 in\n");
  EXPECT_EQ(all_of("\xEF\xBB\xBF"
                   "drill,prov,source\n21.5,user,\"cut o"),
            "E447 mine.csv: line 2: a quoted cell does not end; close it with \", on the same line; or the "
            "file was cut "
            "off\n");
  EXPECT_EQ(all_of("drill,prov,source\n"),
            "E446 mine.csv: there is no row below the header row; add the sizes, or do not name the file\n");
  EXPECT_EQ(
      all_of("head,form,diameter_ratio,height_ratio,prov,source\nmine,snap,1.7,-1,user,own\n"),
      "E447 mine.csv: line 2: height_ratio \"-1\" is no number above 0; write a plain number such as 1.6\n");
}

}  // namespace
}  // namespace fairhole
