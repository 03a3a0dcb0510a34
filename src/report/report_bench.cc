// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>

#include "fairhole/drawing/writers.h"
#include "fairhole/report/sheets.h"
#include "placement.h"
#include "test_data.h"

namespace fairhole::report {
namespace {

/// Rows of ten holes on a plate as long as it takes; the argument is the number of holes.
PlateLayout long_plate(int count) {
  std::vector<test::HoleGroup> rows;
  const double length_mm = 100.0 + 80.0 * count / 10.0;
  for (int i = 0; 10 * i < count; ++i)
    rows.push_back({fmt::format("R{}-", i + 1), {60.0 + 80.0 * i, 40.0}, {0.0, 45.0}, 10, 22.225});
  PlateLayout layout = test::plate_with(rows, {{0, 0}, {length_mm, 0}, {length_mm, 500}, {0, 500}}, {}, 1);
  layout.plate = "plate";
  layout.hand = "LEFT";
  layout.marked_face = "outer";
  return layout;
}

void dxf_of_a_plate(benchmark::State& state) {
  const PlateLayout layout = long_plate(static_cast<int>(state.range(0)));
  for (auto _ : state)
    benchmark::DoNotOptimize(drawing::write_dxf(plate_dxf(layout, test::crane_title()), {}));
}
BENCHMARK(dxf_of_a_plate)->Arg(10)->Arg(100)->Arg(1000)->Arg(10000)->Unit(benchmark::kMillisecond);

/// Full size on A4 sheets, to PDF.
void template_of_a_plate(benchmark::State& state) {
  const PlateLayout layout = long_plate(static_cast<int>(state.range(0)));
  for (auto _ : state) {
    const auto pages = plate_template(layout, test::crane_title(), {});
    if (!pages.ok()) {
      state.SkipWithError(describe(pages.problems().front()).c_str());
      return;
    }
    benchmark::DoNotOptimize(drawing::write_pdf(*pages, {}));
  }
}
BENCHMARK(template_of_a_plate)->Arg(10)->Arg(100)->Arg(1000)->Arg(2500)->Unit(benchmark::kMillisecond);

/// Rows of ten over a width of `length_mm` of paper.
void place_labels_of(benchmark::State& state, double length_mm) {
  const auto count = static_cast<std::size_t>(state.range(0));
  std::vector<LabelRequest> requests;
  for (std::size_t i = 0; i < count; ++i) {
    const double x_mm = length_mm * (static_cast<double>(i / 10) + 0.5) / (static_cast<double>(count) / 10.0);
    requests.push_back({{x_mm, 10.0 + 25.0 * static_cast<double>(i % 10)}, 3.0, 7.0, 3.4});
  }
  const Obstacles sheet{{{-20.0, 0.0}, {length_mm + 20.0, 260.0}}, {}, {}, {}};
  for (auto _ : state) benchmark::DoNotOptimize(place_labels(requests, sheet));
}

/// As close as the figures of a DXF allow.
void labels_of_a_long_plate(benchmark::State& state) {
  place_labels_of(state, 2.0 * static_cast<double>(state.range(0)));
}
BENCHMARK(labels_of_a_long_plate)->RangeMultiplier(10)->Range(10, 10000)->Unit(benchmark::kMillisecond);

/// With 2,000 half the paper is text, and most find no free place; more is not searched.
void labels_on_one_sheet(benchmark::State& state) { place_labels_of(state, 400.0); }
BENCHMARK(labels_on_one_sheet)->Arg(10)->Arg(100)->Arg(1000)->Arg(2000)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace fairhole::report
