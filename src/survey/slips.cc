// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "slips.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

namespace fairhole::survey_detail {
namespace {

// What goes wrong with a tape, as shares of all gross errors. A judgement of the trade, not measured; the
// odds move little with it, for a slip's size is known to a fraction of a millimetre.
constexpr double kStart100 = 0.10;
constexpr double kInch = 0.10;
constexpr double kTen = 0.08;
constexpr double kFoot = 0.03;
constexpr double kSwapped = 0.06;
constexpr double kWrongHole = 0.10;
constexpr double kInchForMetric = 0.03;
// A mark or two beside the right one: any size, falling off as exp(-|e| / c).
constexpr double kBeside = 0.32;
constexpr double kBesideMm = 4.0;
// Other gross errors: any size, the small ones more often; density 1 / (2 ln(1 + R/c) (|e| + c)) up to R.
constexpr double kOther = 0.08;
constexpr double kOtherCoreMm = 5.0;
constexpr double kOtherRangeMm = 3000.0;
constexpr double kWorthTelling = 0.2;
constexpr double kUnmeasuredSizeSigmaMm = 1.5;
// A wrong hole this far off explains nothing, whatever its own uncertainty.
constexpr double kNoSuchHoleMm = 30.0;
constexpr double kNoSuchHoleSigmas = 10.0;
// In a mm file the number of an inch scale is taken for mm; the other way round is seldom.
constexpr double kSeldom = 0.1;
constexpr std::size_t kMostPlaces = 9;
constexpr double kMmPerFoot = 304.8;

struct Hypothesis {
  int suspect;
  std::string name;  // empty: some other gross error
  double size_mm;
  double weight;
};

double density(double e, double variance) {
  return std::exp(-0.5 * e * e / variance) / std::sqrt(2.0 * std::numbers::pi * variance);
}

class Explanation {
 public:
  Explanation(const Model& model, const Columns& columns) : model_(model), columns_(columns) {}

  std::vector<std::optional<Slip>> run(const std::vector<LeftOut>& suspects) {
    for (std::size_t k = 0; k < suspects.size(); ++k) add_all(static_cast<int>(k), suspects[k]);
    double total = scatter_;
    for (const Hypothesis& h : hypotheses_) total += h.weight;
    std::vector<std::optional<Slip>> out(suspects.size());
    if (total <= 0.0) return out;
    for (const auto& [key, slip] : by_name()) {
      const double odds = slip.odds / total;
      auto& best = out[static_cast<std::size_t>(key.first)];
      if (odds < kWorthTelling || (best && best->odds >= odds)) continue;
      best = Slip{slip.name, slip.size_mm, odds};
    }
    return out;
  }

 private:
  /// All ways to one name taken together, with the size of the likeliest; `odds` still as weights.
  std::map<std::pair<int, std::string>, Slip> by_name() const {
    std::map<std::pair<int, std::string>, Slip> out;
    std::map<std::pair<int, std::string>, double> likeliest;
    for (const Hypothesis& h : hypotheses_) {
      if (h.name.empty()) continue;
      const auto key = std::pair(h.suspect, h.name);
      Slip& slip = out[key];
      slip.name = h.name;
      slip.odds += h.weight;
      if (h.weight < likeliest[key]) continue;
      likeliest[key] = h.weight;
      slip.size_mm = h.size_mm;
    }
    return out;
  }

  void add(const std::string& name, double size, double share, double extra_variance = 0.0) {
    hypotheses_.push_back(
        {suspect_, name, size, kGrossShare * share * density(error_ - size, variance_ + extra_variance)});
  }

  void add_all(int suspect, const LeftOut& left_out) {
    const Observation& o = model_.observations[static_cast<std::size_t>(left_out.observation)];
    suspect_ = suspect;
    solution_ = left_out.without;
    // Reading less its prediction from all others, and the variance of that.
    error_ = solution_->residual[left_out.observation];
    variance_ = o.sigma * o.sigma + solution_->normals->fit_variance(
                                        solution_->equations[static_cast<std::size_t>(left_out.observation)]);
    scatter_ = std::max(scatter_, (1.0 - kGrossShare) * density(error_, variance_));
    hypotheses_.push_back({suspect_, "", 0.0, kGrossShare * unnamed_density(error_)});
    const Reading& r = model_.reading(o);
    const bool tape =
        r.kind != ReadingKind::kDia && r.kind != ReadingKind::kKnownX && r.kind != ReadingKind::kKnownY;
    if (tape) {
      for (const TapeSlip& slip : tape_slips()) add(slip.name, slip.size_mm, slip.share);
      add_edge_for_centre(r);
      add_wrong_hole(r, o.sigma);
    }
    add_swapped_digits(r);
    add_inch_for_metric(r);
  }

  /// A rim read for the centre, or the centre for a rim: off by one radius.
  void add_edge_for_centre(const Reading& r) {
    std::vector<const HoleId*> holes{&r.from};
    if (is_distance(r.kind)) holes.push_back(&r.to);
    const double each = kEdgeShare / static_cast<double>(2 * holes.size());
    for (const HoleId* id : holes) {
      const auto [radius, variance] = radius_of(model_.hole(*id));
      if (radius <= 0.0) continue;
      add("edge for centre", radius, each, variance);
      add("edge for centre", -radius, each, variance);
    }
  }

  std::pair<double, double> radius_of(int hole) const {
    const int own = model_.hole_params[static_cast<std::size_t>(hole)].diameter;
    if (own >= 0) {
      const int c = columns_.of_param[static_cast<std::size_t>(own)];
      return {0.5 * solution_->state[own], c < 0 ? 0.0 : 0.25 * solution_->normals->variance(c)};
    }
    double sum = 0.0;
    int count = 0;
    for (const HoleParams& p : model_.hole_params) {
      if (p.diameter < 0) continue;
      sum += solution_->state[p.diameter];
      ++count;
    }
    if (count == 0) return {0.0, 0.0};
    return {0.5 * sum / count, 0.25 * kUnmeasuredSizeSigmaMm * kUnmeasuredSizeSigmaMm};
  }

  /// Two neighbouring digits swapped, a decimal sign between them or not.
  void add_swapped_digits(const Reading& r) {
    const auto digit = [&](std::size_t i) {
      return i < r.text.size() && std::isdigit(static_cast<unsigned char>(r.text[i])) != 0;
    };
    std::set<double> sizes;
    for (std::size_t i = 0; i + 1 < r.text.size(); ++i) {
      const std::size_t next = r.text[i + 1] == '.' || r.text[i + 1] == ',' ? i + 2 : i + 1;
      if (!digit(i) || !digit(next) || r.text[i] == r.text[next]) continue;
      std::string swapped = r.text;
      std::swap(swapped[i], swapped[next]);
      std::replace(swapped.begin(), swapped.end(), ',', '.');
      if (const auto meant = parse_length_mm(swapped, r.unit)) sizes.insert(r.value_mm - *meant);
    }
    for (const double size : sizes) add("digits swapped", size, kSwapped / static_cast<double>(sizes.size()));
  }

  /// The number is one of the other unit, and so is the place to which it was rounded.
  void add_inch_for_metric(const Reading& r) {
    const auto point = r.text.find_first_of(".,");
    const std::size_t places = point == std::string::npos ? 0 : r.text.size() - point - 1;
    const double last_place = std::pow(10.0, -static_cast<double>(std::min(places, kMostPlaces)));
    const auto rounding = [&](double unit_mm) { return unit_mm * unit_mm * last_place * last_place / 12.0; };
    const bool in_inches = r.unit == Unit::kInch;
    add("inch for metric", r.value_mm - r.value_mm * kMmPerInch,
        in_inches ? kSeldom * kInchForMetric : (1.0 - kSeldom) * kInchForMetric, rounding(kMmPerInch));
    add("inch for metric", r.value_mm - r.value_mm / kMmPerInch,
        in_inches ? (1.0 - kSeldom) * kInchForMetric : kSeldom * kInchForMetric, rounding(1.0));
  }

  /// The reading belongs to another hole: only told of a reading that is left out.
  void add_wrong_hole(const Reading& r, double sigma) {
    const int n = model_.hole_count();
    const int ends = is_distance(r.kind) ? 2 : 1;
    const double each = kWrongHole / static_cast<double>(std::max(1, ends * (n - ends)));
    const double adjusted = r.value_mm - error_;
    Equation e;
    for (int end = 0; end < ends; ++end) {
      for (const HoleId& id : model_.hole_ids) {
        if (id == r.from || id == r.to || id == r.line_end) continue;
        Reading other = r;
        (end == 0 ? other.from : other.to) = id;
        if (is_rim(r.kind) && model_.hole_params[static_cast<std::size_t>(model_.hole(id))].diameter < 0)
          continue;
        model_.evaluate_reading(other, solution_->state, e);
        const double error = r.value_mm - e.value;
        if (std::abs(error) > kNoSuchHoleMm + kNoSuchHoleSigmas * sigma) continue;
        const double variance = sigma * sigma + solution_->normals->variance_of(e);
        hypotheses_.push_back(
            {suspect_, "wrong hole", e.value - adjusted, kGrossShare * each * density(error, variance)});
      }
    }
  }

  const Model& model_;
  const Columns& columns_;
  const Solution* solution_ = nullptr;  // without the suspect
  std::vector<Hypothesis> hypotheses_;
  double scatter_ = 0.0;
  int suspect_ = 0;
  double error_ = 0.0;
  double variance_ = 1.0;
};

}  // namespace

const std::vector<TapeSlip>& tape_slips() {
  static const std::vector<TapeSlip> kSlips{
      {"100 mm start", 100.0, kStart100},
      {"1 in start", kMmPerInch, 0.75 * kInch},  // or misread: too long by an inch either way
      {"1 in", -kMmPerInch, 0.25 * kInch},
      {"10 mm", 10.0, 0.5 * kTen},
      {"10 mm", -10.0, 0.5 * kTen},
      {"a foot", kMmPerFoot, 0.5 * kFoot},
      {"a foot", -kMmPerFoot, 0.5 * kFoot}};
  return kSlips;
}

double unnamed_density(double error_mm) {
  const double e = std::abs(error_mm);
  return kBeside * std::exp(-e / kBesideMm) / (2.0 * kBesideMm) +
         kOther / (2.0 * std::log1p(kOtherRangeMm / kOtherCoreMm) * (e + kOtherCoreMm));
}

std::vector<std::optional<Slip>> explain(const Model& model, const Columns& columns,
                                         const std::vector<LeftOut>& suspects) {
  return Explanation(model, columns).run(suspects);
}

}  // namespace fairhole::survey_detail
