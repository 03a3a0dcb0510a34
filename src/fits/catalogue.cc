// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/catalogue.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace fairhole {
namespace {

constexpr double kSameSizeMm = 0.01;

bool same_size(double a_mm, double b_mm) { return std::abs(a_mm - b_mm) <= kSameSizeMm; }

double circle_mm2(double diameter_mm) { return std::numbers::pi / 4.0 * diameter_mm * diameter_mm; }

Problem not_held(const std::string& what, const std::string& remedy) {
  return {codes::kNotInCatalogue, "", what, remedy};
}

template <class T>
void put_before(std::vector<T>& all, const std::vector<T>& more) {
  all.insert(all.begin(), more.begin(), more.end());
}

}  // namespace

const char* provenance_name(Provenance provenance) {
  switch (provenance) {
    case Provenance::kFound:
      return "found";
    case Provenance::kComputed:
      return "computed";
    case Provenance::kMemory:
      return "memory";
    case Provenance::kUser:
      break;
  }
  return "user";
}

std::string Thread::name() const { return series == "metric" ? size : size + " " + series; }

double Thread::core_mm() const {
  switch (form) {
    case ThreadForm::kMetric:
      return major_mm - 1.226869 * pitch_mm;
    case ThreadForm::kUnified:
      return major_mm - 1.299038 * pitch_mm;
    case ThreadForm::kWhitworth:
      break;
  }
  return major_mm - 2.0 * 0.640327 * pitch_mm;
}

double Thread::stress_area_mm2() const {
  switch (form) {
    case ThreadForm::kMetric:
      return circle_mm2(major_mm - 0.9382 * pitch_mm);
    case ThreadForm::kUnified:
      return circle_mm2(major_mm - 0.9743 * pitch_mm);
    case ThreadForm::kWhitworth:
      break;
  }
  return circle_mm2(core_mm());
}

double Thread::engagement_ratio(double drill_mm) const {
  return (major_mm - drill_mm) / (major_mm - core_mm());
}

double Hexagon::across_corners_mm() const { return across_flats_mm * 2.0 / std::numbers::sqrt3; }

Catalogue merged(const Catalogue& more, const Catalogue& all) {
  Catalogue both = all;
  put_before(both.threads, more.threads);
  put_before(both.hexagons, more.hexagons);
  put_before(both.washers, more.washers);
  put_before(both.reamers, more.reamers);
  put_before(both.rivets, more.rivets);
  put_before(both.heads, more.heads);
  put_before(both.bars, more.bars);
  put_before(both.drills, more.drills);
  return both;
}

Result<Thread> thread_named(const Catalogue& catalogue, const std::string& name) {
  for (const Thread& thread : catalogue.threads) {
    if (thread.name() == name) return thread;
  }
  return not_held(
      fmt::format("no thread \"{}\"", name),
      "write it as \"M20\", \"3/4 BSW\", \"3/4 BSF\", \"3/4 UNC\", or add it in a catalogue of your own");
}

Result<Thread> largest_thread(const Catalogue& catalogue, const std::string& series, double limit_mm) {
  const Thread* largest = nullptr;
  for (const Thread& thread : catalogue.threads) {
    const bool fits = thread.series == series && thread.major_mm <= limit_mm;
    if (fits && (largest == nullptr || thread.major_mm > largest->major_mm)) largest = &thread;
  }
  if (largest != nullptr) return *largest;
  return not_held(
      fmt::format("no thread of series \"{}\" of {:.4g} mm or less", series, limit_mm),
      "choose metric, BSW, BSF, UNC or UNF, a larger shank, or add the thread in a catalogue of your own");
}

std::string hexagon_series_of(const std::string& thread_series) {
  if (thread_series == "BSW" || thread_series == "BSF") return "BS 1083";
  if (thread_series == "UNC" || thread_series == "UNF") return "unified";
  return thread_series;
}

Result<Hexagon> hexagon_for(const Catalogue& catalogue, const std::string& series, double bolt_mm) {
  for (const Hexagon& hexagon : catalogue.hexagons) {
    if (hexagon.series == series && same_size(hexagon.bolt_mm, bolt_mm)) return hexagon;
  }
  return not_held(fmt::format("no hexagon of series \"{}\" for a thread of {:.4g} mm", series, bolt_mm),
                  "state head and nut, or add them in a catalogue of your own");
}

Result<Washer> washer_for(const Catalogue& catalogue, const std::string& series, double bolt_mm) {
  for (const Washer& washer : catalogue.washers) {
    if (washer.series == series && same_size(washer.bolt_mm, bolt_mm)) return washer;
  }
  return not_held(fmt::format("no {} washer for a thread of {:.4g} mm", series, bolt_mm),
                  "state the washer's thickness, or add it in a catalogue of your own");
}

Result<RivetHead> head_named(const Catalogue& catalogue, const std::string& name) {
  std::string known;
  for (const RivetHead& head : catalogue.heads) {
    if (head.name == name) return head;
    known += (known.empty() ? "" : ", ") + head.name;
  }
  return not_held(fmt::format("no rivet head \"{}\"", name), fmt::format("write one of: {}", known));
}

Result<Bar> bar_from(const Catalogue& catalogue, BarShape shape, double least_mm) {
  const Bar* smallest = nullptr;
  for (const Bar& bar : catalogue.bars) {
    const bool serves = bar.shape == shape && bar.size_mm >= least_mm;
    if (serves && (smallest == nullptr || bar.size_mm < smallest->size_mm)) smallest = &bar;
  }
  if (smallest != nullptr) return *smallest;
  return not_held(fmt::format("no {} bar of {:.4g} mm or more",
                              shape == BarShape::kRound ? "round" : "hexagon", least_mm),
                  "add the bar in a catalogue of your own");
}

}  // namespace fairhole
