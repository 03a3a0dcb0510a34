// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "fairhole/base/length.h"
#include "fairhole/geometry/statistics.h"
#include "report_sections.h"
#include "words.h"

namespace fairhole::report {
namespace {

constexpr double kSuspectW = 3.29;        ///< two-sided 0.1 % of the normal distribution
constexpr double kUncheckedBelow = 0.01;  ///< redundancy
constexpr double kScatterP = 0.01;        ///< chi-square below this is worth a word

std::string row_words(const ReadingFinding& reading) {
  return fmt::format("row {}: {}", reading.row, reading.text);
}

/// The residual's own sigma, from its standardised value; a tape's where that says nothing.
double residual_sigma_mm(const ReadingFinding& reading) {
  constexpr double kTapeMm = 0.3;
  const double w = reading.w.value_or(0.0);
  return std::abs(w) > 1e-6 ? std::abs(reading.residual_mm / w) : kTapeMm;
}

std::string suspect_words(const ReadingFinding& reading) {
  const double out_mm = std::abs(reading.residual_mm);
  const std::string by = format_mm(out_mm, decimals_for(residual_sigma_mm(reading)));
  std::string says = fmt::format("{}, {} mm {} than the others make it.", row_words(reading), by,
                                 reading.residual_mm > 0.0 ? "more" : "less");
  if (!reading.slip.empty()) {
    says += fmt::format(" Most likely: {} ({}).", reading.slip, odds_words(reading.slip_odds));
  }
  return says + (reading.rejected ? " Left out." : " Kept; look again.");
}

std::vector<std::string> rows_where(const FaceFindings& face, auto&& keep) {
  std::vector<std::string> rows;
  for (const ReadingFinding& reading : face.readings) {
    if (keep(reading)) rows.push_back(row_words(reading));
  }
  return rows;
}

std::vector<std::string> face_words(const FaceFindings& face) {
  std::vector<std::string> says;
  if (!face.readings.empty()) {
    says.push_back(fmt::format("{} on {}.", count_words(face.readings.size(), "reading", "readings"),
                               count_words(face.measured.holes.size(), "hole", "holes")));
  }
  double worst = 0.0;
  std::string where;
  for (const MeasuredHole& hole : face.measured.holes) {
    const double half_axis = confidence_ellipse(hole.centre_cov_mm2).major_mm;
    if (half_axis > worst) {
      worst = half_axis;
      where = hole.id;
    }
  }
  if (worst > 0.0) {
    says.push_back(fmt::format("Every hole is known to {} mm or better (95 in 100); hole {} is the worst.",
                               format_mm(worst, decimals_for(0.25 * worst)), where));
  }
  if (face.shape_only)
    says.emplace_back("No reading starts at a datum edge: the shape is known, not where it lies.");
  if (face.dof > 0 && face.chi2_p < kScatterP) {
    says.emplace_back(
        "The readings scatter more than their stated accuracy allows: a slip may still hide, or the "
        "accuracy was stated too well.");
  }
  says.insert(says.end(), face.remarks.begin(), face.remarks.end());
  return says;
}

Html every_reading(const FaceFindings& face) {
  std::vector<std::vector<Html>> rows;
  for (const ReadingFinding& reading : face.readings) {
    const double sigma = residual_sigma_mm(reading);
    rows.push_back(
        {escaped(fmt::format("{}", reading.row)), escaped(reading.text),
         escaped(signed_mm(reading.residual_mm, decimals_for(sigma))),
         escaped(reading.w ? fmt::format("{:.1f}", *reading.w) : ""),
         escaped(fmt::format("{:.0f} %", 100.0 * reading.redundancy)),
         escaped(reading.mdb_mm ? format_mm(*reading.mdb_mm, decimals_for(0.25 * *reading.mdb_mm)) : ""),
         escaped(reading.rejected ? "left out" : "")});
  }
  return html_table({{"row", true},
                     {"reading"},
                     {"off, mm", true},
                     {"in sigmas", true},
                     {"checked", true},
                     {"would hide, mm", true},
                     {""}},
                    rows);
}

Html every_hole(const FaceFindings& face) {
  std::vector<std::vector<Html>> rows;
  for (const MeasuredHole& hole : face.measured.holes) {
    const double sigma_x = std::sqrt(hole.centre_cov_mm2(0, 0));
    const double sigma_y = std::sqrt(hole.centre_cov_mm2(1, 1));
    const double half_axis = confidence_ellipse(hole.centre_cov_mm2).major_mm;
    std::string form = hole.form == HoleForm::kThrough ? "" : form_name(hole.form);
    if (hole.ovality_mm > 0.0) {
      if (!form.empty()) form += ", ";
      form += fmt::format("oval by {} mm", format_mm(hole.ovality_mm, decimals_for(hole.diameter_sigma_mm)));
    }
    rows.push_back({escaped(hole.id), measured_figure(hole.centre_mm.x(), sigma_x),
                    measured_figure(hole.centre_mm.y(), sigma_y),
                    escaped(format_mm(half_axis, decimals_for(0.25 * half_axis))),
                    hole.diameter_mm ? measured_figure(*hole.diameter_mm, hole.diameter_sigma_mm)
                                     : escaped("not measured"),
                    escaped(form)});
  }
  return html_table(
      {{"hole"}, {"x, mm", true}, {"y, mm", true}, {"within, mm", true}, {"diameter, mm", true}, {""}}, rows);
}

Html folded(const std::string& summary, const Html& inner) {
  if (inner.empty()) return {};
  Html all = element("summary", summary);
  all += inner;
  return element("details", all);
}

Html face_part(const FaceFindings& face) {
  Html out = element("h3", fmt::format("{}, {}", face.part, face.face));
  if (!face.source.empty()) out += paragraph("From " + face.source + ".", "facts");
  for (const std::string& says : face_words(face)) out += paragraph(says);
  Html suspects;
  for (const ReadingFinding& reading : face.readings) {
    if (reading.rejected || std::abs(reading.w.value_or(0.0)) > kSuspectW) {
      suspects += element("li", suspect_words(reading));
    }
  }
  if (!suspects.empty()) {
    out += paragraph("These do not agree:");
    out += element("ul", suspects, "class=\"trouble\"");
  } else if (!face.readings.empty()) {
    out += paragraph("All readings agree.");
  }
  const auto unchecked =
      rows_where(face, [](const ReadingFinding& r) { return r.redundancy < kUncheckedBelow && !r.rejected; });
  if (!unchecked.empty()) {
    out += paragraph("Nothing checks these; a slip in them would not be seen:");
    out += bullets(unchecked);
  }
  if (!face.next.empty()) {
    const ReadingToTake& next = face.next.front();
    out += paragraph(
        fmt::format("The one more reading that helps most: {} (the worst hole is then known {} mm better).",
                    next.text, format_mm(next.gain_mm, decimals_for(0.25 * next.gain_mm))));
  }
  out += folded("Every hole as measured", every_hole(face));
  out += folded("Every reading", every_reading(face));
  return out;
}

}  // namespace

Html readings_section(const ReportInput& input) {
  if (input.faces.empty()) return {};
  Html out = element("h2", "What was measured", "id=\"readings\"");
  for (const FaceFindings& face : input.faces) out += face_part(face);
  return out;
}

}  // namespace fairhole::report
