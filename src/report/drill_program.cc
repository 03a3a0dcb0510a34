// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/report/drill_program.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "fairhole/base/length.h"
#include "words.h"

namespace fairhole {
namespace {

using namespace report;

constexpr double kSpotMm = 10.0;           // a spotting drill of 90 degrees
constexpr double kSpotShare = 0.8;         // of the first drill, at the face: the drill then starts in it
constexpr double kPointRatio = 0.3004303;  // height of a 118 degree point, in diameters: 0.5 / tan 59
constexpr double kPeckOverDiameters = 3.0;
constexpr double kMostRpm = 3000.0;

/// One tool and the holes it makes, in drilling order.
struct Pass {
  std::string name;
  bool reamer = false, spot = false;
  double diameter_mm = 0.0;
  std::vector<const LaidHole*> holes;
};

std::vector<Pass> passes_of(const PlateLayout& layout) {
  std::map<std::pair<bool, double>, Pass> tools;  // drills rising, then reamers rising
  Pass spot{"spotting drill 90 degrees", false, true, kSpotMm, {}};
  for (const LaidHole& hole : layout.holes) {
    if (hole.bench_steps.empty()) continue;
    spot.holes.push_back(&hole);
    for (const DrillStep& step : hole.bench_steps) {
      const bool reamer = step.tool == ToolKind::kReamer;
      Pass& pass = tools[{reamer, step.diameter_mm}];
      pass.reamer = reamer;
      pass.diameter_mm = step.diameter_mm;
      pass.name = (reamer ? "reamer " : "drill ") + step.name;
      pass.holes.push_back(&hole);
    }
  }
  std::vector<Pass> passes{spot};
  for (auto& [key, pass] : tools) passes.push_back(std::move(pass));
  if (spot.holes.empty()) passes.clear();
  return passes;
}

/// A comment holds no brackets of its own and no line end (NIST IR 6556, 3.3.3), and starts no message.
std::string comment(const std::string& text) {
  std::string plain;
  for (const char c : text) {
    const bool printable = c >= ' ' && c <= '~';
    plain += c == '(' || c == ')' ? '/' : printable ? c : '?';
  }
  return "(" + plain + ")\n";
}

std::string word(char letter, double value) {
  std::string text = format_mm(value, 4);
  while (text.back() == '0') text.pop_back();
  if (text.back() == '.') text.pop_back();
  return fmt::format("{}{}", letter, text == "-0" ? "0" : text);
}

/// Speed for high-speed steel: 20 m/min drilling, 6 m/min reaming; feed a fiftieth of a drill's diameter up
/// to 0.3 mm a turn, twice that for reamers.
struct Cut {
  double rpm = 0.0, feed_mm_min = 0.0;
};
Cut cut_of(const Pass& pass) {
  const double speed_m_min = pass.reamer ? 6.0 : 20.0;
  const double rpm =
      std::min(kMostRpm, std::floor(1000.0 * speed_m_min / (std::numbers::pi * pass.diameter_mm)));
  const double a_turn_mm = std::min(0.3, pass.diameter_mm / 50.0) * (pass.reamer ? 2.0 : 1.0);
  return {rpm, std::floor(rpm * a_turn_mm)};
}

double depth_mm(const Pass& pass, const LaidHole& hole, double thickness_mm, const DrillSetup& setup) {
  if (pass.spot) {  // as deep as it is wide at the face: 90 degrees
    const double wide_mm = std::min(kSpotMm, kSpotShare * hole.bench_steps.front().diameter_mm);
    return 0.5 * wide_mm;
  }
  // A reamer's lead is taken for as long as a drill's point.
  return thickness_mm + kPointRatio * pass.diameter_mm + setup.through_mm;
}

std::string cycle_of(const Pass& pass, double depth, const DrillSetup& setup) {
  const std::string z = word('Z', -depth), r = word('R', setup.clear_height_mm);
  if (pass.reamer) return fmt::format("G98 G85 {} {}", z, r);
  if (!pass.spot && depth > kPeckOverDiameters * pass.diameter_mm)
    return fmt::format("G98 G83 {} {} {}", z, r, word('Q', pass.diameter_mm));
  return fmt::format("G98 G81 {} {}", z, r);
}

std::string head(const PlateLayout& layout, const SheetTitle& title, const DrillSetup& setup,
                 const std::vector<Pass>& passes) {
  const std::string hand = layout.hand.empty() ? "" : ", " + layout.hand + " hand";
  std::string text = comment(fmt::format("{}, plate {}{}", title.job, layout.plate, hand));
  text += comment(fmt::format("plan {}, date {}", title.plan_hash, title.date));
  text += comment(
      "CAUTION. Proves no strength. Look through it, run it in the air first, and keep a hand on the stop.");
  text += comment(
      "CAUTION. A drill that breaks through snatches: the fixture must hold the plate down and leave room");
  text += comment(fmt::format("below every hole for {} mm. Clamps below the safe height.",
                              format_mm(setup.through_mm + kPointRatio * passes.back().diameter_mm, 1)));
  text += comment("Fixture: " + setup.fixture);
  text += comment(fmt::format(
      "{} face up. Work offset {}: X0 Y0 the datum corner, X along the long datum edge, Z0 the {} face",
      layout.marked_face, setup.work_offset, layout.marked_face));
  text += comment(fmt::format(
      "Millimetres. Plate {} mm thick. Safe height {} mm, feed from {} mm above the face",
      size_mm(layout.thickness_mm), size_mm(setup.safe_height_mm), size_mm(setup.clear_height_mm)));
  text += comment(
      "What is finished in place is piloted only. Speeds and feeds: high-speed steel in mild steel; yours "
      "decide.");
  for (std::size_t i = 0; i < passes.size(); ++i)
    text += comment(fmt::format("T{} {}, {}", i + 1, passes[i].name,
                                count_words(passes[i].holes.size(), "hole", "holes")));
  return text;
}

std::string program_of(const Pass& pass, std::size_t number, double thickness_mm, const DrillSetup& setup) {
  const Cut cut = cut_of(pass);
  std::string text = comment(fmt::format("T{} {}", number, pass.name));
  text += fmt::format("T{} M6\nG43 H{}\nG0 {}\n{} M3\n{}\n", number, number, word('Z', setup.safe_height_mm),
                      word('S', cut.rpm), word('F', cut.feed_mm_min));
  for (const LaidHole* hole : pass.holes) {
    text += fmt::format("{} {} {} {}", cycle_of(pass, depth_mm(pass, *hole, thickness_mm, setup), setup),
                        word('X', hole->centre_mm.x()), word('Y', hole->centre_mm.y()), comment(hole->id));
  }
  return text + fmt::format("G80\nG0 {}\nM5\n", word('Z', setup.safe_height_mm));
}

}  // namespace

std::string drill_program(const PlateLayout& layout, const SheetTitle& title, const DrillSetup& setup) {
  const std::vector<Pass> passes = passes_of(layout);
  if (passes.empty()) return {};
  std::string text = "%\n" + head(layout, title, setup, passes);
  text += fmt::format("G17 G21 G90 G94 G40 G49 G80\n{}\n", setup.work_offset);
  for (std::size_t i = 0; i < passes.size(); ++i)
    text += program_of(passes[i], i + 1, layout.thickness_mm, setup);
  return text + "M2\n%\n";
}

}  // namespace fairhole
