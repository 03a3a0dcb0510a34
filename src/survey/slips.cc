// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "slips.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <map>
#include <numbers>
#include <string>
#include <vector>

namespace fairhole::survey_detail {
namespace {

constexpr double kOtherSigmaMm = 100.0;  // a gross error without a name may be anything up to some hundred mm
constexpr double kOtherWeight = 0.15;
constexpr double kEvenOdds = 0.5;

/// One way it may have happened: the prediction to compare the reading with is shifted.
struct Hypothesis {
  const char* name;
  double size_mm;       ///< reading minus what should have been read
  double variance_mm2;  ///< of the prediction it is compared with
  double weight;
};

double predicted_mm(const Model& model, const Solution& s, const Reading& r, const Columns& columns,
                    double* variance_mm2 = nullptr) {
  Equation e;
  model.evaluate_reading(r, s.state, e);
  if (variance_mm2 != nullptr) *variance_mm2 = variance_of(e, columns, s.q);
  return e.value;
}

bool is_length(ReadingKind kind) {
  return kind != ReadingKind::kDia && kind != ReadingKind::kKnownX && kind != ReadingKind::kKnownY;
}

/// The tape hooked or held wrongly, or a whole unit misread. Up is far commoner: a start that was not taken
/// off.
void add_offsets(std::vector<Hypothesis>& all) {
  struct Offset {
    const char* name;
    double size_mm, weight;
  };
  constexpr Offset kOffsets[] = {{"100 mm start", 100.0, 0.14}, {"1 in start", 25.4, 0.10},
                                 {"10 mm", 10.0, 0.06},         {"10 mm", -10.0, 0.06},
                                 {"1 in", -25.4, 0.05},         {"100 mm", -100.0, 0.03},
                                 {"a foot", 304.8, 0.02},       {"a foot", -304.8, 0.02}};
  for (const Offset& o : kOffsets) all.push_back({o.name, o.size_mm, 0.0, o.weight});
}

void add_edges(const Model& model, const Solution& s, const Reading& r, std::vector<Hypothesis>& all) {
  const bool centre_kind = r.kind == ReadingKind::kAlong || r.kind == ReadingKind::kAcross ||
                           r.kind == ReadingKind::kRun || r.kind == ReadingKind::kRunAcross ||
                           r.kind == ReadingKind::kCentres;
  if (!centre_kind) return;
  std::vector<HoleId> holes{r.from};
  if (!r.to.empty()) holes.push_back(r.to);
  for (const HoleId& id : holes) {
    const int diameter = model.hole_params[static_cast<std::size_t>(model.hole(id))].diameter;
    if (diameter < 0) continue;
    const double radius_mm = 0.5 * s.state[diameter];
    const double weight = 0.14 / static_cast<double>(2 * holes.size());
    for (const double sign : {-1.0, 1.0}) all.push_back({"edge for centre", sign * radius_mm, 0.0, weight});
  }
}

/// Two neighbouring digits of the text the wrong way round.
void add_swaps(const Reading& r, std::vector<Hypothesis>& all) {
  const double unit_mm = r.unit == Unit::kInch ? kMmPerInch : 1.0;
  double whole = 0.0;
  const auto read = [](const std::string& text, double& value) {
    const auto [stop, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    return error == std::errc() && stop == text.data() + text.size();
  };
  if (!read(r.text, whole) || std::abs(whole * unit_mm - r.value_mm) > 1e-6)
    return;  // fractions have no digits to swap
  std::vector<double> sizes;
  for (std::size_t i = 0; i + 1 < r.text.size(); ++i) {
    std::string swapped = r.text;
    std::swap(swapped[i], swapped[i + 1]);
    double meant = 0.0;
    const bool digits = std::isdigit(static_cast<unsigned char>(r.text[i])) != 0 &&
                        std::isdigit(static_cast<unsigned char>(r.text[i + 1])) != 0;
    if (digits && swapped != r.text && read(swapped, meant)) sizes.push_back((whole - meant) * unit_mm);
  }
  for (const double size : sizes)
    all.push_back({"digits swapped", size, 0.0, 0.07 / static_cast<double>(sizes.size())});
}

/// The reading belongs to another hole.
void add_wrong_holes(const Model& model, const Columns& columns, const Solution& s, const Reading& r,
                     double here_mm, std::vector<Hypothesis>& all) {
  std::vector<Hypothesis> found;
  const bool to_hole = !r.to.empty() && r.line_end.empty();
  for (const HoleId& id : model.hole_ids) {
    for (const bool swap_to : {false, true}) {
      Reading other = r;
      if (swap_to && !to_hole) continue;
      (swap_to ? other.to : other.from) = id;
      if (id == r.from || id == r.to || other.from == other.to) continue;
      double variance = 0.0;
      const double there_mm = predicted_mm(model, s, other, columns, &variance);
      found.push_back({"wrong hole", there_mm - here_mm, variance, 0.0});
    }
  }
  for (Hypothesis& h : found) {
    h.weight = 0.12 / static_cast<double>(found.size());
    all.push_back(h);
  }
}

std::vector<Hypothesis> hypotheses(const Model& model, const Columns& columns, const Solution& s,
                                   const Reading& r, double predicted) {
  std::vector<Hypothesis> all;
  if (!is_length(r.kind)) return all;
  add_offsets(all);
  add_edges(model, s, r, all);
  add_swaps(r, all);
  add_wrong_holes(model, columns, s, r, predicted, all);
  all.push_back({"inch read as metric", r.value_mm - r.value_mm * kMmPerInch, 0.0, 0.02});
  all.push_back({"metric read as inch", r.value_mm - r.value_mm / kMmPerInch, 0.0, 0.02});
  if (r.kind == ReadingKind::kOffLine) all.push_back({"wrong side of the line", 2.0 * r.value_mm, 0.0, 0.15});
  return all;
}

double density(double off_mm, double variance_mm2) {
  return std::exp(-0.5 * off_mm * off_mm / variance_mm2) / std::sqrt(2.0 * std::numbers::pi * variance_mm2);
}

}  // namespace

std::optional<Slip> explain(const Suspect& suspect, const Model& model, const Columns& columns,
                            const Solution& s) {
  const auto row = static_cast<std::size_t>(suspect.reading);
  const Reading& r = model.readings->rows[row];
  const int number = model.observation_of_reading[row];
  const Observation& o = model.observations[static_cast<std::size_t>(number)];
  const double of_fit = variance_of(s.equations[static_cast<std::size_t>(number)], columns, s.q);
  const double off_mm = s.residual[number];
  const double own = o.sigma * o.sigma;
  double sum = kOtherWeight * density(off_mm, kOtherSigmaMm * kOtherSigmaMm);
  std::map<std::string, double> share;                    // a name may come about in several ways
  std::map<std::string, std::pair<double, double>> best;  // likeliest way: share, size
  for (const Hypothesis& h : hypotheses(model, columns, s, r, r.value_mm - off_mm)) {
    const double each = h.weight * density(off_mm - h.size_mm, own + std::max(of_fit, h.variance_mm2));
    sum += each;
    share[h.name] += each;
    auto& [most, size] = best[h.name];
    if (each >= most) {
      most = each;
      size = h.size_mm;
    }
  }
  const auto likeliest = std::max_element(share.begin(), share.end(),
                                          [](const auto& a, const auto& b) { return a.second < b.second; });
  if (likeliest == share.end() || !(sum > 0.0)) return std::nullopt;
  const double odds = suspect.location_odds * likeliest->second / sum;
  if (odds < kEvenOdds) return std::nullopt;
  return Slip{likeliest->first, best[likeliest->first].second, odds};
}

}  // namespace fairhole::survey_detail
