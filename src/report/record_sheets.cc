// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/report/record_sheets.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "fairhole/base/length.h"
#include "fairhole/report/fastener_sheets.h"
#include "flow.h"
#include "pen.h"
#include "words.h"

namespace fairhole {
namespace {

using namespace report;

constexpr auto kRight = drawing::Align::kRight;

std::string summary(const Inspection& inspection) {
  std::size_t sound = 0, bad = 0;
  for (const HoleVerdict& hole : inspection.holes) {
    sound += hole.verdict == Verdict::kConforming ? 1 : 0;
    bad += hole.verdict == Verdict::kNotConforming ? 1 : 0;
  }
  return fmt::format(
      "Of {} at stage {}: {} conforming, {} not conforming, {} cannot be said with this measurement.",
      count_words(inspection.holes.size(), "hole", "holes"), stage_name(inspection.stage), sound, bad,
      inspection.holes.size() - sound - bad);
}

/// "not conforming": the verdict as people write it.
std::string verdict_words(Verdict verdict) {
  return verdict == Verdict::kNotConforming ? "NOT conforming"
         : verdict == Verdict::kCannotSay   ? "cannot say"
                                            : "conforming";
}

/// 2 sigma of the place, along the ellipse's longer axis.
std::string doubt_mm(const HoleVerdict& hole) {
  if (!hole.offset_mm) return "";
  const Eigen::Matrix2d& c = hole.offset_cov_mm2;
  const double mean = 0.5 * (c(0, 0) + c(1, 1));
  const double spread = std::hypot(0.5 * (c(0, 0) - c(1, 1)), c(0, 1));
  return format_mm(2.0 * std::sqrt(std::max(mean + spread, 0.0)), 2);
}

Table hole_table(const Inspection& inspection) {
  Table table{{{"hole", drawing::Align::kLeft, false, true},
               {"off x", kRight},
               {"off y", kRight},
               {"\u00b1 2 sigma", kRight},
               {"zone", kRight},
               {"diameter", kRight},
               {"\u00b1 2 sigma", kRight},
               {"limits"},
               {"verdict"}},
              {}};
  table.height_mm = 2.0;
  for (const HoleVerdict& hole : inspection.holes) {
    const auto off = [&](int axis) { return hole.offset_mm ? signed_mm((*hole.offset_mm)[axis], 2) : ""; };
    constexpr double kGaugedMm = 0.005;  // a caliper is coarser, and its third decimal is noise
    const int decimals = hole.diameter_sigma_mm < kGaugedMm ? 3 : 2;
    table.rows.push_back({hole.id, off(0), off(1), doubt_mm(hole), format_mm(hole.limits.zone_mm, 2),
                          hole.diameter_mm ? format_mm(*hole.diameter_mm, decimals) : "",
                          hole.diameter_mm ? format_mm(2.0 * hole.diameter_sigma_mm, decimals) : "",
                          fmt::format("{} - {}", size_mm(hole.limits.min_mm), size_mm(hole.limits.max_mm)),
                          verdict_words(hole.verdict)});
  }
  return table;
}

Table remedy_table(const Inspection& inspection) {
  Table table{{{"hole", drawing::Align::kLeft, false, true}, {.head = "", .wraps = true}}, {}};
  for (const HoleVerdict& hole : inspection.holes) {
    if (!hole.remedy.empty()) table.rows.push_back({hole.id, hole.remedy});
  }
  return table;
}

Table shank_table(const Inspection& inspection) {
  Table table{{{"mark", drawing::Align::kLeft, false, true}, {"shank, mm"}, {.head = "holes", .wraps = true}},
              {}};
  for (const FinalShank& shank : inspection.shanks) {
    table.rows.push_back({shank.mark, limits_words(shank.shank), list_words(shank.holes)});
  }
  return table;
}

Table trade_off_table(const Inspection& inspection) {
  Table table{{{"sizes of shank", kRight}, {"the lathe may be off by, mm", kRight}}, {}};
  for (const fasteners::GroupingChoice& choice : inspection.trade_off)
    table.rows.push_back({fmt::format("{}", choice.groups), format_mm(choice.turning_mm, 3)});
  return table;
}

Table reading_table(const InspectionRecord& record) {
  Table table{{{"row", kRight},
               {.head = "as written", .wraps = true},
               {"residual, mm", kRight},
               {.head = "", .wraps = true}},
              {}};
  table.height_mm = 2.0;
  std::vector<const InspectionRecord::Reading*> order;
  for (const auto& reading : record.readings) order.push_back(&reading);
  std::stable_sort(order.begin(), order.end(),
                   [](const auto* a, const auto* b) { return a->rejected > b->rejected; });
  for (const InspectionRecord::Reading* reading : order) {
    const std::string why = reading->slip.empty() ? "" : ": " + reading->slip;
    table.rows.push_back({fmt::format("{}", reading->row), reading->text, signed_mm(reading->residual_mm, 2),
                          reading->rejected ? "set aside" + why : ""});
  }
  return table;
}

void sign_here(Flow& flow) {
  constexpr double kRowMm = 12.0;
  flow.heading("Signed");
  for (const char* who : {"measured by", "checked by", "accepted by"}) {
    const Flow::Room room = flow.room(kRowMm);
    double x = room.box.low_mm.x();
    const double y = room.box.low_mm.y() + 2.0;
    for (const auto& [words, wide] :
         {std::pair{who, 82.0}, std::pair{"name", 52.0}, std::pair{"date", 34.0}}) {
      write(*room.on, {x, y}, words, {.height_mm = 2.3});
      const double from = x + drawing::text_width_mm(words, 2.3) + 2.0;
      line(*room.on, {from, y - 0.6}, {x + wide - 3.0, y - 0.6}, kFine);
      x += wide;
    }
  }
}

}  // namespace

std::vector<drawing::Page> record_sheets(const InspectionRecord& record) {
  const Inspection& inspection = record.inspection;
  Flow flow(210.0, 297.0);
  flow.heading(fmt::format("Check back of {}, stage {}", inspection.plate, stage_name(inspection.stage)));
  flow.paragraph(summary(inspection));
  for (const std::string& note : inspection.notes) flow.paragraph(note);
  flow.table(hole_table(inspection));
  if (!inspection.unknown.empty())
    flow.paragraph(fmt::format("Measured, and not in the plan: {}.", list_words(inspection.unknown)));
  flow.section("What to do", "", remedy_table(inspection));
  flow.section("Final shanks", "From the bores as measured, within their fits.", shank_table(inspection));
  flow.section("How many sizes of shank", "", trade_off_table(inspection));
  flow.section("Readings", "", reading_table(record));
  flow.heading("Decided by");
  flow.paragraph(
      "ISO 14253-1: the doubt of the measurement counts against whoever claims. Conforming: the 2-sigma "
      "ellipse of the "
      "place lies wholly inside the zone and the diameter keeps 2 sigma off both limits; a hole that is out "
      "is then "
      "passed at most 2.3 times in 100. Not conforming: the 2.72-sigma ellipse lies wholly outside, or the "
      "diameter is "
      "2 sigma beyond a limit. Lengths in mm.");
  flow.heading("Made from");
  flow.paragraph(fmt::format("Plan {}, SHA-256 {}", record.plan_name, record.plan_hash));
  flow.paragraph(fmt::format("Measured {}, SHA-256 {}", record.measured_name, record.measured_hash));
  flow.paragraph(fmt::format("Seal of this record {}", record.seal));
  flow.paragraph(
      "`fairhole check-back --verify RECORD.json` does the check again from the record and compares it.");
  sign_here(flow);
  const std::string date = record.date.empty() ? "________" : record.date;
  Strip strip{{record.job, date, record.plan_hash.substr(0, 12)}, inspection.plate, "", "", {}, 1, 1};
  strip.caution = "Does not prove strength: a competent person accepts it.";
  return std::move(flow).finished(strip, {});
}

}  // namespace fairhole
