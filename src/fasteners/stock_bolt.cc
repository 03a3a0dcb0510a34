// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "stock_bolt.h"

#include <fmt/format.h>

#include <algorithm>

#include "fairhole/base/length.h"

namespace fairhole::fasteners {
namespace {

/// Lengths commonly stocked (the family of ISO 888; inch bolts by 1/4 in to 6 in, then 1/2 in), from memory.
std::vector<double> stock_lengths_mm(bool metric) {
  std::vector<double> lengths_mm;
  if (metric) {
    for (int mm = 20; mm < 70; mm += 5) lengths_mm.push_back(mm);
    for (int mm = 70; mm <= 160; mm += 10) lengths_mm.push_back(mm);
    for (int mm = 180; mm <= 300; mm += 20) lengths_mm.push_back(mm);
  } else {
    for (int quarters = 4; quarters <= 24; ++quarters) lengths_mm.push_back(quarters * kMmPerInch / 4.0);
    for (int halves = 13; halves <= 24; ++halves) lengths_mm.push_back(halves * kMmPerInch / 2.0);
  }
  return lengths_mm;
}

/// Length of thread of a stock bolt (ISO 4014; inch bolts 2 d + 1/4 in, + 1/2 in beyond 6 in), from memory.
double stock_thread_mm(const Thread& thread, double length_mm) {
  if (thread.form == ThreadForm::kMetric) return 2.0 * thread.major_mm + (length_mm <= 125.0 ? 6.0 : 12.0);
  return 2.0 * thread.major_mm + (length_mm <= 6.0 * kMmPerInch ? kMmPerInch / 4.0 : kMmPerInch / 2.0);
}

constexpr double kRunOutPitches = 5.0;

/// The shortest bolt off the shelf whose plain shank is long enough; its surplus is cut off.
std::optional<double> to_cut_down_mm(const BoltDesign& design) {
  const Thread& thread = design.thread;
  for (const double length_mm : stock_lengths_mm(thread.form == ThreadForm::kMetric)) {
    const double plain_mm = length_mm - stock_thread_mm(thread, length_mm) - kRunOutPitches * thread.pitch_mm;
    if (length_mm >= design.length_mm && plain_mm >= design.shank_mm) return length_mm;
  }
  return std::nullopt;
}

}  // namespace

void add_stock_bolt(const BoltRules& rules, const Catalogue& catalogue, BoltDesign& design) {
  const Thread& thread = design.thread;
  const Result<Washer> plain = washer_for(catalogue, rules.washer_series, thread.major_mm);
  const double washer_mm = rules.washer_mm ? *rules.washer_mm
                           : plain         ? plain->thickness_mm
                                           : design.nut_washer_mm;
  const double nut_face_mm = design.head_washer_mm + design.grip.length_mm + washer_mm;
  const double off_mm = design.grip.plus_minus_mm;
  const double least_mm =
      nut_face_mm + off_mm + design.nut_mm + (rules.threads_past_nut + 1) * thread.pitch_mm;
  const double latest_thread_mm = nut_face_mm - off_mm - rules.threads_in_reserve * thread.pitch_mm;
  const double bearing_mm =
      design.head_washer_mm + design.grip.bearing_mm + design.grip.bearing_plus_minus_mm;
  for (const double length_mm : stock_lengths_mm(thread.form == ThreadForm::kMetric)) {
    const double from_mm = std::max(0.0, length_mm - stock_thread_mm(thread, length_mm));
    if (length_mm < least_mm || from_mm > latest_thread_mm) continue;
    const double run_out_mm = std::max(0.0, from_mm - kRunOutPitches * thread.pitch_mm);
    design.stock = StockBolt{length_mm, from_mm, run_out_mm, run_out_mm < bearing_mm};
    if (design.stock->thread_in_layer) {
      const std::optional<double> longer_mm = to_cut_down_mm(design);
      const std::string cut_down =
          longer_mm ? fmt::format(
                          ", or cut one of {:.4g} mm down to {:.4g} mm and run its thread on to {:.3g} mm "
                          "from the head",
                          *longer_mm, design.length_mm, design.thread_from_mm)
                    : std::string();
      design.notes.push_back(
          fmt::format("A stock bolt of {:.4g} mm has thread in a bearing layer: reckon its shear on the "
                      "thread's section, or make the bolt to these lengths{}.",
                      length_mm, cut_down));
    }
    return;
  }
  design.notes.push_back("No stock length serves: make the bolt to these lengths.");
}

}  // namespace fairhole::fasteners
