// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "fairhole/base/length.h"
#include "fairhole/geometry/statistics.h"
#include "fairhole/report/reading_words.h"
#include "report_sections.h"
#include "words.h"

namespace fairhole::report {
namespace {

constexpr double kUncheckedBelow = 0.01;  ///< redundancy
constexpr double kScatterP = 0.01;        ///< chi-square below this is worth a word

/// What a reading's text begins with: "along", "diameter", "centres".
std::string kind_of(const ReadingFinding& reading) { return reading.text.substr(0, reading.text.find(' ')); }

/// "across: rows 2, 4 and 6": rows by what was read, in the order of the file.
std::vector<std::string> unchecked_words(const FaceFindings& face) {
  std::vector<std::pair<std::string, std::vector<int>>> kinds;
  std::map<int, std::string> text_of;
  for (const ReadingFinding& reading : face.readings) {
    text_of[reading.row] = row_words(reading);
    if (reading.redundancy >= kUncheckedBelow || reading.rejected) continue;
    const std::string kind = kind_of(reading);
    const auto known =
        std::find_if(kinds.begin(), kinds.end(), [&](const auto& entry) { return entry.first == kind; });
    auto& rows = known != kinds.end() ? known->second : kinds.emplace_back(kind, 0).second;
    rows.push_back(reading.row);
  }
  std::vector<std::string> says;
  for (const auto& [kind, rows] : kinds) {
    says.push_back(rows.size() == 1 ? text_of[rows.front()] : fmt::format("{}, {}", kind, rows_words(rows)));
  }
  return says;
}

Html suspects_of(const FaceFindings& face) {
  Html items;
  for (const ReadingFinding& reading : face.readings) {
    if (is_suspect(reading)) items += element("li", suspect_words(reading));
  }
  return items.empty() ? items : element("ul", items, "class=\"trouble\"");
}

std::vector<std::string> face_words(const FaceFindings& face) {
  std::vector<std::string> says;
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

/// Remarks that every face shares are said once, at the head.
std::vector<std::string> shared_remarks(const std::vector<FaceFindings>& faces) {
  if (faces.size() < 2) return {};
  std::vector<std::string> shared;
  for (const std::string& remark : faces.front().remarks) {
    const bool everywhere = std::all_of(faces.begin(), faces.end(), [&](const FaceFindings& face) {
      return std::find(face.remarks.begin(), face.remarks.end(), remark) != face.remarks.end();
    });
    if (everywhere) shared.push_back(remark);
  }
  return shared;
}

/// The face as photographed, what was found drawn over it.
Result<Html> pictures_of(const FaceFindings& face) {
  constexpr double kWidthMm = 240.0;
  Html out;
  for (const FacePicture& seen : face.pictures) {
    const Result<Html> one = picture(face_picture_page(seen, kWidthMm), "photograph of " + seen.title, "");
    if (!one) return one.problems();
    out += *one;
  }
  return out;
}

Html figures_of(const FaceFindings& face) {
  Html out = every_hole(face);
  out += every_reading(face);
  return folded(escaped("Every hole and every reading"), out, "record");
}

/// The reading to take next; where the first of the list gains only together with those after it, all of
/// them.
std::string next_words(const FaceFindings& face) {
  constexpr double kWorthMm = 0.05;  // less would not be noticed with a tape
  std::vector<std::string> texts;
  double gain_mm = 0.0;
  for (const ReadingToTake& next : face.next) {
    texts.push_back(next.text);
    gain_mm += next.gain_mm;
    if (next.gain_mm < kWorthMm) continue;
    return fmt::format(
        "The {}: {} (the worst hole is then known {} mm better).",
        texts.size() == 1 ? "one more reading that helps most" : "readings that help most, together",
        list_words(texts), format_mm(gain_mm, decimals_for(0.25 * gain_mm)));
  }
  return {};
}

/// A face that has nothing to ask folds to its one line.
Result<Html> face_part(const FaceFindings& face, const std::vector<std::string>& shared) {
  const Result<Html> pictures = pictures_of(face);
  if (!pictures) return pictures.problems();
  const Html suspects = suspects_of(face);
  Html body;
  if (!face.source.empty()) body += paragraph("From " + face.source + ".", "facts");
  for (const std::string& says : face_words(face)) {
    if (std::find(shared.begin(), shared.end(), says) == shared.end()) body += paragraph(says);
  }
  body += *pictures;
  const std::vector<std::string> unchecked = unchecked_words(face);
  if (!unchecked.empty()) {
    body += paragraph("Nothing checks these; a slip in them would not be seen:");
    body += bullets(unchecked);
  }
  if (const std::string next = next_words(face); !next.empty()) body += paragraph(next);
  const std::string name = fmt::format("{}, {}", face.part, face.face);
  const std::string holes = count_words(face.measured.holes.size(), "hole", "holes");
  const std::string counts =
      fmt::format("{} on {}", count_words(face.readings.size(), "reading", "readings"), holes);
  if (suspects.empty()) {
    body += figures_of(face);
    Html line = element("b", name + ":");
    line +=
        escaped(face.readings.empty() ? face.pictures.empty() ? "no readings." : holes + ", from photographs."
                                      : counts + "; all agree.");
    return folded(line, body);
  }
  Html out = element("h3", name);
  out += paragraph(counts + ". These do not agree:");
  out += suspects;
  out += body;
  out += figures_of(face);
  return out;
}

}  // namespace

Result<Html> readings_section(const ReportInput& input) {
  if (input.faces.empty()) return Html{};
  Html out = element("h2", "What was measured", "id=\"readings\"");
  const std::vector<std::string> shared = shared_remarks(input.faces);
  for (const std::string& says : shared) out += paragraph(says);
  for (const bool asks : {true, false}) {  // what asks for something comes first
    for (const FaceFindings& face : input.faces) {
      if (std::any_of(face.readings.begin(), face.readings.end(), is_suspect) != asks) continue;
      const Result<Html> part = face_part(face, shared);
      if (!part) return part.problems();
      out += *part;
    }
  }
  return out;
}

}  // namespace fairhole::report
