// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/survey_text.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "fairhole/base/angle.h"
#include "fairhole/base/odds_words.h"
#include "fairhole/geometry/statistics.h"

namespace fairhole {
namespace {

constexpr double kDoubtfulP = 0.001;
constexpr double kLeastSaidMm = 0.005;  // below, the gain of one reading prints as nothing

const Reading& reading_of(const Readings& readings, int row) {
  return readings.rows[static_cast<std::size_t>(row) - 1];
}

/// "row 7 (line 12): centres H1 - H2, 401.5"
std::string say(const Reading& r) {
  std::string holes = r.from;
  if (!r.line_end.empty()) {
    holes += fmt::format(" off {}|{}", r.to, r.line_end);
  } else if (!r.to.empty()) {
    holes += fmt::format(" - {}", r.to);
  } else if (!r.set_up.empty()) {
    holes += fmt::format(" on {}", r.set_up);
  }
  return fmt::format("row {} (line {}): {} {}, {}", r.row, r.line, kind_name(r.kind), holes, r.text);
}

std::string hole_lines(const SurveyResult& result) {
  std::string out = fmt::format("{:<10}{:>10}{:>10}{:>12}{:>10}  {}\n", "hole", "x", "y", "within +-",
                                "diameter", "(mm; within: 95 %)");
  for (const MeasuredHole& h : result.face.holes) {
    const double within = confidence_ellipse(h.centre_cov_mm2).major_mm;
    const std::string size = h.diameter_mm ? format_mm(*h.diameter_mm, 2) : "-";
    out += fmt::format("{:<10}{:>10}{:>10}{:>12}{:>10}", h.id, format_mm(h.centre_mm.x(), 2),
                       format_mm(h.centre_mm.y(), 2), format_mm(within, 2), size);
    if (h.ovality_mm > 0.0) {
      out += fmt::format("  oval by {}, longest at {:.0f} degrees", format_mm(h.ovality_mm, 2),
                         std::round(degrees_of(h.ovality_axis_rad)) + 0.0);  // no -0
    }
    out += '\n';
  }
  return out;
}

std::string fit_lines(const SurveyResult& r) {
  if (r.dof == 0) return "Nothing checks these readings: there are just as many as unknowns.\n";
  std::string out =
      fmt::format("Readings kept agree with their sigmas: chi-square {:.1f} on {} to spare, p {:.3f}.\n",
                  r.chi2, r.dof, r.chi2_p);
  if (r.chi2_p < kDoubtfulP) {
    out = fmt::format(
        "Look again: the readings disagree by more than their sigmas allow: chi-square {:.1f} on {} to "
        "spare, p {:.2g}.\n",
        r.chi2, r.dof, r.chi2_p);
  }
  return out;
}

std::string suspect_lines(const SurveyResult& result, const Readings& readings) {
  std::string out;
  for (const ReadingVerdict& v : result.readings) {
    if (!v.rejected && !v.slip) continue;
    out += fmt::format("  {}: {}{} off the others", say(reading_of(readings, v.row)),
                       v.residual_mm < 0.0 ? "-" : "+", format_mm(std::abs(v.residual_mm), 1));
    out += v.rejected ? "; left out" : "; kept";
    if (v.slip) {
      out += fmt::format("; {} ({} mm) explains it, {}", v.slip->name, format_mm(v.slip->size_mm, 1),
                         odds_words(v.slip->odds));
    }
    out += '\n';
  }
  for (const auto& rows : result.suspect_groups) {
    out += fmt::format("  rows {} cannot be told apart: one of them is wrong; measure them again\n",
                       fmt::join(rows, ", "));
  }
  return out.empty() ? out : "\nLook again at these readings:\n" + out;
}

std::string doubt_lines(const SurveyResult& result) {
  std::string out;
  for (const MirrorDoubt& d : result.mirror_doubts) {
    out +=
        fmt::format("\nUndecided: {} {} fit{} the readings just as well mirrored in the line {} - {}; {}\n",
                    d.holes.size() == 1 ? "hole" : "holes", fmt::join(d.holes, ", "),
                    d.holes.size() == 1 ? "s" : "", d.line_from, d.line_to, d.remedy);
  }
  return out;
}

std::string tape_lines(const SurveyResult& r) {
  std::string out;
  for (const TapeScale& s : r.scales) {
    out += fmt::format("{} reads {:+.3f} % (+- {:.3f} %) against true length.\n", s.tape,
                       100.0 * (s.scale - 1.0), 100.0 * s.sigma);
  }
  for (const TapeZero& z : r.zeros) {
    out += fmt::format("Zero of {}: {} mm (+- {}).\n", z.set_up, format_mm(z.zero_mm, 2),
                       format_mm(z.sigma_mm, 2));
  }
  if (r.square_sigma_rad > 0.0) {
    out += fmt::format("Corner of the datum edges: {:.3f} degrees (+- {:.3f}).\n",
                       90.0 + degrees_of(r.square_rad), degrees_of(r.square_sigma_rad));
  }
  return out.empty() ? out : "\n" + out;
}

std::string next_lines(const SurveyResult& result) {
  if (result.next.empty()) return {};
  std::string out = "\nWhat one more reading would help most, in this order:\n";
  for (const NextReading& n : result.next) {
    const std::string gain = n.gain_mm < kLeastSaidMm ? "its gain shows only with further readings"
                                                      : fmt::format("the worst hole is known better by {} mm",
                                                                    format_mm(n.gain_mm, 2));
    out += fmt::format("  {} {}{}: {}\n", kind_name(n.kind), n.from, n.to.empty() ? "" : " - " + n.to, gain);
  }
  return out;
}

}  // namespace

std::string survey_text(const SurveyResult& result, const Readings& readings) {
  std::string out = hole_lines(result) + "\n" + fit_lines(result);
  for (const std::string& note : result.notes) out += note + "\n";
  out += suspect_lines(result, readings) + doubt_lines(result) + tape_lines(result);
  if (!result.unchecked.empty()) {
    out += fmt::format("\nNothing checks {} {}.\n", result.unchecked.size() == 1 ? "row" : "rows",
                       fmt::join(result.unchecked, ", "));
  }
  return out + next_lines(result);
}

}  // namespace fairhole
