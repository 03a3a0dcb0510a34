// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/report/reading_words.h"

#include <fmt/format.h>

#include <cmath>
#include <map>

#include "fairhole/base/length.h"
#include "words.h"

namespace fairhole::report {
namespace {

/// The slips of the trade by the names the survey gives them; any other text stands as it is.
std::string slip_words(const std::string& slip) {
  static const std::map<std::string, std::string> kWords = {
      {"100 mm start", "the tape was started at its 100 mm mark and the 100 mm not taken off"},
      {"1 in start", "the tape was started at its 1 in mark and the inch not taken off"},
      {"1 in", "misread by an inch"},
      {"10 mm", "misread by 10 mm"},
      {"a foot", "misread by a foot"},
      {"edge for centre", "read to the hole's edge instead of its centre"},
      {"digits swapped", "two digits swapped"},
      {"inch for metric", "inches taken for millimetres, or the other way round"},
      {"wrong hole", "another hole was measured"}};
  const auto found = kWords.find(slip);
  return found == kWords.end() ? slip : found->second;
}

}  // namespace

std::string row_words(const ReadingFinding& reading) {
  return fmt::format("row {}: {}", reading.row, reading.text);
}

double residual_sigma_mm(const ReadingFinding& reading) {
  constexpr double kTapeMm = 0.3;
  const double w = reading.w.value_or(0.0);
  return std::abs(w) > 1e-6 ? std::abs(reading.residual_mm / w) : kTapeMm;
}

bool is_suspect(const ReadingFinding& reading) {
  constexpr double kSuspectW = 3.29;  // two-sided 0.1 % of the normal distribution
  return reading.rejected || std::abs(reading.w.value_or(0.0)) > kSuspectW;
}

std::string suspect_words(const ReadingFinding& reading) {
  const double out_mm = std::abs(reading.residual_mm);
  const std::string by = format_mm(out_mm, decimals_for(residual_sigma_mm(reading)));
  std::string says = fmt::format("{}, {} mm {} than the others make it.", row_words(reading), by,
                                 reading.residual_mm > 0.0 ? "more" : "less");
  if (!reading.slip.empty()) {
    says += fmt::format(" Most likely: {} ({}).", slip_words(reading.slip), odds_words(reading.slip_odds));
  }
  return says + (reading.rejected ? " Left out." : " Kept; look again.");
}

}  // namespace fairhole::report
