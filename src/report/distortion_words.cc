// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>
#include <map>

#include "fairhole/base/length.h"
#include "fairhole/report/registration_picture.h"
#include "words.h"

namespace fairhole {
namespace {

using report::decimals_for;

/// "1.2 mm in 610 mm", with no more digits than the sigma of what it is made of allows.
std::string size_words(const TermEstimate& e, double relative_sigma) {
  return fmt::format("{} mm in {} mm", format_mm(e.size_mm, decimals_for(relative_sigma * e.size_mm)),
                     format_mm(e.over_mm, 0));
}

std::string percent(double ratio, double sigma) {
  return format_mm(100.0 * std::abs(ratio - 1.0), decimals_for(100.0 * sigma)) + " %";
}

std::string degrees(const TermEstimate& e) {
  const int decimals = decimals_for(e.sigma);
  const std::string figure = format_mm(std::abs(e.value), decimals);
  return figure + (figure == "1" ? " degree" : " degrees");
}

/// "Bowed 1.2 mm in 610 mm, hollow towards the heel", without its full stop.
std::string finding_words(DistortionTerm term, const TermEstimate& e, const DistortionNames& names) {
  const double nought = term == DistortionTerm::kScale || term == DistortionTerm::kAspect ? 1.0 : 0.0;
  const bool more = e.value > nought;
  const std::string size = size_words(e, e.sigma / std::abs(e.value - nought));
  switch (term) {
    case DistortionTerm::kScale:
      return fmt::format("Tape or stretch: {} {} ({})", percent(e.value, e.sigma), more ? "long" : "short",
                         size);
    case DistortionTerm::kShear:
      return fmt::format("{} out of square, the corner {} ({})", degrees(e), more ? "open" : "closed", size);
    case DistortionTerm::kAspect:
      return fmt::format("{} too {} across, for its length ({})", percent(e.value, e.sigma),
                         more ? "wide" : "narrow", size);
    case DistortionTerm::kBow:
      return fmt::format("Bowed {}, {} towards {}", size, more ? "hollow" : "round", names.datum_edge);
    case DistortionTerm::kTwist:
      break;
  }
  return fmt::format("{} turned {} against {}, {} away from the corner ({})", names.outer_row, degrees(e),
                     names.inner_row, more ? "opening" : "closing", size);
}

std::string sentence(std::string words, const char* end) {
  if (words.front() >= 'a' && words.front() <= 'z')
    words.front() = static_cast<char>(words.front() - 'a' + 'A');
  return words + end;
}

const char* trade_name(DistortionTerm term) {
  switch (term) {
    case DistortionTerm::kScale:
      return "stretch";
    case DistortionTerm::kShear:
      return "out of square";
    case DistortionTerm::kAspect:
      return "width across";
    case DistortionTerm::kBow:
      return "bow";
    case DistortionTerm::kTwist:
      break;
  }
  return "rows turned";
}

const char* reason_words(NotDetermined why) {
  switch (why) {
    case NotDetermined::kTooFewHoles:
      return "too few holes to check it by";
    case NotDetermined::kOneRow:
      return "the holes lie in one row";
    case NotDetermined::kNoLength:
      return "the holes lie in one line across";
    case NotDetermined::kSameAsPose:
      break;
  }
  return "where these holes lie, it looks like something else";
}

std::vector<std::string> untold_words(const Distortion& distortion) {
  std::map<NotDetermined, std::vector<std::string>> untold;
  for (std::size_t k = 0; k < kDistortionTerms; ++k) {
    const TermFinding& finding = distortion.terms[k];
    if (finding.why) untold[*finding.why].emplace_back(trade_name(static_cast<DistortionTerm>(k)));
  }
  std::vector<std::string> words;
  for (const auto& [why, terms] : untold)
    words.push_back(fmt::format("Cannot be told ({}): {}.", reason_words(why), report::list_words(terms)));
  return words;
}

}  // namespace

std::vector<std::string> accepted_distortion_words(const Distortion& distortion,
                                                   const DistortionNames& names) {
  std::vector<std::string> words;
  for (const DistortionTerm term : distortion.accepted)
    words.push_back(sentence(finding_words(term, *distortion[term].estimate, names), "."));
  return words;
}

std::vector<std::string> distortion_words(const Distortion& distortion, const DistortionNames& names) {
  std::vector<std::string> words = accepted_distortion_words(distortion, names);
  std::size_t told = 0;
  for (std::size_t k = 0; k < kDistortionTerms; ++k) {
    const auto term = static_cast<DistortionTerm>(k);
    const TermFinding& finding = distortion[term];
    told += finding.estimate ? 1 : 0;
    if (!finding.significant || finding.accepted) continue;
    words.push_back(
        sentence(finding_words(term, *finding.estimate, names), "; the readings alone may have made it."));
  }
  if (words.empty() && told > 0) {
    words.push_back(fmt::format("No distortion shows beyond the holes' own scatter of {} mm.",
                                format_mm(distortion.scatter_mm, 1)));
  }
  for (std::string& untold : untold_words(distortion)) words.push_back(std::move(untold));
  return words;
}

}  // namespace fairhole
